// The survey by touch: a ring where one tapped, Dull or Sound, and the lines as they come from the server.
import { Kept } from "./keep.js";
import { latest } from "./latest.js";
import { Microphone } from "./microphone.js";
import { get } from "./net.js";
import { say } from "./words.js";

const SVG = "http://www.w3.org/2000/svg";
const NEAR = 3; // mm: a tap so near to another is asked for again
const $ = s => document.querySelector(s);

function still(x, y, cls, r) {
  const put = document.createElementNS(SVG, "g"), keep = document.createElementNS(SVG, "g");
  const circle = document.createElementNS(SVG, "circle");
  put.setAttribute("transform", `translate(${x} ${y})`);
  keep.setAttribute("class", `still ${cls}`);
  circle.setAttribute("r", r);
  keep.append(circle);
  put.append(keep);
  return put;
}

export class Survey {
  constructor({ api, repair, overlay, side, drawn, layer, fit, tell, saved, failed }) {
    Object.assign(this, { api, overlay, side, drawn, layer, fit, tell, saved, failed });
    this.ring = null;
    this.next = [];
    this.spoken = [];
    this.ids = [];
    this.kept = new Kept(`taps ${repair}`);
    this.microphone = new Microphone({ api, asset: $("[data-microphone]").dataset.ear });
    this.kept.addEventListener("kept", e => this.saved(e.detail));
    this.kept.addEventListener("taken", () => this.ask());
    this.kept.addEventListener("refused", e => {
      this.spoken = this.spoken.filter(t => t.id !== e.detail.body.id); // it counts for nothing
      this.failed(e.detail.error);
      this.ask();
    });
    const fetch = latest(
      side => get(`${api}/survey?side=${side}`),
      (side, answer, error) => (error ? this.failed(error) : side === this.side() && this.heard(answer)),
    );
    this.ask = () => fetch(this.side());
    for (const b of document.querySelectorAll("[data-tap]")) {
      b.addEventListener("pointerdown", e => {
        e.preventDefault();
        this.said(b.dataset.tap === "dull");
      });
      b.addEventListener("keydown", e => {
        if (e.key === "Enter" || e.key === " ") {
          e.preventDefault();
          this.said(b.dataset.tap === "dull");
        }
      });
    }
    $("[data-tap-next]").addEventListener("click", () => this.goNext());
    $("[data-tap-undo]").addEventListener("click", () => this.undo());
    for (const b of document.querySelectorAll("[data-ring]")) {
      b.addEventListener("click", () => this.by(...b.dataset.ring.split(" ").map(Number)));
    }
  }

  get active() {
    return !$("[data-survey]").hidden;
  }

  start() {
    $("[data-survey]").hidden = false;
    this.fitted = false;
    this.aside(true);
    for (const key of ["outer", "middle", "taps", "next"]) this.layer(key, true);
    this.ask();
    this.show();
  }

  stop() {
    $("[data-survey]").hidden = true;
    if (this.microphone.audio) this.microphone.end("");
    this.aside(false);
    for (const key of ["taps", "next", "middle"]) this.layer(key, false);
    this.ring = null;
    this.overlay.replaceChildren();
  }

  /** Cut-out, plies and bag make room for the taps, and come back as they were. */
  aside(on) {
    const covering = '[data-group="repair"], [data-group="core"], [data-group="bag"]';
    if (on) this.shown = [...document.querySelectorAll(covering)].filter(g => !g.hasAttribute("hidden")).map(g => g.dataset.layer);
    for (const key of this.shown ?? []) this.layer(key, !on);
  }

  /** Standard axes of a place on the drawing, and back: from the inside y is turned over. */
  standard({ x, y }) {
    return { x, y: this.side() === "inside" ? y : -y };
  }

  touched(place) {
    this.ring = place;
    this.again = false;
    this.show();
  }

  by(dx, dy) {
    if (this.ring) this.touched({ x: this.ring.x + dx, y: this.ring.y + dy });
  }

  key(name) {
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[name];
    if (step && this.ring) return () => this.by(...step);
    if (name === "d" || name === "D") return () => this.said(true);
    if (name === "s" || name === "S") return () => this.said(false);
    if (name === "n" || name === "N") return () => this.goNext();
    return null;
  }

  show() {
    this.overlay.replaceChildren();
    for (const t of this.spoken.filter(t => t.side === this.side())) this.overlay.append(still(t.x, t.y, `${t.dull ? "dull" : "sound"} behind`, 5));
    if (this.ring) {
      this.overlay.append(still(this.ring.x, this.ring.y, "ring", 22), still(this.ring.x, this.ring.y, "ring", 2));
    }
    const place = this.ring && this.standard(this.ring);
    $("[data-tap-place]").textContent = place
      ? say("tap_place", { x: place.x.toFixed(1), y: (place.y + 0).toFixed(1) })
      : say("tap_no_place");
  }

  said(dull) {
    if (!this.ring) return this.tell(say("tap_no_place"));
    const near = this.taps?.find(t => Math.hypot(t.x - this.ring.x, t.y - this.ring.y) < NEAR);
    if (near && !this.again) {
      this.again = true;
      return this.tell(say("tap_again", { mm: Math.hypot(near.x - this.ring.x, near.y - this.ring.y).toFixed(1) }));
    }
    const at = this.standard(this.ring);
    const x = Math.round(at.x * 10) / 10, y = Math.round(at.y * 10) / 10 + 0;
    const id = crypto.randomUUID();
    this.microphone.said();
    this.spoken.push({ ...this.ring, dull, id, side: this.side() });
    this.lag(true);
    this.kept.put(`${this.api}/taps`, { id, side: this.side(), x, y, dull });
    this.count = (this.count ?? 0) + 1;
    this.tell(say("tap_said", { what: say(dull ? "dull" : "sound"), place: say("tap_place", { x: x.toFixed(1), y: y.toFixed(1) }), count: this.count }));
    this.ring = null;
    this.again = false;
    const next = this.next.shift();
    if (next) this.touched({ x: next.x, y: this.side() === "inside" ? next.y : -next.y });
    else this.show();
  }

  /** Takes back the last tap that this page shows, and no other device's that came meanwhile. */
  undo() {
    const of = this.order().at(-1);
    if (!of) return;
    this.spoken = this.spoken.filter(t => t.id !== of);
    this.kept.put(`${this.api}/taps`, { id: crypto.randomUUID(), side: this.side(), undo: of });
    this.lag(true);
    this.show();
    this.tell(say("tap_undone"));
  }

  /** Ids of the taps of this side that count, with those the server does not have yet. */
  order() {
    const ids = new Set(this.ids);
    for (const { body } of this.kept.all()) {
      if (body.side !== this.side()) continue;
      if (body.undo) ids.delete(body.undo);
      else ids.add(body.id);
    }
    return [...ids];
  }

  goNext() {
    const next = this.next.shift();
    if (!next) return;
    this.next.push(next);
    this.touched({ x: next.x, y: this.side() === "inside" ? next.y : -next.y });
  }

  lag(on) {
    for (const key of ["outer", "middle", "next"]) {
      document.querySelector(`[data-layer="${key}"]`)?.classList.toggle("behind", on);
    }
  }

  heard(answer) {
    if (!this.active) return;
    const waiting = this.kept.all().length;
    this.drawn(answer.layers);
    this.lag(waiting > 0);
    this.ids = answer.ids;
    if (!waiting) this.spoken = [];
    if (!this.fitted && answer.box) this.fit(answer.box);
    this.fitted = true;
    this.next = answer.next.slice();
    this.count = answer.count + waiting;
    this.taps = [...document.querySelectorAll('[data-layer="taps"] > g')].map(g => {
      const [x, y] = g.getAttribute("transform").match(/-?[\d.]+/g).map(Number);
      return { x, y };
    });
    $("[data-survey-title]").textContent = answer.title;
    $("[data-survey-size]").textContent = answer.size;
    $("[data-survey-count]").textContent = say("tap_count", answer);
    $("[data-survey-lines]").replaceChildren(
      ...answer.lines.map(line => Object.assign(document.createElement("li"), { textContent: line.trim() })),
    );
    this.show();
  }
}
