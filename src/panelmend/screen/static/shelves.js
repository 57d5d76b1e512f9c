// Approved data: an entry begun, a table typed, a table held against its paper and signed off.
import { Refused, post } from "./net.js";
import { say } from "./words.js";
import { tryThenWrite } from "./would_change.js";

const $ = s => document.querySelector(s);
const words = error => (error instanceof Refused
  ? [error.problem.title, error.problem.read, error.problem.expected, error.problem.todo, ...error.problem.faults.map(f => [f.field, f.words, f.read, f.expected, f.todo].filter(Boolean).join("; "))].filter(Boolean).join(". ")
  : say("offline"));
const entry = name => `/shelves/entry?shelf=data&name=${encodeURIComponent(name)}`;

const begin = $("[data-begin-entry]");
begin?.addEventListener("submit", async e => {
  e.preventDefault();
  const sent = {};
  for (const f of begin.elements) if (f.name) sent[f.name] = f.value.trim();
  sent.panels = sent.panels.split(";").map(p => p.trim()).filter(Boolean);
  try {
    location.href = entry((await post("/api/shelves/begin", sent)).name);
  } catch (error) {
    begin.querySelector("[data-fault]").textContent = words(error);
  }
});

// A table: kept on this device while it is typed, looked at, then written.
const table = $("[data-shelf-table]");
if (table) {
  const form = $("[data-table-form]"), fault = $("[data-table-fault]");
  const draft = `shelf ${table.dataset.name} ${table.dataset.table} ${table.dataset.seen}`;
  const fields = [...form.querySelectorAll("input:not([readonly]), textarea")];
  try {
    const kept = JSON.parse(localStorage.getItem(draft) ?? "{}");
    for (const f of fields) if (f.id in kept) f.value = kept[f.id];
  } catch { /* nothing readable was kept */ }
  form.addEventListener("input", () => localStorage.setItem(draft, JSON.stringify(Object.fromEntries(fields.map(f => [f.id, f.value])))));
  const sent = () => {
    const pasted = $("[data-pasted]"), typed = {};
    for (const f of form.querySelectorAll("[data-field]")) typed[f.dataset.field] = { value: f.querySelector("[data-value]").value, place: f.querySelector("[data-place]").value };
    const rows = pasted?.value ?? "";
    return { name: table.dataset.name, seen: table.dataset.seen, table: table.dataset.table, place: form.elements.place.value, by: form.elements.by.value, typed: rows.trim() ? {} : typed, pasted: rows };
  };
  const refused = error => {
    let first = null;
    for (const f of form.querySelectorAll("[data-field]")) {
      const own = error instanceof Refused ? error.problem.faults.find(x => x.field === f.dataset.field) : null, told = f.querySelector(".fault");
      told.hidden = !own;
      told.textContent = own ? [own.words, own.read, own.expected, own.todo].filter(Boolean).join("; ") : "";
      f.classList.toggle("bad", Boolean(own));
      if (own) first ??= f;
    }
    fault.textContent = error ? words(error) : "";
    first?.querySelector("input").focus();
  };
  tryThenWrite(form, {
    at: { try: "/api/shelves/try", write: "/api/shelves/table" },
    draft,
    sent,
    refused,
    written: () => { location.href = entry(table.dataset.name); },
  });
}

// A second person: each table by itself, with exactly what was shown.
const check = $("[data-shelf-check]");
if (check) {
  const by = $("[data-by]"), against = $("[data-against]");
  for (const f of [by, against]) {
    if (!f.readOnly) f.value = sessionStorage.getItem(`shelf check ${f.id}`) ?? "";
    f.addEventListener("input", () => sessionStorage.setItem(`shelf check ${f.id}`, f.value));
  }
  check.addEventListener("click", async e => {
    const part = e.target.closest("[data-sign-part]")?.closest("[data-part]");
    if (!part) return;
    const out = part.querySelector("[data-sign-fault]");
    for (const [f, key] of [[by, "shelf_who"], [against, "shelf_paper"]]) {
      if (f.value.trim()) continue;
      out.textContent = say(key);
      f.focus();
      return;
    }
    try {
      await post("/api/shelves/sign", { shelf: check.dataset.shelf, name: check.dataset.name, seen: check.dataset.seen, part: part.dataset.part, digest: part.dataset.digest, by: by.value, against: against.value });
      location.reload();
    } catch (error) {
      out.textContent = words(error);
    }
  });
}
document.documentElement.dataset.ready = "shelves";
