// Photographs and files of a repair that are not acknowledged yet: kept whole in the browser's database, sent one by
// one with their digest, again and again until the server has them. A refusal takes one out and is told.
import { NoAnswer, Refused, put } from "./net.js";

const AGAIN = 2500; // ms
const waits = status => [401, 408, 429].includes(status) || status >= 500;
const STORE = "files";

const asked = request => new Promise((done, failed) => {
  request.onsuccess = () => done(request.result);
  request.onerror = () => failed(request.error);
});

/** A name that the server takes: plain letters, its ending kept. */
export const plain = name => name.replace(/[^A-Za-z0-9._()+-]+/g, "-").replace(/^[^A-Za-z0-9]+/, "").slice(-80).replace(/^[^A-Za-z0-9]+/, "") || "file";

export async function digest(bytes) {
  const made = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return [...made].map(b => b.toString(16).padStart(2, "0")).join("");
}

export class Files extends EventTarget {
  constructor(repair) {
    super();
    this.repair = repair;
    this.sending = false;
    addEventListener("online", () => this.send());
  }

  /** What was kept before this page was opened. */
  async begin() {
    if (!(await this.all()).length) return;
    this.dispatchEvent(new Event("kept"));
    this.send();
  }

  async store(mode) {
    if (!this.base) {
      const open = indexedDB.open("panelmend", 1);
      open.onupgradeneeded = () => open.result.createObjectStore(STORE, { keyPath: "key" });
      this.base = await asked(open);
    }
    return this.base.transaction(STORE, mode, { durability: "strict" }).objectStore(STORE);
  }

  async all() {
    try {
      const found = await asked((await this.store("readonly")).getAll());
      return found.filter(i => i.repair === this.repair).sort((a, b) => (a.key < b.key ? -1 : 1));
    } catch {
      return []; // where the device keeps nothing, putting one in says so
    }
  }

  /** Keep a file on this device and send it. Rejects where the device keeps nothing. */
  async put({ number, api, file, what, person }) {
    const bytes = await file.arrayBuffer(), at = new Date().toISOString();
    const item = { key: `${at} ${crypto.randomUUID()}`, repair: this.repair, number, api, name: plain(file.name), what, person, at, bytes, digest: await digest(bytes) };
    await asked((await this.store("readwrite")).put(item));
    this.dispatchEvent(new Event("kept"));
    this.send();
  }

  async drop(key) {
    await asked((await this.store("readwrite")).delete(key));
    this.dispatchEvent(new Event("kept"));
  }

  async send() {
    if (this.sending) return;
    this.sending = true;
    try {
      await navigator.locks.request(`panelmend files ${this.repair}`, { ifAvailable: true }, lock => (lock ? this.each() : null));
    } finally {
      this.sending = false;
    }
    if ((await this.all()).length) setTimeout(() => this.send(), AGAIN);
  }

  async each() {
    for (const item of await this.all()) {
      const said = new URLSearchParams({ file: item.name, what: item.what, person: item.person, digest: item.digest });
      try {
        const answer = await put(`${item.api}/file?${said}`, item.bytes);
        await this.drop(item.key);
        this.dispatchEvent(new CustomEvent("taken", { detail: { ...item, answer } }));
      } catch (error) {
        if (!(error instanceof NoAnswer || error instanceof Refused)) throw error;
        if (error instanceof NoAnswer || waits(error.problem.status)) continue;
        await this.drop(item.key);
        this.dispatchEvent(new CustomEvent("refused", { detail: { ...item, error } }));
      }
    }
  }
}
