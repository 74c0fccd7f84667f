// A reading is kept on this phone first, like a tap: the network may be away just then.

import { Outbox } from "./outbox.js";

const page = document.querySelector("[data-reading-page]");
const words = JSON.parse(document.getElementById("words").textContent);
const form = page.querySelector("form");
const value = document.getElementById("written");
const fault = document.getElementById("written_f");
const saved = document.getElementById("saved");
const FIELDS = ["what", "place", "written", "instrument", "note", "mass"];

let mine = "";
let kept = "";

const outbox = new Outbox(Number(page.dataset.day), {
  token: form.querySelector("[name=csrfmiddlewaretoken]").value,
  station: "",
  onChange: show,
});
outbox.onReceived = (received) => {
  const answer = received.find((entry) => entry.id === mine);
  if (!answer) return;
  if (answer.problem) {
    outbox.forgetRefused(mine); // it stands on the screen, to be put right here
    value.value ||= kept;
    complain(answer.problem);
  } else {
    location.assign(page.dataset.back);
  }
};

function complain(sentence) {
  fault.textContent = sentence;
  fault.hidden = !sentence;
  value.toggleAttribute("aria-invalid", Boolean(sentence));
}

function show() {
  const waiting = outbox.waiting.length;
  saved.hidden = !waiting || outbox.reachable;
  saved.textContent = words.waiting.replace("{n}", waiting);
  saved.classList.toggle("waiting", !saved.hidden);
  if (!saved.hidden && value.value.trim() === kept) value.value = "";
}

form.addEventListener("submit", async (event) => {
  if (outbox.broken) return;
  event.preventDefault();
  complain("");
  const typed = new FormData(form);
  const written = String(typed.get("written")).trim();
  if (!/[a-z%°]/i.test(written)) {
    complain(words.no_unit);
    return;
  }
  const payload = Object.fromEntries(FIELDS.filter((n) => typed.get(n)).map((n) => [n, typed.get(n)]));
  const kind = payload.what === "ice" ? "ice point" : "reading";
  kept = written;
  try {
    mine = await outbox.add(kind, payload, typed.get("who") || "");
  } catch {
    form.submit();
  }
});

outbox.start().catch(() => {});
document.documentElement.dataset.ready = "yes";
