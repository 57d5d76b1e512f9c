// Whether what a page shows is still so: asked again and again, and said where there is no answer or where it changed.
// Times are the workshop machine's: a device whose clock is wrong shows and writes the machine's time all the same.
import { get } from "./net.js";
import { say } from "./words.js";

const EVERY = 4000; // ms
const SILENT = 15000; // ms without an answer
const WRONG = 90; // s a device's clock may be off before it is said
const bar = document.querySelector("[data-stale]"), words = bar.querySelector("span"), look = bar.querySelector("button");

let offset = Date.parse(document.body.dataset.machineTime) - Date.now();
let best = Infinity;

/** The machine's clock [ms since 1970], from this device's. */
export const now = () => Date.now() + offset;
/** A moment by the clock of this device's zone. */
export const clock = at => new Date(at).toTimeString().slice(0, 8);

look.addEventListener("click", () => location.reload());

export class Present extends EventTarget {
  /** `same` says whether an answer is of what the page shows; `path` is asked. */
  constructor(path, same) {
    super();
    Object.assign(this, { path, same, heard: performance.now(), at: now() });
    setInterval(() => this.look(), 1000);
    this.again();
  }

  async again() {
    await this.ask();
    setTimeout(() => this.again(), EVERY);
  }

  async ask() {
    const sent = performance.now(), wall = Date.now();
    try {
      const answer = await get(this.path), took = performance.now() - sent;
      if (took < best || took < 500) {
        best = took;
        offset = Date.parse(answer.now) - (wall + took / 2);
      }
      this.heard = performance.now();
      this.at = now();
      this.fault = "";
      this.out = false;
      this.changed = !this.same(answer);
      this.dispatchEvent(new CustomEvent("pulse", { detail: answer }));
    } catch (error) {
      if (error.problem) {
        this.fault = error.problem.title;
        this.out = error.problem.type === "panelmend:session";
        this.heard = performance.now();
      }
    }
    this.look();
  }

  look() {
    const silent = performance.now() - this.heard > SILENT;
    const off = Math.round(offset / 1000);
    const told = [
      silent && say("silent", { time: clock(this.at) }),
      this.fault,
      this.changed && say("changed"),
      Math.abs(off) > WRONG && say("clock_off", { minutes: (Math.abs(off) / 60).toFixed(0), time: clock(now()) }),
    ].filter(Boolean);
    const text = told.join(" ");
    if (words.textContent !== text) words.textContent = text;
    bar.hidden = !told.length;
    look.hidden = !this.changed && !this.out;
    document.documentElement.classList.toggle("behind", silent || Boolean(this.changed));
  }
}
