// A working page: one count, one timer, what is due. Works on while the network is away.

import { counted, late, lost } from "./buzz.js";
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
const loud = document.getElementById("loud");
const refused = document.getElementById("refused");
const POLL = 500;

let state = JSON.parse(document.getElementById("state").textContent);
const version = state.version; // of the program that made this page
let ahead = new Date(state.now) - Date.now(); // the farm computer's clock less this phone's [ms]

const outbox = new Outbox(Number(page.dataset.day), {
  token: document.querySelector("[name=csrfmiddlewaretoken]").value,
  station,
  onChange: show,
});
outbox.ahead = ahead;

function fill(text, values) {
  return text.replace(/\{(\w+)\}/g, (_, name) => values[name]);
}

// What this phone has counted and the farm computer has not yet told back.
function own() {
  outbox.acknowledged = outbox.acknowledged.filter((e) => e.seq > state.seq);
  const mine = [...outbox.acknowledged.filter((e) => e.day === outbox.day), ...outbox.waiting];
  const tallies = mine.filter((e) => e.kind === "tally" && e.payload.station === station);
  const back = new Set(mine.filter((e) => e.kind === "correction").map((e) => e.payload.of));
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
  saved.classList.toggle("waiting", outbox.broken || Boolean(waiting && !outbox.reachable));
  refused.hidden = !outbox.refused.length;
  if (outbox.refused.length) {
    refused.querySelector("b").textContent = fill(words.refused, { problem: outbox.refused.at(-1).problem });
  }
  if (outbox.broken) {
    saved.textContent = words.no_store;
  } else if (waiting && outbox.trouble) {
    saved.textContent = outbox.trouble;
  } else if (waiting) {
    saved.textContent = fill(outbox.reachable ? words.sending : words.waiting, { n: waiting });
  } else {
    saved.textContent = outbox.reachable ? words.saved : words.away;
  }
  tick();
}

let ticked = false;
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
    if (left < 0 && !item.classList.contains("late") && ticked) late();
    item.classList.toggle("late", left < 0);
  }
  ticked = true;
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

function take(fresh, begin) {
  outbox.heard(fresh.now, begin);
  ahead = outbox.ahead;
  if (fresh.seq < state.seq) return;
  if (fresh.version !== version && !outbox.all.length) {
    location.reload(); // the farm computer was renewed meanwhile
    return;
  }
  state = fresh;
  showLists();
  show();
}

async function poll() {
  const begin = Date.now();
  try {
    const query = new URLSearchParams({ station, mark: state.mark });
    const response = await fetch(`/api/days/${outbox.day}/state?${query}`, {
      signal: AbortSignal.timeout(4000),
    });
    if (response.status === 401) {
      location.replace((await response.json()).ask);
      return;
    }
    if (response.ok) {
      const back = !outbox.reachable;
      outbox.reachable = true;
      if (response.status === 200) take(await response.json(), begin);
      else if (back) show();
      if (outbox.all.length) outbox.send();
    }
  } catch {
    outbox.reachable = false;
    show();
  }
  setTimeout(poll, Math.max(50, POLL - (Date.now() - begin)));
}

async function keep(kind, payload) {
  try {
    await outbox.add(kind, payload, who?.value || "");
    loud.hidden = true;
    counted();
  } catch {
    loud.hidden = false;
    loud.querySelector("b").textContent = words.full;
    loud.scrollIntoView({ block: "center" });
    lost();
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
  if (!form || outbox.broken) return; // then the farm computer takes the form itself
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
  if (!button || outbox.broken) return;
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
  if (tap && outbox.broken) tap.click();
  else if (tap) tally(1, tap.value);
});

for (const select of [who, lot].filter(Boolean)) {
  try {
    const kept = localStorage.getItem(select.id);
    if (kept && [...select.options].some((o) => o.value === kept)) select.value = kept;
  } catch { break; }
  select.addEventListener("change", () => localStorage.setItem(select.id, select.value));
}
refused.querySelector("button").addEventListener("click", () => outbox.forgetRefused());

showLists();
outbox.start().catch(show);
setInterval(tick, 1000);
setTimeout(poll, POLL);
document.documentElement.dataset.ready = "yes";
