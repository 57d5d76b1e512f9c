// Which blanket or thermocouple of which cure is moved: buttons made from what the drawing has.
import { say } from "./words.js";

export class Placing {
  constructor(place, picked) {
    this.place = place;
    this.picked = picked;
    this.drawn = JSON.parse(place.dataset.placed);
    place.addEventListener("click", e => {
      const b = e.target.closest("[data-pick]");
      if (b && b.getAttribute("aria-disabled") !== "true") this.take(Number(b.dataset.operation), b.dataset.pick);
    });
  }

  /** What can be picked in a mode: [operation, sensor or "", words]. */
  offered(mode) {
    const found = [];
    for (const cure of this.drawn) {
      if (mode === "blanket" && cure.blanket) found.push([cure.operation, "", `${cure.name}: ${cure.blanket}`]);
      if (mode === "thermocouple") for (const s of cure.sensors) found.push([cure.operation, s, `${cure.name}: ${s}`]);
    }
    return found;
  }

  start(mode) {
    this.mode = mode;
    const all = this.offered(mode);
    const had = all.find(([n, s]) => n === this.operation && s === this.sensor);
    [this.operation, this.sensor] = had ?? all[0] ?? [0, ""];
    this.show(false);
    return all.length > 0;
  }

  stop() {
    this.mode = "";
    this.place.replaceChildren();
  }

  /** A move that is not kept yet holds the others off. */
  show(moved) {
    if (!this.mode) return;
    this.place.replaceChildren(...this.offered(this.mode).map(([operation, sensor, words]) => {
      const b = document.createElement("button");
      b.type = "button";
      b.className = "button";
      b.dataset.operation = operation;
      b.dataset.pick = sensor;
      b.textContent = words;
      const own = operation === this.operation && sensor === this.sensor;
      b.setAttribute("aria-pressed", String(own));
      if (moved && !own) b.setAttribute("aria-disabled", "true");
      return b;
    }));
  }

  take(operation, sensor) {
    this.operation = operation;
    this.sensor = sensor;
    this.show(false);
    this.picked(this.mode);
  }

  /** Whether what is picked is placed by hand, so that it can be put back. */
  get byHand() {
    const cure = this.drawn.find(c => c.operation === this.operation);
    return Boolean(cure && (this.mode === "blanket" ? cure.blanket_by_hand : cure.sensors_by_hand));
  }

  get words() {
    return this.mode === "blanket" ? say("hand_blanket") : say("hand_sensor");
  }
}
