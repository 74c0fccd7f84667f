// Entries wait here, in the phone's own store, until the farm computer has said it has them.
// Plain HTTP on a home network is not a "secure context": no service worker, no randomUUID, no locks.
// Two tabs may send the same entry; the farm computer writes it once.

const WAITING = "entries";
const REFUSED = "refused";
const BATCH = 50;
const LONGEST_PAUSE = 5000;

function open() {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open("pinfeather", 2);
    request.onupgradeneeded = (event) => {
      const db = request.result;
      if (event.oldVersion < 1) db.createObjectStore(WAITING, { keyPath: "place", autoIncrement: true });
      if (event.oldVersion < 2) db.createObjectStore(REFUSED, { keyPath: "id" });
    };
    request.onsuccess = () => {
      request.result.onversionchange = () => request.result.close();
      resolve(request.result);
    };
    request.onerror = () => reject(request.error);
  });
}

function settled(transaction) {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = transaction.onerror = () => reject(transaction.error);
  });
}

function result(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}

export function deviceId() {
  try {
    const kept = localStorage.getItem("device");
    if (kept) return kept;
    localStorage.setItem("device", newId().slice(0, 10));
    return localStorage.getItem("device");
  } catch {
    return "page";
  }
}

// The token of our own pages: the cookie is fresher than a page that was opened hours ago.
function token(given) {
  const name = document.documentElement.dataset.token || "csrftoken";
  return document.cookie.match(`(?:^|; )${name}=([^;]+)`)?.[1] || given || "";
}

export class Outbox {
  constructor(day, { token: given, station, onChange }) {
    Object.assign(this, { day, given, station, onChange });
    this.device = deviceId();
    this.all = [];        // everything that waits on this phone, of any day
    this.acknowledged = []; // on the farm computer, but not yet in the state it has told
    this.refused = [];
    this.reachable = true;
    this.trouble = "";
    this.broken = false;
    this.ahead = null;    // the farm computer's clock less this phone's [ms], once it is known
    this.sending = null;
    this.pause = 500;
  }

  get waiting() {
    return this.all.filter((entry) => entry.day === this.day);
  }

  start() {
    this.started = open().then(async (db) => {
      this.db = db;
      await this.reload();
      this.send();
    });
    this.started.catch(() => { this.broken = true; });
    addEventListener("online", () => this.send());
    return this.started;
  }

  async reload() {
    const transaction = this.db.transaction([WAITING, REFUSED]);
    const [all, refused] = await Promise.all([
      result(transaction.objectStore(WAITING).getAll()),
      result(transaction.objectStore(REFUSED).getAll()),
    ]);
    this.all = all;
    this.refused = refused;
    this.onChange();
  }

  // Resolves when the entry is safe on this phone; rejects when it is not.
  async add(kind, payload, who) {
    const entry = {
      id: newId(), kind, payload, who, day: this.day, at: new Date().toISOString(),
      skew: this.ahead === null ? null : this.ahead / 1000,
    };
    await this.started;
    const transaction = this.db.transaction(WAITING, "readwrite", { durability: "strict" });
    transaction.objectStore(WAITING).add(entry);
    await settled(transaction);
    this.acknowledged = this.acknowledged.slice(-200);
    await this.reload();
    this.send();
    return entry.id;
  }

  send() {
    if (!this.sending && this.db) {
      this.sending = this.sendAll().catch(() => this.later("")).finally(() => { this.sending = null; });
    }
    return this.sending;
  }

  // In the order they were counted, day by day, until each one was acknowledged or refused.
  async sendAll() {
    const stuck = new Set();
    let size = BATCH;
    for (;;) {
      const first = this.all.find((entry) => !stuck.has(entry.day));
      if (!first) break;
      const batch = this.all.filter((entry) => entry.day === first.day).slice(0, size);
      let response;
      let answer;
      try {
        [response, answer] = await this.post(first.day, batch);
      } catch {
        this.later("");
        return;
      }
      if (response.ok) {
        await this.settle(batch, answer.received);
        size = BATCH;
      } else if (answer.ask) {
        location.replace(answer.ask); // ended on the farm computer; what waits here stays here
        return;
      } else if ([400, 413, 422].includes(response.status)) {
        if (batch.length === 1) {
          await this.settle(batch, [{ id: batch[0].id, problem: answer.sentence || `${response.status}` }]);
        }
        size = 1; // find the one that is not understood; the others go through
      } else if (response.status === 404) {
        stuck.add(first.day);
        this.trouble = answer.sentence || "";
      } else {
        if ([401, 403].includes(response.status)) await fetch(location.href).catch(() => {});
        this.later(answer.sentence || "");
        return;
      }
    }
    this.reachable = true;
    this.pause = 500;
    if (stuck.size) this.later(this.trouble, true);
  }

  async post(day, batch) {
    const begin = Date.now();
    const response = await fetch(`/api/days/${day}/entries`, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-CSRFToken": token(this.given) },
      body: JSON.stringify({
        device: this.device,
        station: this.station,
        state: false,
        sent_at: new Date(begin).toISOString(),
        entries: batch.map(({ id, kind, payload, who, at, skew }) => (
          { id, kind, payload, who, at, skew_s: skew ?? null })),
      }),
      signal: AbortSignal.timeout(8000),
    });
    const answer = await response.json().catch(() => ({}));
    if (response.ok && !answer.received) throw new Error("not an answer of ours");
    if (answer.now) this.heard(answer.now, begin);
    return [response, answer];
  }

  // The farm computer's clock, taken half way between asking and hearing.
  heard(now, begin) {
    this.ahead = new Date(now) - (begin + Date.now()) / 2;
  }

  async settle(batch, received) {
    const answers = new Map(received.map((one) => [one.id, one]));
    const transaction = this.db.transaction([WAITING, REFUSED], "readwrite", { durability: "strict" });
    for (const entry of batch) {
      const answer = answers.get(entry.id);
      if (!answer) continue;
      if (answer.problem) transaction.objectStore(REFUSED).put({ ...entry, problem: answer.problem });
      else this.acknowledged.push({ ...entry, seq: answer.seq });
      transaction.objectStore(WAITING).delete(entry.place);
    }
    await settled(transaction);
    this.reachable = true;
    this.trouble = "";
    this.pause = 500;
    await this.reload();
    this.onReceived?.(received);
  }

  later(trouble, reachable = false) {
    this.reachable = reachable;
    this.trouble = trouble;
    this.onChange();
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.send(), this.pause);
    this.pause = Math.min(this.pause * 2, LONGEST_PAUSE);
  }

  // Somebody has seen what was not taken, and written it on paper.
  async forgetRefused(id) {
    const transaction = this.db.transaction(REFUSED, "readwrite");
    if (id) transaction.objectStore(REFUSED).delete(id);
    else transaction.objectStore(REFUSED).clear();
    await settled(transaction);
    await this.reload();
  }
}
