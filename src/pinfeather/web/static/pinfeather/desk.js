// The weighing desk: shows the scale live, keeps what is typed while a page changes, and never
// sends one weight twice.

const page = document.querySelector("[data-desk]");
const form = document.getElementById("weigh");
const gross = document.getElementById("gross");
const entry = document.getElementById("entry");
const product = document.getElementById("product");
const price = document.getElementById("price_per_lb");
const live = document.getElementById("live");
const auto = document.getElementById("auto");
const autoRow = document.getElementById("auto_row");
const prices = JSON.parse(document.getElementById("prices").textContent);
const AUTO = "desk-auto";
const AHEAD = "desk-ahead";

let sent = false;
let offered = "";
let ended = false; // Enter was pressed on a weight typed while the last one was being written

// One weight, one package: a second Enter before the page has changed sends nothing. A scale that
// types does not wait, so what it types meanwhile is kept for the next page.
form.addEventListener("submit", (event) => {
  if (sent || !gross.value.trim()) {
    event.preventDefault();
    ended = sent && Boolean(gross.value.trim());
    return;
  }
  sent = true;
  setTimeout(() => { gross.value = ""; });
});
addEventListener("pagehide", () => {
  if (sent && gross.value.trim()) {
    sessionStorage.setItem(AHEAD, JSON.stringify({ gross: gross.value, ended }));
  }
});
addEventListener("pageshow", () => { sent = false; });

const ahead = JSON.parse(sessionStorage.getItem(AHEAD) || "null");
sessionStorage.removeItem(AHEAD);
if (ahead && !gross.value) {
  gross.value = ahead.gross;
  if (ahead.ended) form.requestSubmit();
}

// A scale that types may do so while a button has the focus; digits belong in the weight.
addEventListener("keydown", (event) => {
  const typing = event.target.closest("input, select, textarea");
  if (!typing && /^[0-9.]$/.test(event.key) && !event.ctrlKey && !event.metaKey) gross.focus();
});

product.addEventListener("change", () => {
  if (prices[product.value]) price.value = prices[product.value];
});

auto.checked = localStorage.getItem(AUTO) === "yes";
auto.addEventListener("change", () => localStorage.setItem(AUTO, auto.checked ? "yes" : "no"));

function show(now) {
  live.hidden = !now.shown && !now.entry;
  document.getElementById("live_shown").textContent = now.shown || now.stable;
  const words = { moving: "moving", stable: "stands", zero: "zero" };
  document.getElementById("live_state").textContent = now.state
    ? live.dataset[words[now.state] || "off"]
    : live.dataset.stands;
  if (!live.hidden) autoRow.hidden = false;
  if (!now.entry || now.entry === offered || sent) return;
  if (gross.value.trim() && entry.value !== offered) return; // somebody is typing
  offered = now.entry;
  gross.value = now.stable;
  entry.value = now.entry;
  if (auto.checked) form.requestSubmit();
}

async function ask() {
  try {
    const answer = await fetch(page.dataset.live, { headers: { Accept: "application/json" } });
    if (answer.ok) show(await answer.json());
  } catch {
    live.hidden = true;
  }
  setTimeout(ask, document.hidden ? 5000 : 700);
}

ask();
document.documentElement.dataset.ready = "yes";
