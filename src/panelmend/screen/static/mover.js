// Moving the damage or the cut-out: by dragging, by keys, or by buttons of 1 mm and 1 degree. Nothing is kept
// until it is said; meanwhile the server says what it would come to.
import { say } from "./words.js";

const KEYS = { ArrowLeft: [-1, 0, 0], ArrowRight: [1, 0, 0], ArrowUp: [0, -1, 0], ArrowDown: [0, 1, 0], "[": [0, 0, 1], "]": [0, 0, -1] };

export class Mover {
  constructor(parts) {
    Object.assign(this, parts);
    this.what = "";
    this.panel.addEventListener("click", e => {
      const nudge = e.target.closest("[data-nudge]");
      if (nudge) this.by(...nudge.dataset.nudge.split(" ").map(Number));
      if (e.target.closest("[data-leave]")) this.leave();
      if (e.target.closest("[data-keep]")) this.take();
    });
  }

  get active() {
    return this.what !== "";
  }

  get layer() {
    return this.svg.querySelector(`[data-layer="${this.what}"]`);
  }

  start(what) {
    this.what = what;
    this.x = this.y = this.turn = 0;
    this.number = 0;
    this.panel.hidden = false;
    this.view.drags = (dx, dy) => this.by(dx, dy, 0);
    const source = this.layer;
    this.ghost = source ? [...source.querySelectorAll("path")].map(p => p.cloneNode()) : [];
    this.group = document.createElementNS("http://www.w3.org/2000/svg", "g");
    for (const p of this.ghost) p.setAttribute("class", "ghost");
    this.group.append(...this.ghost.slice(-1));
    this.svg.querySelector("[data-overlay]").append(this.group);
    const box = this.group.getBBox();
    this.middle = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
    this.tell();
    this.svg.focus({ preventScroll: true });
  }

  stop() {
    this.what = "";
    this.panel.hidden = true;
    this.view.drags = null;
    this.group?.remove();
  }

  key(name) {
    return KEYS[name] && (() => this.by(...KEYS[name]));
  }

  /** Move on by millimetres of the drawing (y down) and degrees (counter-clockwise as seen). */
  by(dx, dy, turn) {
    this.x += dx;
    this.y += dy;
    this.turn += turn;
    this.number += 1;
    this.group.setAttribute(
      "transform",
      `translate(${this.x} ${this.y}) rotate(${-this.turn} ${this.middle.x} ${this.middle.y})`,
    );
    this.tell();
    const number = this.number;
    this.attempt(this.move(), () => !this.active || number + 3 < this.number);
  }

  /** The move in standard axes: from the inside everything is turned over about 0 degrees. */
  move() {
    const over = this.side() === "inside" ? -1 : 1;
    return { what: this.what, dx: this.x, dy: -over * this.y, turn: over * this.turn };
  }

  tell() {
    const { dx, dy, turn } = this.move();
    this.words.textContent = say("moving", {
      words: say("moved_by", { dx: dx.toFixed(1), dy: (dy + 0).toFixed(1), turn: turn.toFixed(0) }),
    });
  }

  async take() {
    if (!this.active) return;
    const moved = this.move();
    if (!(await this.keep(moved))) return;
    this.stop();
    this.done();
  }

  async leave() {
    if (!this.active) return;
    this.stop();
    await this.restore();
    this.done();
  }
}
