// What was said on this device and is not acknowledged yet: kept in the browser's storage, each under a name of its
// own, so that two pages of one device never take away each other's; sent one by one in order, again and again until
// the server has it. A refusal takes it out and is told; no answer, and a fault of the server's own, never do.
import { NoAnswer, Refused, post } from "./net.js";

const AGAIN = 1500; // ms
const waits = status => [401, 408, 429].includes(status) || status >= 500;
const ANOTHERS = ["panelmend:another-holder", "panelmend:another-signed-in", "panelmend:role"]; // waits for who typed it

export class Kept extends EventTarget {
  constructor(name, { aged = false } = {}) {
    super();
    this.prefix = `panelmend kept ${name} `;
    this.aged = aged; // says how long it was kept, so that it is entered for when it was typed
    this.memory = []; // where the device keeps nothing
    this.sending = false;
    addEventListener("online", () => this.send());
    addEventListener("storage", e => e.key?.startsWith(this.prefix) && this.told());
    if (this.all().length) this.send();
  }

  all() {
    let stored = [];
    try {
      stored = Object.keys(localStorage).filter(k => k.startsWith(this.prefix)).sort()
        .map(key => ({ ...JSON.parse(localStorage.getItem(key)), key }));
    } catch {
      stored = [];
    }
    return [...stored, ...this.memory];
  }

  told() {
    this.dispatchEvent(new CustomEvent("kept", { detail: this.all() }));
  }

  put(path, body) {
    const last = this.all().at(-1)?.key.slice(this.prefix.length).split("-")[0] ?? 0;
    const order = String(Math.max(Date.now(), Number(last) + 1)).padStart(15, "0"); // a clock set back turns nothing round
    const key = `${this.prefix}${order}-${crypto.randomUUID()}`, item = { path, body, at: new Date().toISOString() };
    try {
      localStorage.setItem(key, JSON.stringify(item));
    } catch {
      this.memory.push({ ...item, key, memory: true });
    }
    this.told();
    this.send();
  }

  drop(item) {
    if (item.memory) this.memory = this.memory.filter(i => i.key !== item.key);
    else localStorage.removeItem(item.key);
    this.told();
  }

  async send() {
    if (this.sending) return;
    this.sending = true;
    try {
      if (!navigator.locks) await this.each();
      else await navigator.locks.request(this.prefix, { ifAvailable: true }, lock => (lock ? this.each() : null));
    } finally {
      this.sending = false;
    }
    if (this.all().length) setTimeout(() => this.send(), AGAIN);
  }

  async each() {
    const waiting = new Set(); // people who do not hold the device: what others typed goes on
    for (let next; (next = this.all().find(i => !waiting.has(i.body.person ?? ""))); ) {
      const ago = Math.max(0, (Date.now() - Date.parse(next.at)) / 1000);
      try {
        const answer = await post(next.path, this.aged ? { ...next.body, ago } : next.body);
        this.drop(next);
        this.dispatchEvent(new CustomEvent("taken", { detail: { ...next, answer } }));
      } catch (error) {
        if (error instanceof NoAnswer || (error instanceof Refused && (waits(error.problem.status) || ANOTHERS.includes(error.problem.type)))) {
          this.dispatchEvent(new CustomEvent("waits", { detail: { ...next, error } }));
          if (!ANOTHERS.includes(error.problem?.type)) return this.told();
          waiting.add(next.body.person ?? "");
        } else {
          this.drop(next);
          this.dispatchEvent(new CustomEvent("refused", { detail: { ...next, error } }));
        }
      }
    }
    this.told();
  }
}
