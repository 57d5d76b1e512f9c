// The drawing on the screen: closer, farther, moved and turned by pointer, keys and buttons. Places are given in
// millimetres of the drawing, y down, as it is seen from the side that is shown.
const LEAST = 0.02, MOST = 60; // pixels to a millimetre
const FAR = 0.8; // pixels to a millimetre below which names of plies would cover each other
const STILL = 7; // px a finger may slip and still touch

export class View extends EventTarget {
  constructor(svg) {
    super();
    this.svg = svg;
    this.inner = svg.querySelector("[data-view]");
    this.at = { x: 0, y: 0 };
    this.k = 1;
    this.turn = 0;
    this.pointers = new Map();
    this.many = false;
    this.drags = null; // who takes a drag instead of the view: (dx, dy in mm, done) => void
    svg.addEventListener("pointerdown", e => this.down(e));
    svg.addEventListener("pointermove", e => this.move(e));
    svg.addEventListener("pointerup", e => this.up(e, true));
    svg.addEventListener("pointercancel", e => this.up(e, false));
    svg.addEventListener("wheel", e => this.wheel(e), { passive: false });
    new ResizeObserver(() => this.show()).observe(svg);
  }

  get size() {
    const box = this.svg.getBoundingClientRect();
    return { w: Math.max(1, box.width), h: Math.max(1, box.height), left: box.left, top: box.top };
  }

  /** The box [x, y, width, height in mm] fills the drawing. */
  fit(box) {
    const { w, h } = this.size, [x, y, wide, high] = box;
    const t = this.turn * Math.PI / 180, c = Math.abs(Math.cos(t)), s = Math.abs(Math.sin(t));
    this.at = { x: x + wide / 2, y: y + high / 2 };
    this.k = Math.min(w / (wide * c + high * s), h / (wide * s + high * c));
    this.box = box;
    this.show();
  }

  zoom(by, px) {
    const before = px && this.place(px.x, px.y);
    this.k = Math.min(MOST, Math.max(LEAST, this.k * by));
    if (before) {
      const after = this.place(px.x, px.y);
      this.at = { x: this.at.x + before.x - after.x, y: this.at.y + before.y - after.y };
    }
    this.show();
  }

  turned(by) {
    this.turn = ((this.turn + by + 540) % 360) - 180;
    this.show();
  }

  pan(px, py) {
    const d = this.vector(px, py);
    this.at = { x: this.at.x - d.x, y: this.at.y - d.y };
    this.show();
  }

  show() {
    const { w, h } = this.size;
    this.inner.setAttribute(
      "transform",
      `translate(${w / 2} ${h / 2}) scale(${this.k}) rotate(${-this.turn}) translate(${-this.at.x} ${-this.at.y})`,
    );
    this.svg.style.setProperty("--mm", 1 / this.k);
    this.svg.style.setProperty("--unturn", `${this.turn}deg`);
    this.svg.classList.toggle("far", this.k < FAR);
    this.dispatchEvent(new Event("shown"));
  }

  /** A vector on the screen [px] in the drawing [mm]. */
  vector(px, py) {
    const t = this.turn * Math.PI / 180, c = Math.cos(t), s = Math.sin(t);
    return { x: (c * px - s * py) / this.k, y: (s * px + c * py) / this.k };
  }

  /** A place on the page [px] in the drawing [mm]. */
  place(clientX, clientY) {
    const { w, h, left, top } = this.size;
    const d = this.vector(clientX - left - w / 2, clientY - top - h / 2);
    return { x: this.at.x + d.x, y: this.at.y + d.y };
  }

  down(e) {
    if (e.pointerType === "mouse" && e.button !== 0) return;
    this.svg.setPointerCapture(e.pointerId);
    if (!this.pointers.size) this.many = false;
    this.pointers.set(e.pointerId, { x: e.clientX, y: e.clientY, fromX: e.clientX, fromY: e.clientY, went: false });
    if (this.pointers.size > 1) this.many = true; // two fingers never touch a place
  }

  move(e) {
    const p = this.pointers.get(e.pointerId);
    if (!p) return;
    const old = [...this.pointers.values()].map(q => ({ x: q.x, y: q.y }));
    const dx = e.clientX - p.x, dy = e.clientY - p.y;
    if (!p.went && Math.hypot(e.clientX - p.fromX, e.clientY - p.fromY) < STILL && !this.many) return;
    p.went = true;
    p.x = e.clientX;
    p.y = e.clientY;
    const now = [...this.pointers.values()];
    if (now.length === 2) {
      const apart = list => Math.hypot(list[0].x - list[1].x, list[0].y - list[1].y);
      const middle = { x: (now[0].x + now[1].x) / 2, y: (now[0].y + now[1].y) / 2 };
      this.pan(dx / 2, dy / 2);
      this.zoom(apart(now) / Math.max(1, apart(old)), middle);
    } else if (now.length === 1) {
      if (this.drags) {
        const d = this.vector(dx, dy);
        this.drags(d.x, d.y);
      } else this.pan(dx, dy);
    }
  }

  up(e, counts) {
    const p = this.pointers.get(e.pointerId);
    this.pointers.delete(e.pointerId);
    if (!p || !counts || this.many || p.went) return;
    this.dispatchEvent(new CustomEvent("touched", { detail: this.place(e.clientX, e.clientY) }));
  }

  wheel(e) {
    e.preventDefault();
    this.zoom(Math.exp(-e.deltaY * 0.0015), { x: e.clientX, y: e.clientY });
  }
}
