// A working page: one count, one timer, what is due. Works on while the network is away.

import { Outbox } from "./outbox.js";

const page = document.querySelector("[data-station]");
const words = JSON.parse(document.getElementById("words").textContent);
const station = page.dataset.station;
const count = document.getElementById("count");
const ago = document.getElementById("ago");
const clock = document.getElementById("clock");
const saved = document.getElementById("saved");
const due = document.getElementById("due");
const findings = document.getElementById("findings");
const who = document.getElementById("who");
const lot = document.getElementById("lot");

let state = JSON.parse(document.getElementById("state").textContent);
let ahead = new Date(state.now) - Date.now();

function remember(name, make) {
  let value = localStorage.getItem(name);
  if (!value) {
    value = make();
    localStorage.setItem(name, value);
  }
  return value;
}

const outbox = new Outbox(Number(page.dataset.day), {
  url: page.dataset.api,
  token: document.querySelector("[name=csrfmiddlewaretoken]").value,
  device: remember("device", () => Math.random().toString(36).slice(2, 12)),
  station,
  onChange: show,
});
outbox.onState = take;

function fill(text, values) {
  return text.replace(/\{(\w+)\}/g, (_, name) => values[name]);
}

// What this phone has counted and the farm computer has not yet confirmed.
function own() {
  const tallies = outbox.waiting.filter((e) => e.kind === "tally" && e.payload.station === station);
  const back = new Set(outbox.waiting.filter((e) => e.kind === "correction").map((e) => e.payload.of));
  return { tallies: tallies.filter((e) => !back.has(e.id)), back };
}

function recent() {
  const { tallies, back } = own();
  const stored = state.recent.filter((t) => !back.has(t.id));
  return [...stored, ...tallies.map((e) => ({ id: e.id, birds: e.payload.birds, at: e.at }))];
}

function total() {
  const { tallies, back } = own();
  const lost = state.recent.filter((t) => back.has(t.id)).reduce((sum, t) => sum + t.birds, 0);
  return (state.counts[station] || 0) - lost + tallies.reduce((sum, e) => sum + e.payload.birds, 0);
}

function span(seconds) {
  const whole = Math.max(0, Math.floor(seconds));
  const minutes = Math.floor(whole / 60);
  if (minutes >= 60) return fill(words.hours, { h: Math.floor(minutes / 60), m: minutes % 60 });
  if (minutes >= 10) return fill(words.minutes, { m: minutes });
  if (minutes) return fill(words.minutes_seconds, { m: minutes, s: whole % 60 });
  return fill(words.seconds, { s: whole });
}

function show() {
  if (count) count.textContent = total();
  const waiting = outbox.waiting.length;
  saved.classList.toggle("waiting", Boolean(waiting && !outbox.reachable) || outbox.refused.length > 0);
  if (outbox.refused.length) {
    saved.textContent = fill(words.refused, { problem: outbox.refused.at(-1).problem });
  } else if (waiting && outbox.trouble) {
    saved.textContent = outbox.trouble;
  } else if (waiting) {
    saved.textContent = fill(outbox.reachable ? words.sending : words.waiting, { n: waiting });
  } else {
    saved.textContent = outbox.reachable ? words.saved : words.away;
  }
  tick();
}

function tick() {
  const now = Date.now() + ahead;
  clock.textContent = new Date(now).toLocaleTimeString([], {
    hour: "2-digit", minute: "2-digit", hour12: false, timeZone: page.dataset.zone,
  });
  const last = recent().at(-1);
  if (ago) ago.textContent = last ? fill(words.ago, { span: span((now - new Date(last.at)) / 1000) }) : words.none;
  for (const item of due.querySelectorAll("[data-at]")) {
    const left = (new Date(item.dataset.at) - now) / 1000;
    item.textContent = left < 0 ? fill(words.late, { span: span(-left) })
      : left < 60 ? words.now : fill(words.in, { span: span(left) });
    item.classList.toggle("late", left < 0);
  }
}

function element(name, text, attributes = {}) {
  const made = document.createElement(name);
  made.textContent = text;
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

let shown = "";
function showLists() {
  const key = JSON.stringify([state.due, state.findings]);
  if (key === shown) return;
  shown = key;
  due.replaceChildren(...state.due.map(dueLine));
  findings.replaceChildren(...state.findings.map((finding) => {
    const box = element("section", "", { class: `finding ${finding.severity}` });
    box.append(element("b", finding.sentence), element("span", finding.reason));
    return box;
  }));
}

function dueLine(item) {
  const line = document.createElement("li");
  const text = element("span", item.words);
  text.append(element("small", "", { "data-at": item.at }));
  line.append(text);
  if (item.done) {
    line.append(element("button", words.done, {
      class: "two", type: "button", "data-task": item.task, "data-place": item.place,
    }));
  } else {
    const query = new URLSearchParams({ back: station, what: item.what, place: item.place });
    line.append(element("a", words.read, { class: "btn two", href: `${page.dataset.reading}?${query}` }));
  }
  return line;
}

function take(fresh) {
  if (fresh.seq < state.seq) return;
  state = fresh;
  ahead = new Date(state.now) - Date.now();
  showLists();
  show();
}

async function poll() {
  try {
    const response = await fetch(`${page.dataset.api}/state?station=${station}`, {
      signal: AbortSignal.timeout(4000),
    });
    if (response.ok) {
      outbox.reachable = true;
      take(await response.json());
      if (outbox.waiting.length) outbox.send();
    }
  } catch {
    outbox.reachable = false;
    show();
  }
  setTimeout(poll, 1000);
}

async function keep(kind, payload) {
  try {
    await outbox.add(kind, payload, who?.value || "");
    navigator.vibrate?.(30);
  } catch {
    saved.textContent = words.full;
    saved.classList.add("waiting");
    alert(words.full);
  }
}

function tally(birds, place) {
  return keep("tally", { station, birds, place: place || "", lot: lot?.value || "" });
}

function takeBack() {
  const last = recent().at(-1);
  if (last) keep("correction", { of: last.id, reason: words.undo });
}

page.addEventListener("submit", (event) => {
  const form = event.target.closest("form[data-act]");
  if (!form) return;
  event.preventDefault();
  if (form.dataset.act === "count") {
    const several = form.querySelector("[name=birds]");
    tally(Number(several?.value || 1), event.submitter?.value);
    if (several?.type === "number") form.closest("details").open = false;
  } else {
    takeBack();
  }
});

due.addEventListener("click", (event) => {
  const button = event.target.closest("button[data-task]");
  if (!button) return;
  button.disabled = true;
  keep("done", { task: button.dataset.task, place: button.dataset.place });
});

// Any key counts, so that a foot pedal that acts as a key does: but not while typing or moving.
const SILENT = new Set(["Tab", "Shift", "Control", "Alt", "Meta", "Escape", "CapsLock"]);
document.addEventListener("keydown", (event) => {
  const field = event.target.closest("input, select, textarea, a, summary, button:not(.tap)");
  if (!page.dataset.pedal || event.repeat || event.ctrlKey || event.metaKey || event.altKey) return;
  if (field || SILENT.has(event.key) || /^(Arrow|Page|Home|End|F\d)/.test(event.key)) return;
  event.preventDefault();
  const tap = document.querySelector("button.tap");
  if (tap) tally(1, tap.value);
});

for (const select of [who, lot].filter(Boolean)) {
  const kept = localStorage.getItem(select.id);
  if (kept && [...select.options].some((o) => o.value === kept)) select.value = kept;
  select.addEventListener("change", () => localStorage.setItem(select.id, select.value));
}

showLists();
outbox.start().catch(() => {
  saved.textContent = words.no_store;
  saved.classList.add("waiting");
});
setInterval(tick, 1000);
setTimeout(poll, 1000);
document.documentElement.dataset.ready = "yes";
