// Entries wait here, in the phone's own store, until the farm computer has said it has them.
// Plain HTTP on a home network is not a "secure context": no service worker, no randomUUID.

const STORE = "entries";

function open() {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open("pinfeather", 1);
    request.onupgradeneeded = () =>
      request.result.createObjectStore(STORE, { keyPath: "place", autoIncrement: true });
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

function settled(transaction) {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = transaction.onerror = () => reject(transaction.error);
  });
}

export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}

export class Outbox {
  constructor(day, { url, token, device, station, onChange }) {
    Object.assign(this, { day, url, token, device, station, onChange });
    this.waiting = [];
    this.refused = [];
    this.reachable = true;
    this.sending = null;
    this.pause = 500;
  }

  async start() {
    this.db = await open();
    await this.reload();
    this.send();
  }

  async reload() {
    const request = this.db.transaction(STORE).objectStore(STORE).getAll();
    const all = await new Promise((resolve, reject) => {
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });
    this.waiting = all.filter((entry) => entry.day === this.day);
    this.onChange();
  }

  // Resolves when the entry is safe on this phone; rejects when it is not.
  async add(kind, payload, who) {
    const entry = { id: newId(), kind, payload, who, at: new Date().toISOString(), day: this.day };
    const transaction = this.db.transaction(STORE, "readwrite", { durability: "strict" });
    transaction.objectStore(STORE).add(entry);
    await settled(transaction);
    await this.reload();
    this.send();
    return entry.id;
  }

  send() {
    if (!this.sending) {
      this.sending = this.sendAll().finally(() => { this.sending = null; });
    }
    return this.sending;
  }

  async sendAll() {
    while (this.waiting.length) {
      const batch = this.waiting.slice(0, 50);
      let answer;
      try {
        const response = await fetch(`${this.url}/entries`, {
          method: "POST",
          headers: { "Content-Type": "application/json", "X-CSRFToken": this.token },
          body: JSON.stringify({
            device: this.device,
            station: this.station,
            sent_at: new Date().toISOString(),
            entries: batch.map(({ id, kind, payload, who, at }) => ({ id, kind, payload, who, at })),
          }),
          signal: AbortSignal.timeout(8000),
        });
        if (!response.ok) throw new Error(await problem(response));
        answer = await response.json();
      } catch (error) {
        this.reachable = false;
        this.trouble = error.name === "Error" ? error.message : "";
        this.onChange();
        setTimeout(() => this.send(), this.pause);
        this.pause = Math.min(this.pause * 2, 5000);
        return;
      }
      this.reachable = true;
      this.trouble = "";
      this.pause = 500;
      const settledIds = new Set(answer.received.map((entry) => entry.id));
      this.refused.push(...answer.received.filter((entry) => entry.problem));
      const transaction = this.db.transaction(STORE, "readwrite");
      for (const entry of batch) {
        if (settledIds.has(entry.id)) transaction.objectStore(STORE).delete(entry.place);
      }
      await settled(transaction);
      this.onState?.(answer.state);
      await this.reload();
      this.onReceived?.(answer.received);
    }
  }
}

async function problem(response) {
  try {
    return (await response.json()).sentence || "";
  } catch {
    return "";
  }
}
