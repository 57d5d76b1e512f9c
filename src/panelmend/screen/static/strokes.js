// A name written with finger or pen beside the secret: lines of whole numbers in a field of 600 by 200. What proves who
// signed is the secret; the lines are kept and printed with it. They go when the dialog is left.
const APART = 4; // units between two points
const MOST = 5900; // characters the records take

class Strokes {
  constructor(place) {
    this.svg = place.querySelector("[data-strokes]");
    this.path = place.querySelector("[data-path]");
    this.field = place.querySelector("[name=strokes]");
    this.clear();
    this.svg.addEventListener("pointerdown", e => this.down(e));
    this.svg.addEventListener("pointermove", e => this.move(e));
    for (const end of ["pointerup", "pointercancel"]) this.svg.addEventListener(end, () => this.up());
    place.querySelector("[data-strokes-clear]").addEventListener("click", () => this.clear());
    place.closest("dialog")?.addEventListener("close", () => this.clear());
  }

  clear() {
    this.lines = [];
    this.line = null;
    this.draw();
  }

  at(e) {
    const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(this.svg.getScreenCTM().inverse());
    return [Math.min(599, Math.max(0, Math.round(p.x))), Math.min(199, Math.max(0, Math.round(p.y)))];
  }

  down(e) {
    if ((e.pointerType === "mouse" && e.button !== 0) || this.line) return;
    e.preventDefault();
    this.svg.setPointerCapture(e.pointerId);
    this.line = [this.at(e)];
  }

  move(e) {
    if (!this.line) return;
    for (const one of e.getCoalescedEvents?.() ?? [e]) {
      const [x, y] = this.at(one), [ax, ay] = this.line.at(-1);
      if (Math.hypot(x - ax, y - ay) >= APART) this.line.push([x, y]);
    }
    this.draw();
  }

  up() {
    if (!this.line) return;
    if (this.line.length === 1) { // a dot
      const [x, y] = this.line[0];
      this.line.push([x, Math.min(199, y + 1)]);
    }
    this.lines.push(this.line);
    this.line = null;
    this.draw();
  }

  draw() {
    const all = this.line && this.line.length > 1 ? [...this.lines, this.line] : this.lines;
    let path = "";
    for (const line of all) {
      const made = `M${line.map(p => p.join(" ")).join("L")}`;
      if (path.length + made.length > MOST) break;
      path += made;
    }
    this.path.setAttribute("d", path);
    this.field.value = path;
  }
}

for (const place of document.querySelectorAll("[data-written-by-hand]")) new Strokes(place);
