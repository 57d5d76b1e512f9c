// Measuring between two places on the drawing, in both systems.
import { say } from "./words.js";

const SVG = "http://www.w3.org/2000/svg";
const INCH = 25.4; // mm, exactly

export class Measure {
  constructor(overlay, tell) {
    this.overlay = overlay;
    this.tell = tell;
    this.ends = [];
  }

  start() {
    this.ends = [];
    this.draw();
    this.tell(say("measure_first"));
  }

  stop() {
    this.ends = [];
    this.draw();
    this.tell("");
  }

  touched(place) {
    if (this.ends.length === 2) this.ends = [];
    this.ends.push(place);
    this.draw();
    if (this.ends.length === 1) return this.tell(say("measure_second"));
    const [a, b] = this.ends, mm = Math.hypot(b.x - a.x, b.y - a.y);
    this.tell(say("measured", { mm: mm.toFixed(1), inch: (mm / INCH).toFixed(3) }));
  }

  draw() {
    this.overlay.replaceChildren();
    if (this.ends.length === 2) {
      const line = document.createElementNS(SVG, "path");
      line.setAttribute("class", "rule-line");
      line.setAttribute("d", `M${this.ends[0].x} ${this.ends[0].y}L${this.ends[1].x} ${this.ends[1].y}`);
      this.overlay.append(line);
    }
    for (const { x, y } of this.ends) {
      const put = document.createElementNS(SVG, "g"), still = document.createElementNS(SVG, "g");
      put.setAttribute("transform", `translate(${x} ${y})`);
      still.setAttribute("class", "still");
      const ring = document.createElementNS(SVG, "circle");
      ring.setAttribute("class", "rule-end");
      ring.setAttribute("r", "6");
      still.append(ring);
      put.append(still);
      this.overlay.append(put);
    }
  }
}
