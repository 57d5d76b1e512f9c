// The exploded stack: each layer's own outline, turned and tilted; heights have no scale.
import { say } from "./words.js";

const NS = "http://www.w3.org/2000/svg";
const START = { turn: -20, tilt: 30, spread: 1 };
const LABEL = 21, FLATTEST = 8; // px between names, degrees
const made = (name, values, inside = "") => {
  const e = document.createElementNS(NS, name);
  for (const [k, v] of Object.entries(values)) e.setAttribute(k, v);
  if (inside) e.textContent = inside;
  return e;
};

class Stack {
  constructor(box) {
    this.box = box;
    this.svg = box.querySelector("[data-drawing]");
    this.levels = JSON.parse(box.dataset.levels);
    this.hidden = new Set();
    this.near = "";
    this.reset();
    this.listen();
    new ResizeObserver(() => this.draw()).observe(this.svg);
  }

  reset() {
    Object.assign(this, START);
  }

  listen() {
    const acts = { turn: v => (this.turn += v), tilt: v => this.tilted(v), spread: v => this.spreads(v) };
    for (const [key, act] of Object.entries(acts)) {
      for (const b of this.box.querySelectorAll(`[data-${key}]`)) {
        b.addEventListener("click", () => { act(Number(b.dataset[key])); this.draw(); });
      }
    }
    this.box.querySelector("[data-plan]").addEventListener("click", () => { this.turn = 0; this.tilt = 90; this.draw(); });
    this.box.querySelector("[data-reset]").addEventListener("click", () => { this.reset(); this.draw(); });
    const keys = {
      ArrowLeft: () => (this.turn -= 5), ArrowRight: () => (this.turn += 5), ArrowUp: () => this.tilted(5), ArrowDown: () => this.tilted(-5),
      "+": () => this.spreads(1.15), "-": () => this.spreads(0.87), 0: () => this.reset(),
    };
    this.svg.addEventListener("keydown", e => {
      if (e.ctrlKey || e.metaKey || e.altKey || !keys[e.key]) return;
      e.preventDefault();
      keys[e.key]();
      this.draw();
    });
    this.svg.addEventListener("pointerdown", e => { this.from = e; this.svg.setPointerCapture(e.pointerId); });
    this.svg.addEventListener("pointermove", e => {
      if (!this.from) return;
      this.turn += 0.4 * (e.clientX - this.from.clientX);
      if (e.pointerType === "mouse") this.tilted(0.3 * (e.clientY - this.from.clientY));
      this.from = e;
      this.draw();
    });
    for (const end of ["pointerup", "pointercancel"]) this.svg.addEventListener(end, () => (this.from = null));
    for (const b of this.box.querySelectorAll("[data-show]")) {
      b.addEventListener("click", () => {
        const key = b.dataset.show, on = this.hidden.has(key);
        this.hidden[on ? "delete" : "add"](key);
        b.setAttribute("aria-pressed", String(on));
        b.querySelector("[data-word]").textContent = say(on ? "stack_on" : "stack_off");
        this.draw();
      });
    }
    for (const row of this.box.querySelectorAll("[data-row]")) {
      for (const [event, on] of [["pointerenter", true], ["focusin", true], ["pointerleave", false], ["focusout", false]]) {
        row.addEventListener(event, () => {
          this.near = on ? row.dataset.row : "";
          row.classList.toggle("near", on);
          for (const g of this.svg.querySelectorAll("[data-level]")) g.classList.toggle("near", g.dataset.level === this.near);
        });
      }
    }
  }

  tilted(v) {
    this.tilt = Math.min(90, Math.max(FLATTEST, this.tilt + v));
  }

  spreads(v) {
    this.spread = Math.min(4, Math.max(0.2, this.spread * v));
  }

  /** A place of a layer on the page before it is fitted: turned about the middle, tilted, lifted. */
  place(x, y, z) {
    const a = (this.turn * Math.PI) / 180, t = (this.tilt * Math.PI) / 180;
    return [x * Math.cos(a) - y * Math.sin(a), -(x * Math.sin(a) + y * Math.cos(a)) * Math.sin(t) - z * Math.cos(t)];
  }

  draw() {
    const { width, height } = this.svg.getBoundingClientRect();
    if (!width) return;
    const shown = this.levels.filter(l => !this.hidden.has(l.key));
    const all = this.levels.flatMap(l => l.rings.flat());
    const size = Math.max(...all.map(p => Math.hypot(...p)), 1);
    const lift = (2.2 * size * this.spread) / Math.max(6, this.levels.length);
    const names = Math.min(300, 0.42 * width);
    const placed = shown.map((l, n) => ({ l, z: n * lift, rings: l.rings.map(r => r.map(([x, y]) => this.place(x, y, n * lift))) }));
    const points = placed.flatMap(p => p.rings.flat());
    points.push(...[-0.25, 0.25].map(x => this.place(x * size, -1.06 * size, 0)));
    if (!shown.length) return this.svg.replaceChildren();
    const box = [Math.min(...points.map(p => p[0])), Math.min(...points.map(p => p[1])), Math.max(...points.map(p => p[0])), Math.max(...points.map(p => p[1]))];
    const k = Math.min((width - names - 30) / (box[2] - box[0]), (height - 30) / (box[3] - box[1] || 1));
    const fit = ([x, y]) => [15 + k * (x - box[0]), 15 + (height - 30 - k * (box[3] - box[1])) / 2 + k * (y - box[1])];
    this.svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
    this.svg.dataset.scale = k;
    const drawn = [];
    const marks = placed.map(({ l, z, rings }) => {
      const g = made("g", { "data-level": l.key });
      if (l.key === this.near) g.classList.add("near");
      const path = r => `M${r.map(p => fit(p).map(v => v.toFixed(2)).join(" ")).join("L")}Z`;
      g.append(made("path", { class: `l-${l.pen}`, d: rings.map(path).join("") }));
      if (l.hatch.length) {
        const d = l.hatch.map(([a, b, c, e]) => `M${fit(this.place(a, b, z)).map(v => v.toFixed(2)).join(" ")}L${fit(this.place(c, e, z)).map(v => v.toFixed(2)).join(" ")}`).join("");
        g.append(made("path", { class: "warp", d }));
      }
      drawn.push(g);
      const right = rings.flat().reduce((best, p) => (p[0] > best[0] ? p : best));
      return { name: l.name, from: fit(right) };
    });
    this.svg.replaceChildren(...drawn, this.zero(size, fit), ...this.names(marks, width - names, height));
  }

  /** The panel's 0 degrees on the lowest layer. */
  zero(size, fit) {
    const [a, b] = [fit(this.place(-0.25 * size, -1.02 * size, 0)), fit(this.place(0.25 * size, -1.02 * size, 0))];
    const g = made("g", {}), turn = Math.atan2(b[1] - a[1], b[0] - a[0]);
    const barb = s => [b[0] - 12 * Math.cos(turn + s), b[1] - 12 * Math.sin(turn + s)].map(v => v.toFixed(1)).join(" ");
    g.append(made("path", { class: "zero", d: `M${a.map(v => v.toFixed(1)).join(" ")}L${b.map(v => v.toFixed(1)).join(" ")}M${barb(0.45)}L${b.map(v => v.toFixed(1)).join(" ")}L${barb(-0.45)}` }));
    g.append(made("text", { x: a[0].toFixed(1), y: (a[1] - 6).toFixed(1) }, "0°"));
    return g;
  }

  names(marks, x, height) {
    const rows = marks.map(m => ({ ...m, y: m.from[1] })).reverse(); // read down in the order of the stack, whatever the view
    for (let i = 1; i < rows.length; i++) rows[i].y = Math.max(rows[i].y, rows[i - 1].y + LABEL);
    const over = Math.max(0, rows.at(-1).y - (height - 8));
    let most = height - 8;
    for (let i = rows.length - 1; over && i >= 0; i--) {
      rows[i].y = Math.min(rows[i].y, most);
      most = rows[i].y - LABEL;
    }
    return rows.flatMap(r => [
      made("line", { class: "lead", x1: r.from[0].toFixed(1), y1: r.from[1].toFixed(1), x2: (x - 6).toFixed(1), y2: (r.y - 5).toFixed(1) }),
      made("text", { x: x.toFixed(1), y: r.y.toFixed(1) }, r.name),
    ]);
  }
}

for (const box of document.querySelectorAll("[data-stack]")) new Stack(box);
