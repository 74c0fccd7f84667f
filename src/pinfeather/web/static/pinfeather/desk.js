// The weighing desk: shows the scale live, writes a weight without leaving the page, and never sends
// one weight twice. A scale that types does not wait: what it types while the last weight is being
// written stays in the field, and whole weights wait their turn.

const AUTO = "desk-auto";
const at = (id) => document.getElementById(id);

let busy = false; // a weight is on its way to the farm computer
let offered = ""; // the weight of the scale that was last put into the field
const waiting = []; // whole weights typed meanwhile, oldest first

async function send(weight) {
  busy = true;
  const form = at("weigh");
  const body = new FormData(form);
  body.set("gross", weight);
  try {
    const answer = await fetch(form.action, { method: "POST", body });
    const html = await answer.text();
    const fresh = new DOMParser().parseFromString(html, "text/html");
    busy = false;
    if (!fresh.querySelector("[data-desk]")) {
      location.assign(answer.url); // another page: the owner is asked, or the day is closed
      return;
    }
    history.replaceState(null, "", answer.url);
    renew(fresh, answer.ok && !fresh.querySelector("[name=again]"));
  } catch {
    busy = false;
    at("gross").value = weight; // it is in the field again, and not written
    waiting.length = 0;
    at("cut").hidden = false;
  }
}

// Put the answer in the place of the page in one step, so that no key falls in between.
function renew(fresh, written) {
  const typed = at("gross").value;
  document.querySelector("[data-desk]").replaceWith(fresh.querySelector("[data-desk]"));
  const gross = at("gross");
  if (written) gross.value = typed;
  bind();
  gross.focus();
  if (written && waiting.length) send(waiting.shift());
}

function bind() {
  const form = at("weigh");
  const gross = at("gross");
  const product = at("product");
  const prices = JSON.parse(at("prices").textContent);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const weight = gross.value.trim();
    if (!weight) return; // a second Enter from the scale's bounce
    gross.value = "";
    at("cut").hidden = true;
    if (busy) waiting.push(weight);
    else send(weight);
  });
  product.addEventListener("change", () => {
    if (prices[product.value]) at("price_per_lb").value = prices[product.value];
  });
  at("auto").checked = localStorage.getItem(AUTO) === "yes";
  at("auto").addEventListener("change", (event) => {
    localStorage.setItem(AUTO, event.target.checked ? "yes" : "no");
  });
}

// A scale that types may do so while a button has the focus; digits belong in the weight.
addEventListener("keydown", (event) => {
  const typing = event.target.closest("input, select, textarea");
  if (!typing && /^[0-9.]$/.test(event.key) && !event.ctrlKey && !event.metaKey) at("gross").focus();
});

function show(now) {
  const live = at("live");
  live.hidden = !now.shown && !now.entry;
  at("live_shown").textContent = now.shown || now.stable;
  const words = { moving: "moving", stable: "stands", zero: "zero" };
  at("live_state").textContent = now.state
    ? live.dataset[words[now.state] || "off"]
    : live.dataset.stands;
  if (!live.hidden) at("auto_row").hidden = false;
  if (!now.entry || now.entry === offered || busy) return;
  if (at("gross").value.trim() && at("entry").value !== offered) return; // somebody is typing
  offered = now.entry;
  at("gross").value = now.stable;
  at("entry").value = now.entry;
  if (at("auto").checked) at("weigh").requestSubmit();
}

async function ask() {
  try {
    const url = document.querySelector("[data-desk]").dataset.live;
    const answer = await fetch(url, { headers: { Accept: "application/json" } });
    if (answer.ok) show(await answer.json());
  } catch {
    at("live").hidden = true;
  }
  setTimeout(ask, document.hidden ? 5000 : 700);
}

bind();
ask();
document.documentElement.dataset.ready = "yes";
