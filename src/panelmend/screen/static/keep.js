// What was said on this device and is not acknowledged yet: kept in the browser's storage, sent one by one in
// order, again and again until the server has it. A refusal takes it out and is told; no answer never does.
import { NoAnswer, Refused, post } from "./net.js";

const AGAIN = 1500; // ms

export class Kept extends EventTarget {
  constructor(name) {
    super();
    this.name = `panelmend kept ${name}`;
    this.sending = false;
    addEventListener("online", () => this.send());
    if (this.all().length) this.send();
  }

  all() {
    try {
      return JSON.parse(localStorage.getItem(this.name) ?? "[]");
    } catch {
      return [];
    }
  }

  write(items) {
    if (items.length) localStorage.setItem(this.name, JSON.stringify(items));
    else localStorage.removeItem(this.name);
    this.dispatchEvent(new CustomEvent("kept", { detail: items }));
  }

  put(path, body) {
    this.write([...this.all(), { path, body, at: new Date().toISOString() }]);
    this.send();
  }

  async send() {
    if (this.sending) return;
    this.sending = true;
    try {
      for (let next = this.all()[0]; next; next = this.all()[0]) {
        try {
          const answer = await post(next.path, next.body);
          this.write(this.all().slice(1));
          this.dispatchEvent(new CustomEvent("taken", { detail: { ...next, answer } }));
        } catch (error) {
          if (error instanceof NoAnswer || (error instanceof Refused && [401, 429, 507].includes(error.problem.status))) {
            this.write(this.all());
            setTimeout(() => this.send(), AGAIN);
            return;
          }
          this.write(this.all().slice(1));
          this.dispatchEvent(new CustomEvent("refused", { detail: { ...next, error } }));
        }
      }
    } finally {
      this.sending = false;
    }
  }
}
