// A photograph under the drawing: chosen, made smaller on this device (which leaves out what the camera wrote beside
// it, as where it was), laid by two points, seen through. Kept with the repair; nothing is measured in it.
import { digest } from "./files.js";
import { NoAnswer, Refused, post, put } from "./net.js";
import { say } from "./words.js";

const SVG = "http://www.w3.org/2000/svg";
const LONGEST = 3000; // picture elements along the longer side
const NUDGE = 2; // px of the screen a key moves a point
const KEYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const KEY = "photograph";
const make = name => document.createElementNS(SVG, name);

/** A chosen picture, upright and no larger than is needed, as the bytes of a JPEG file. */
async function smaller(file) {
  const bitmap = await createImageBitmap(file, { imageOrientation: "from-image" });
  const by = Math.min(1, LONGEST / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(bitmap.width * by);
  canvas.height = Math.round(bitmap.height * by);
  canvas.getContext("2d").drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  bitmap.close();
  const blob = await new Promise(done => canvas.toBlob(done, "image/jpeg", 0.9));
  if (!blob) throw new TypeError("no picture");
  return blob.arrayBuffer();
}

export class Photo {
  constructor({ api, place, view, svg, overlay, layer, side, tell, failed }) {
    Object.assign(this, { api, place, view, svg, overlay, layer, side, tell, failed });
    this.all = JSON.parse(place.dataset.photographs).photographs;
    this.find = s => place.querySelector(s);
    this.points = [...place.querySelectorAll("[data-point]")];
    this.button = document.querySelector(`[data-toggle="${KEY}"]`);
    this.rough = null;
    this.touching = null;
    this.find("[data-photo-file]").addEventListener("change", e => this.chosen(e.target));
    this.find("[data-photo-lay]").addEventListener("click", () => this.lay());
    this.find("[data-photo-away]").addEventListener("click", () => this.away());
    this.find("[data-opacity]").addEventListener("input", () => this.draw());
    this.find("[data-opacity]").addEventListener("change", () => this.here?.matrix && this.send(...this.here.points));
    for (const [n, box] of this.points.entries()) {
      for (const b of box.querySelectorAll("[data-touch]")) b.addEventListener("click", () => this.touch(n, b.dataset.touch));
      for (const f of box.querySelectorAll("[data-x], [data-y]")) f.addEventListener("input", () => this.draw());
      box.querySelector("[data-known]")?.addEventListener("change", e => e.target.value && this.placed(n, ...e.target.value.split(" ").map(Number)));
    }
    this.turned();
  }

  /** The photograph of the side that is shown. */
  get here() {
    return this.all.find(p => p.side === this.side());
  }

  get active() {
    return !this.place.hidden;
  }

  start() {
    this.place.hidden = false;
    if (this.here) this.layer(KEY, true);
    this.tell(say(this.here ? (this.here.matrix ? "photo_laid" : "photo_match") : "photo_none"));
    this.draw();
    if (this.here && !this.here.matrix) this.touch(0, "picture");
  }

  stop() {
    this.place.hidden = true;
    this.untouch();
    this.overlay.replaceChildren();
    this.draw();
  }

  /** Another side is shown, or another photograph is there. */
  turned() {
    const p = this.here, field = this.find("[data-opacity]");
    this.at = [null, null];
    this.rough = null;
    this.untouch();
    for (const [n, box] of this.points.entries()) {
      const known = p?.points[n];
      this.at[n] = known ? [known.u, known.v] : null;
      box.querySelector("[data-x]").value = known ? known.x : "";
      box.querySelector("[data-y]").value = known ? known.y : "";
      if (box.querySelector("[data-known]")) box.querySelector("[data-known]").value = "";
    }
    field.value = Math.round(100 * (p?.opacity ?? 1));
    this.find("[data-photo-there]").hidden = !p;
    this.wrong("");
    this.draw();
  }

  /** From picture elements to the drawing's mm; before it is laid it fills what is seen. */
  get matrix() {
    const p = this.here;
    if (p.matrix) return p.matrix;
    if (!this.rough) {
      const { w, h } = this.view.size, { x, y } = this.view.at, k = 0.9 * Math.min(w / p.width, h / p.height) / this.view.k;
      this.rough = [k, 0, 0, k, x - k * p.width / 2, y - k * p.height / 2];
    }
    return this.rough;
  }

  draw() {
    const p = this.here;
    let g = this.svg.querySelector(`[data-layer="${KEY}"]`);
    if (this.button) this.button.hidden = !p || (!p.matrix && !this.active);
    if (!p || (!p.matrix && !this.active)) {
      g?.remove();
      this.svg.classList.remove("over-photo");
      return;
    }
    if (!g) {
      g = make("g");
      g.dataset.layer = KEY;
      g.dataset.group = "photo";
      g.append(make("image"));
      this.svg.querySelector("[data-view]").prepend(g);
    }
    const image = g.querySelector("image"), href = `${this.api}/photographs/${p.digest}`;
    if (image.getAttribute("href") !== href) image.setAttribute("href", href);
    for (const [name, value] of Object.entries({ width: p.width, height: p.height, preserveAspectRatio: "none" })) image.setAttribute(name, value);
    image.setAttribute("transform", `matrix(${this.matrix.join(" ")})`);
    const shown = this.touching === "panel" ? 0.25 : this.touching === "picture" ? 1 : Number(this.find("[data-opacity]").value) / 100;
    image.setAttribute("opacity", shown);
    this.svg.classList.toggle("matching", this.touching === "picture");
    this.seen();
    this.find("[data-photo-words]").textContent = p.matrix ? [say("photo_is", { words: p.words }), p.by].filter(Boolean).join(" · ") : "";
    if (this.active) this.marks();
  }

  /** Areas of the drawing are seen through where there is a photograph under them. */
  seen() {
    const g = this.svg.querySelector(`[data-layer="${KEY}"]`);
    this.svg.classList.toggle("over-photo", Boolean(g) && !g.hasAttribute("hidden"));
  }

  /** The two points as they are in the photograph (rings), and where they are on the panel (crosses). */
  marks() {
    this.overlay.replaceChildren();
    for (const [n, box] of this.points.entries()) {
      const at = this.at[n], on = this.onPanel(box);
      box.querySelector("[data-picture-words]").textContent = at ? say("photo_point", { u: at[0].toFixed(0), v: at[1].toFixed(0) }) : say("photo_no_point");
      if (at) this.mark(this.seenAt(at), "ring", "circle", n + 1);
      if (on) this.mark({ x: on[0], y: this.side() === "inside" ? on[1] : -on[1] }, "next", "path", n + 1);
    }
  }

  mark({ x, y }, pen, kind, number) {
    const put = make("g"), still = make("g"), sign = make(kind), name = make("text");
    put.setAttribute("transform", `translate(${x} ${y})`);
    still.setAttribute("class", `still ${pen}`);
    if (kind === "circle") sign.setAttribute("r", "14");
    else sign.setAttribute("d", "M-12 0H12M0 -12V12");
    name.textContent = number;
    name.setAttribute("x", kind === "circle" ? "18" : "10");
    name.setAttribute("y", kind === "circle" ? "6" : "-6");
    name.setAttribute("class", "b");
    still.append(sign);
    const words = make("g");
    words.setAttribute("class", "still");
    words.append(name);
    put.append(still, words);
    this.overlay.append(put);
  }

  seenAt([u, v]) {
    const [a, b, c, d, e, f] = this.matrix;
    return { x: a * u + c * v + e, y: b * u + d * v + f };
  }

  inPicture({ x, y }) {
    const [a, b, c, d, e, f] = this.matrix, det = a * d - b * c, p = this.here;
    const u = (d * (x - e) - c * (y - f)) / det, v = (a * (y - f) - b * (x - e)) / det;
    return u < 0 || v < 0 || u > p.width || v > p.height ? null : [u, v];
  }

  onPanel(box) {
    const typed = ["[data-x]", "[data-y]"].map(s => box.querySelector(s).value.trim().replace(",", "."));
    return typed.every(t => t !== "" && Number.isFinite(Number(t))) ? typed.map(Number) : null;
  }

  touch(n, what) {
    const again = this.n === n && this.touching === what;
    this.untouch();
    if (!again) {
      this.n = n;
      this.touching = what;
      this.points[n].querySelector(`[data-touch="${what}"]`).setAttribute("aria-pressed", "true");
      this.layer(KEY, true);
      this.tell(say(what === "picture" ? "photo_touch_picture" : "photo_touch_panel", { number: n + 1 }));
    }
    this.draw();
  }

  untouch() {
    this.touching = null;
    this.svg.classList.remove("matching");
    for (const b of this.place.querySelectorAll("[data-touch]")) b.setAttribute("aria-pressed", "false");
  }

  touched(place) {
    if (!this.touching || !this.here) return;
    if (this.touching === "panel") return this.placed(this.n, place.x, this.side() === "inside" ? place.y : -place.y);
    const at = this.inPicture(place);
    if (!at) return this.tell(say("photo_outside"));
    this.at[this.n] = at;
    this.draw();
  }

  /** A key moves the point that is touched; the first press puts it in the middle of what is seen. */
  key(name) {
    const by = KEYS[name];
    if (!by || !this.touching || !this.here) return null;
    return () => {
      const on = this.onPanel(this.points[this.n]), over = this.side() === "inside" ? 1 : -1;
      const is = this.touching === "picture" ? this.at[this.n] && this.seenAt(this.at[this.n]) : on && { x: on[0], y: over * on[1] };
      const d = this.view.vector(NUDGE * by[0], NUDGE * by[1]);
      this.touched(is ? { x: is.x + d.x, y: is.y + d.y } : { ...this.view.at });
    };
  }

  placed(n, x, y) {
    const box = this.points[n];
    box.querySelector("[data-x]").value = Math.round(100 * x) / 100;
    box.querySelector("[data-y]").value = Math.round(100 * y) / 100 + 0;
    this.draw();
  }

  wrong(words) {
    const fault = this.find("[data-photo-fault]");
    fault.textContent = words;
    fault.hidden = !words;
  }

  whole() {
    return this.points.every((box, n) => this.at[n] && this.onPanel(box));
  }

  async sent(ask) {
    this.wrong("");
    try {
      this.all = (await ask()).photographs;
      return true;
    } catch (error) {
      if (error instanceof Refused) this.wrong([error.problem.title, error.problem.read, error.problem.expected, error.problem.todo].filter(Boolean).join(". "));
      else if (error instanceof NoAnswer) this.failed(error);
      else this.wrong(say("photo_unread"));
      return false;
    }
  }

  async chosen(field) {
    const file = field.files[0], side = this.side();
    if (!file) return;
    const taken = await this.sent(async () => {
      const bytes = await smaller(file);
      return put(`${this.api}/photograph?${new URLSearchParams({ side, digest: await digest(bytes) })}`, bytes);
    });
    field.value = "";
    if (!taken) return this.tell(this.find("[data-photo-fault]").textContent);
    this.turned();
    this.start();
  }

  async lay() {
    if (!this.whole()) return this.wrong(say("photo_two"));
    const [first, second] = this.points.map((box, n) => {
      const [u, v] = this.at[n], [x, y] = this.onPanel(box);
      return { u, v, x, y };
    });
    if (await this.send(first, second)) this.turned();
  }

  async send(first, second) {
    const body = { side: this.side(), digest: this.here.digest, first, second, opacity: Number(this.find("[data-opacity]").value) / 100 };
    if (!(await this.sent(() => post(`${this.api}/photograph/lay`, body)))) return false;
    this.tell(say("photo_laid"));
    return true;
  }

  async away() {
    if (!(await this.sent(() => post(`${this.api}/photograph/away`, { side: this.side() })))) return;
    this.turned();
    this.overlay.replaceChildren();
    this.tell(say("photo_none"));
  }
}
