// Sound and shaking for each tap: off until somebody switches them on, on this phone alone.

let audio = null;

function on(name) {
  try { return localStorage.getItem(name) === "on"; } catch { return false; }
}

export function tone(hertz, seconds, after = 0) {
  if (!on("sound")) return;
  try {
    audio ??= new AudioContext();
    if (audio.state === "suspended") audio.resume();
    const begin = audio.currentTime + after;
    const wave = audio.createOscillator();
    const loud = audio.createGain();
    wave.frequency.value = hertz;
    loud.gain.setValueAtTime(0.2, begin);
    loud.gain.exponentialRampToValueAtTime(0.001, begin + seconds);
    wave.connect(loud).connect(audio.destination);
    wave.start(begin);
    wave.stop(begin + seconds);
  } catch { /* a phone without sound still counts */ }
}

export function shake(pattern) {
  if (on("vibrate")) navigator.vibrate?.(pattern);
}

export function counted() { tone(880, 0.08); shake(30); }
export function lost() { tone(220, 0.5); tone(220, 0.5, 0.6); shake([200, 100, 200]); }
export function late() { tone(660, 0.15); tone(660, 0.15, 0.25); shake([80, 80, 80]); }

for (const box of document.querySelectorAll("input[data-buzz]")) {
  box.checked = on(box.dataset.buzz);
  box.addEventListener("change", () => {
    try { localStorage.setItem(box.dataset.buzz, box.checked ? "on" : "off"); } catch { return; }
    counted();
  });
}
