// Tells that the farm computer is at work where an answer takes longer than half a second, and lets
// one stop waiting. What was sent may have been written down all the same; the page says so.

const AFTER_MS = 500;
const FILE = /\.(csv|ics|pdf|png|sqlite3|svg|toml|txt|zip)$/;
const bar = document.getElementById("busy");
let timer = 0;

function wait() {
  clearTimeout(timer);
  timer = setTimeout(() => { bar.hidden = false; }, AFTER_MS);
}

function over() {
  clearTimeout(timer);
  bar.hidden = true;
}

document.addEventListener("submit", (event) => {
  if (!event.defaultPrevented && !event.target.target) wait();
});
document.addEventListener("click", (event) => {
  const link = event.target.closest?.("a[href]");
  if (!link || event.defaultPrevented || event.ctrlKey || event.metaKey || event.shiftKey) return;
  const here = new URL(location.href);
  const there = new URL(link.href);
  const same = there.pathname === here.pathname && there.search === here.search;
  if (there.origin !== here.origin || same || link.target || FILE.test(there.pathname)) return;
  wait();
});
bar.querySelector("button").addEventListener("click", () => {
  window.stop();
  over();
});
window.addEventListener("pageshow", over);
window.addEventListener("pagehide", over);
