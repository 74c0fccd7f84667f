// On every other page: what was counted on this phone and has not arrived is sent from here, too.

import { Outbox } from "./outbox.js";

const bar = document.getElementById("carry");
const words = JSON.parse(document.getElementById("carry-words").textContent);
const text = bar.querySelector("span");
const button = bar.querySelector("button");

function show() {
  const waiting = outbox.all.length;
  const refused = outbox.refused.length;
  bar.hidden = !waiting && !refused;
  button.hidden = !refused;
  text.textContent = refused
    ? words.refused.replace("{problem}", outbox.refused.at(-1).problem)
    : words.waiting.replace("{n}", waiting);
}

const outbox = new Outbox(0, { token: "", station: "", onChange: show });
button.addEventListener("click", () => outbox.forgetRefused());
outbox.start().catch(() => {});
