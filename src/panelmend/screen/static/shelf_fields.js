// An entry typed by form: what is typed stays on this device until it is written; what would change is seen first.
import { Refused } from "./net.js";
import { say } from "./words.js";
import { tryThenWrite } from "./would_change.js";

const $ = s => document.querySelector(s);
const page = $("[data-shelf-fields]"), form = $("[data-fields-form]"), fault = $("[data-table-fault]");
const { shelf, name, seen, room } = page.dataset;
const draft = `shelf fields ${shelf} ${name} ${seen}`;
const all = [...form.querySelectorAll("input:not([readonly]), textarea, select")];
const first = new Map(all.map(f => [f.id, f.value]));
const saying = x => [x.words, x.read, x.expected, x.todo].filter(Boolean).join("; ");

function changed() {
  return Object.fromEntries(all.filter(f => f.value !== first.get(f.id)).map(f => [f.id, f.value]));
}

try {
  const kept = JSON.parse(localStorage.getItem(draft) ?? "{}");
  for (const f of all) {
    if (!(f.id in kept)) continue;
    f.value = kept[f.id];
    for (let d = f.closest("details"); d; d = d.parentElement.closest("details")) d.open = true;
  }
} catch { /* nothing readable was kept */ }
form.addEventListener("input", () => localStorage.setItem(draft, JSON.stringify(changed())));

function sent() {
  const typed = {};
  for (const f of form.querySelectorAll("[data-field]")) {
    const at = f.querySelector("[data-value]");
    if (at.value !== first.get(at.id)) typed[f.dataset.field] = at.value;
  }
  return { shelf, name: name || form.elements.name.value.trim(), seen, by: form.elements.by.value, place: form.elements.place.value, room: Number(room), typed };
}

// Messages count rows from one, fields from nought.
const key = field => field.replace(/\[(\d+)\]/g, (_, n) => `.${n - 1}`).replace(/\.value$/, "");

function refused(error) {
  const faults = error instanceof Refused ? error.problem.faults : [], told = new Set();
  let at = null;
  for (const f of form.querySelectorAll("[data-field]")) {
    const own = faults.filter(x => x.field && (key(x.field) === f.dataset.field || x.field === f.dataset.field)), out = f.querySelector(".fault");
    for (const x of own) told.add(x);
    out.hidden = own.length === 0;
    out.textContent = own.map(saying).join(". ");
    f.classList.toggle("bad", own.length > 0);
    if (own.length) at ??= f;
  }
  for (let d = at?.closest("details"); d; d = d.parentElement.closest("details")) d.open = true;
  const rest = faults.filter(x => !told.has(x)).map(x => [x.field, saying(x)].filter(Boolean).join(": "));
  const own = error instanceof Refused ? [faults.length ? say("shelf_faults") : error.problem.title, error.problem.read, error.problem.expected, error.problem.todo] : [];
  fault.textContent = error ? (error instanceof Refused ? [...own, ...rest].filter(Boolean).join(". ") : say("offline")) : "";
  at?.querySelector("[data-value]").focus();
}

tryThenWrite(form, {
  at: { try: "/api/shelves/fields/try", write: "/api/shelves/fields" },
  draft,
  sent,
  refused,
  told: answer => {
    for (const [field, words] of Object.entries(answer.read_as)) {
      const b = form.querySelector(`[data-field="${CSS.escape(field)}"] [data-read]`);
      if (b) b.textContent = say("read_as", { words });
    }
  },
  written: answer => { location.href = `/shelves/entry?shelf=${shelf}&name=${encodeURIComponent(answer.name)}`; },
});
document.documentElement.dataset.ready = "shelves";
