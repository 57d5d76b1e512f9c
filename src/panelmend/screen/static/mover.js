// Moving the damage, the cut-out, a blanket or a thermocouple: by dragging, by keys, or by buttons of 1 mm and 1 degree. Nothing is kept
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
      if (e.target.closest("[data-put-back]")) this.putBack();
    });
  }

  get active() {
    return this.what !== "";
  }

  /** Whether what is moved can be turned too. */
  get turns() {
    return this.what === "damage" || this.what === "cutout";
  }

  get layer() {
    const key = { blanket: `blanket-${this.placing.operation}`, thermocouple: `tc-${this.placing.operation}` }[this.what] ?? this.what;
    if (!this.turns) this.show(key);
    return this.svg.querySelector(`[data-layer="${key}"]`);
  }

  /** What is drawn along with the finger. */
  copies() {
    const source = this.layer;
    if (!source) return [];
    if (this.what === "thermocouple") return [...source.querySelectorAll(`[data-held="${CSS.escape(this.placing.sensor)}"]`)].map(g => g.cloneNode(true));
    const made = [...source.querySelectorAll("path")].map(p => p.cloneNode());
    for (const p of made) p.setAttribute("class", "ghost");
    return made.slice(this.what === "blanket" ? 0 : -1);
  }

  start(what) {
    this.group?.remove();
    this.what = what;
    if (!this.turns && !this.placing.start(what)) this.tellNothing();
    this.x = this.y = this.turn = 0;
    this.number = 0;
    this.panel.hidden = false;
    this.view.drags = (dx, dy) => this.by(dx, dy, 0);
    for (const b of this.panel.querySelectorAll("[data-turns]")) b.hidden = !this.turns;
    this.offerBack();
    this.group = document.createElementNS("http://www.w3.org/2000/svg", "g");
    if (this.what === "thermocouple") this.group.setAttribute("class", "held");
    this.group.append(...this.copies());
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
    this.placing.stop();
    this.group?.remove();
  }

  key(name) {
    return KEYS[name] && (() => this.by(...KEYS[name]));
  }

  /** Move on by millimetres of the drawing (y down) and degrees (counter-clockwise as seen). */
  by(dx, dy, turn) {
    this.x += dx;
    this.y += dy;
    this.turn += this.turns ? turn : 0;
    this.number += 1;
    this.placing.show(true);
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
    const move = { what: this.what, dx: this.x, dy: -over * this.y, turn: over * this.turn };
    return this.turns ? move : { ...move, turn: 0, operation: this.placing.operation, sensor: this.placing.sensor };
  }

  /** What was placed by hand can be put back where the plan has it. */
  offerBack() {
    const back = this.panel.querySelector("[data-put-back]");
    back.hidden = this.turns || !this.placing.byHand;
    if (!back.hidden) back.textContent = this.placing.words;
  }

  tellNothing() {
    this.words.textContent = say("nothing_to_move");
  }

  async putBack() {
    if (!(await this.back({ what: this.what, operation: this.placing.operation }))) return;
    this.stop();
    this.done();
  }

  tell() {
    const { dx, dy, turn } = this.move();
    if (!this.turns && !this.placing.operation) return this.tellNothing();
    const by = { dx: dx.toFixed(1), dy: (dy + 0).toFixed(1), turn: turn.toFixed(0) };
    this.words.textContent = say("moving", { words: say(this.turns ? "moved_by" : "moved_place", by) });
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
