// The panel's page: the drawing with its layers and tools, and what stands beside it.
import { Fields } from "./fields.js";
import { latest } from "./latest.js";
import { Measure } from "./measure.js";
import { Mover } from "./mover.js";
import { NoAnswer, Refused, get, post } from "./net.js";
import { Pending } from "./pending.js";
import { Photo } from "./photo.js";
import { Placing } from "./placing.js";
import { Present, clock, now as machineNow } from "./present.js";
import { Survey } from "./survey.js";
import { View } from "./view.js";
import { say } from "./words.js";

const $ = s => document.querySelector(s), $$ = s => [...document.querySelectorAll(s)];
const board = $("[data-board]"), svg = $("[data-drawing]"), beside = $("[data-beside]");
const told = $("[data-told]"), saved = $("[data-saved]"), overlay = $("[data-overlay]");
const api = `/api/repairs/${encodeURIComponent(board.dataset.repair)}`;
const numbers = text => text.split(" ").map(Number);
const now = { seen: board.dataset.seen, side: board.dataset.side, panel: numbers(board.dataset.panel), near: numbers(board.dataset.near) };
const view = new View(svg), tell = words => (told.textContent = words);
const measure = new Measure(overlay, tell);
let mode = "";

// --- the view

view.addEventListener("shown", () => {
  const mm = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000].find(n => n * view.k > 60) ?? 1000, px = mm * view.k;
  $("[data-scale-words]").textContent = say("scale_bar", { mm });
  $("[data-scale]").setAttribute("width", Math.ceil(px) + 2);
  $("[data-scale] path").setAttribute("d", `M1 1v8M1 5h${px.toFixed(1)}M${(px + 1).toFixed(1)} 1v8`);
  $("[data-zero]").style.setProperty("rotate", `${-view.turn}deg`);
});
for (const b of $$("[data-zoom]")) b.addEventListener("click", () => view.zoom(Number(b.dataset.zoom)));
for (const b of $$("[data-turn]")) b.addEventListener("click", () => view.turned(Number(b.dataset.turn)));
for (const b of $$("[data-fit]")) {
  b.addEventListener("click", () => {
    view.turn = 0;
    view.fit(b.dataset.fit === "panel" ? now.panel : now.near);
  });
}
const STEP = 40; // px a key moves the view
const keys = {
  ArrowLeft: () => view.pan(STEP, 0), ArrowRight: () => view.pan(-STEP, 0),
  ArrowUp: () => view.pan(0, STEP), ArrowDown: () => view.pan(0, -STEP),
  "+": () => view.zoom(1.25), "-": () => view.zoom(0.8),
  "[": () => view.turned(15), "]": () => view.turned(-15),
  0: () => { view.turn = 0; view.fit(now.near); },
};
svg.addEventListener("keydown", e => {
  if (e.ctrlKey || e.metaKey || e.altKey) return;
  const act = (mover.active && mover.key(e.key)) || (mode === "survey" && survey.key(e.key)) || (mode === "photo" && photo.key(e.key)) || keys[e.key];
  if (!act) return;
  e.preventDefault();
  act();
});

// --- layers

$("[data-layers]").addEventListener("click", e => {
  const b = e.target.closest("[data-toggle]");
  if (!b) return;
  showLayer(b.dataset.toggle, b.getAttribute("aria-pressed") !== "true");
});

function showLayer(key, on) {
  $(`[data-toggle="${CSS.escape(key)}"]`)?.setAttribute("aria-pressed", String(on));
  for (const g of $$(`[data-layer="${CSS.escape(key)}"]`)) g.toggleAttribute("hidden", !on);
  if (key === "photograph") photo.seen();
}

function layersDrawn(layers, there) {
  for (const layer of layers) {
    there.add(layer.key);
    let g = svg.querySelector(`[data-layer="${CSS.escape(layer.key)}"]`);
    if (!g) {
      g = document.createElementNS("http://www.w3.org/2000/svg", "g");
      g.dataset.layer = layer.key;
      g.dataset.group = layer.group;
      g.toggleAttribute("hidden", !layer.shown);
    }
    overlay.before(g); // in the answer's order
    g.innerHTML = layer.svg;
    const b = $(`[data-toggle="${CSS.escape(layer.key)}"]`);
    if (!b) continue;
    b.hidden = false;
    b.querySelector("span").textContent = layer.name;
  }
}

function drawn(drawing) {
  const there = new Set();
  layersDrawn(drawing.layers, there);
  for (const g of svg.querySelectorAll("[data-layer]")) {
    if (g.dataset.group === "survey") overlay.before(g); // stays on top of what was planned anew
    else if (g.dataset.group !== "photo" && !there.has(g.dataset.layer)) g.remove();
  }
  for (const b of $$('[data-toggle]:not([data-toggle="photograph"])')) b.hidden = !svg.querySelector(`[data-layer="${CSS.escape(b.dataset.toggle)}"]`);
  placing.drawn = drawing.placed;
  now.panel = drawing.panel;
  now.near = drawing.repair;
  $("[data-seen-words]").textContent = drawing.seen;
}

for (const b of $$("[data-look]")) {
  b.addEventListener("click", async () => {
    if (b.dataset.look === now.side || mover.active) return;
    let answer;
    try {
      ({ answer } = await get(`${api}/plan?side=${b.dataset.look}`));
    } catch (error) {
      return failed(error);
    }
    now.side = b.dataset.look;
    now.seen = answer.seen;
    const again = ["survey", "photo"].includes(mode) ? mode : "";
    set("");
    for (const g of svg.querySelectorAll('[data-group="survey"]')) g.remove();
    drawn(answer.drawing);
    view.at = { x: view.at.x, y: -view.at.y }; // the same place, turned over about 0 degrees
    view.turn = -view.turn;
    view.show();
    for (const other of $$("[data-look]")) other.setAttribute("aria-pressed", String(other === b));
    photo.turned();
    if (again) set(again);
  });
}

// --- answers

function parts(html, wanted) {
  const made = new DOMParser().parseFromString(html, "text/html");
  for (const part of wanted) {
    const old = beside.querySelector(`[data-part="${part}"]`), fresh = made.querySelector(`[data-part="${part}"]`);
    if (old && fresh) old.replaceWith(fresh);
    else if (fresh) beside.append(fresh);
    else if (old) old.remove();
  }
}

const ALL = ["standing", "findings", "fits"];

function kept({ answer, beside: html }) {
  const focus = document.activeElement?.id, seen = answer.seen;
  now.seen = seen;
  drawn(answer.drawing);
  parts(html, [...ALL, "fields"]);
  if (focus) document.getElementById(focus)?.focus();
  saved.textContent = say("saved", { time: clock(machineNow()) });
  saved.classList.remove("red");
  tell(say("took", { seconds: answer.seconds.toFixed(2) }));
}

function failed(error, typed = {}) {
  if (error instanceof Refused) {
    const rest = fields.refused(error.problem, typed);
    if (rest.length) tell(rest.join(". "));
    if (error.problem.status === 409) refresh();
  } else if (error instanceof NoAnswer) {
    saved.textContent = say("offline");
    saved.classList.add("red");
  } else throw error;
}

async function refresh() {
  try {
    const fresh = await get(`${api}/plan?side=${now.side}`);
    now.seen = fresh.answer.seen;
    drawn(fresh.answer.drawing);
    parts(fresh.beside, [...ALL, "fields"]);
  } catch (error) {
    failed(error);
  }
}

async function keep(body, typed = {}) {
  saved.textContent = say("saving");
  pending.put(typed, asRead);
  try {
    kept(await post(`${api}/change`, { seen: now.seen, side: now.side, ...body }));
    pending.drop(typed);
    return true;
  } catch (error) {
    saved.textContent = "";
    if (error instanceof Refused && ![401, 403, 409, 429, 507].includes(error.problem.status)) pending.drop(typed);
    failed(error, typed);
    if (Object.keys(pending.typed).length) waiting();
    return false;
  }
}

/** What a field held when it was shown. */
function asRead(key) {
  const field = beside.querySelector(`[data-field="${CSS.escape(key)}"] :is(input, select)`);
  if (!field) return null;
  return field.options ? [...field.options].find(o => o.defaultSelected)?.value ?? "" : field.defaultValue;
}

/** Fields that another wrote meanwhile are not written over: said beside them, and let go. */
function conflicts() {
  for (const [key, { value, before }] of Object.entries(pending.all())) {
    const there = asRead(key);
    if (there === null || before === null || there === before || there === value) continue;
    pending.drop({ [key]: value });
    fields.show(key, say("conflict", { now: there || "-", typed: value }));
  }
}

// What was typed and has no answer: shown as kept on this device, and sent again until it has one.
const pending = new Pending(board.dataset.repair);
const AGAIN = 2000; // ms
let again = 0;

function waiting() {
  conflicts();
  const typed = pending.typed, count = Object.keys(typed).length;
  saved.classList.toggle("red", count > 0);
  clearTimeout(again);
  if (!count) return;
  saved.textContent = say("kept_here", { count, time: clock(pending.since) });
  again = setTimeout(async () => {
    if (await keep({ typed }, typed)) waiting();
  }, AGAIN);
}

const attempt = latest(
  question => post(`${api}/try`, { seen: now.seen, side: now.side, ...question.body }),
  (question, result, error) => {
    if (error) return failed(error, question.typed ?? {});
    if (question.stale?.()) return;
    drawn(result.answer.drawing);
    parts(result.beside, ALL);
    for (const key of Object.keys(question.typed ?? {})) fields.show(key, "");
    if (question.typed) fields.read(result.answer.groups, words => words);
  },
);

const fields = new Fields(beside, {
  attempt: typed => attempt({ body: { typed }, typed }),
  keep: typed => keep({ typed }, typed),
});

beside.addEventListener("click", async e => {
  if (e.target.closest("[data-unpin]")) await keep({ unpin: true });
  const back = e.target.closest("[data-back]");
  if (back && back.getAttribute("aria-disabled") !== "true") {
    try {
      kept(await post(`${api}/back`, { seen: now.seen, side: now.side }));
    } catch (error) {
      failed(error);
    }
  }
});

// --- tools

const survey = new Survey({
  api, overlay, tell, failed,
  repair: board.dataset.repair,
  side: () => now.side,
  drawn: layers => layersDrawn(layers, new Set()),
  layer: showLayer,
  fit: box => view.fit(box),
  saved: waiting => {
    saved.textContent = waiting.length
      ? say("kept_here", { count: waiting.length, time: clock(waiting[0].at) })
      : say("saved", { time: clock(machineNow()) });
    if (waiting.some(w => w.memory)) tell(say("memory"));
    saved.classList.toggle("red", waiting.length > 0);
  },
});
$("[data-survey-into]").addEventListener("click", async () => {
  try {
    kept(await post(`${api}/survey/into`, { seen: now.seen, side: now.side }));
  } catch (error) {
    failed(error);
  }
});

const photo = new Photo({
  api, view, svg, overlay, tell, failed,
  place: $("[data-photo]"),
  layer: showLayer,
  side: () => now.side,
});

const placing = new Placing($("[data-placed]"), what => mover.start(what));
const mover = new Mover({
  view, svg, placing, panel: $("[data-moving]"), words: $("[data-moving-words]"),
  show: key => showLayer(key, true),
  back: put_back => keep({ put_back }),
  side: () => now.side,
  attempt: (move, stale) => attempt({ body: { move }, stale }),
  keep: move => keep({ move }),
  restore: refresh,
  done: () => set(""),
});

function set(wanted) {
  if (mode === "measure" && wanted !== "measure") measure.stop();
  if (mode === "survey" && wanted !== "survey") survey.stop();
  if (mode === "photo" && wanted !== "photo") photo.stop();
  if (mover.active && wanted !== mover.what) mover.stop();
  mode = wanted;
  for (const b of $$("[data-mode]")) b.setAttribute("aria-pressed", String(b.dataset.mode === mode));
  if (mode === "measure") measure.start();
  else if (mode === "survey") survey.start();
  else if (mode === "photo") photo.start();
  else if (mode) mover.start(mode);
}
for (const b of $$("[data-mode]")) {
  b.addEventListener("click", async () => {
    const again = b.dataset.mode === mode;
    if (mover.active) await mover.leave();
    set(again ? "" : b.dataset.mode);
  });
}
/** Another damage of the job that is touched is the one that is shown. */
function another({ x, y }) {
  const hit = [...svg.querySelectorAll('[data-layer="others"]:not([hidden]) [data-held]')].find(p => p.isPointInFill(new DOMPoint(x, y)));
  const link = hit && $$("[data-damage]").find(a => hit.dataset.held.split("+").includes(a.dataset.damage));
  if (link) link.click();
}

view.addEventListener("touched", e => {
  if (mode === "measure") measure.touched(e.detail);
  if (mode === "survey") survey.touched(e.detail);
  if (mode === "photo") photo.touched(e.detail);
  if (!mode) another(e.detail);
});

new Present(`${api}/pulse`, p => p.seen === now.seen);
conflicts();
for (const [key, value] of Object.entries(pending.typed)) {
  const field = beside.querySelector(`[data-field="${CSS.escape(key)}"] :is(input, select)`);
  if (field) field.value = value;
}
waiting();
view.fit(now.near);
document.documentElement.dataset.ready = "panel";
