// Every field of the document: tried while it is typed, kept when it is left; what was typed stays until it is kept.
import { Fields } from "./fields.js";
import { latest } from "./latest.js";
import { NoAnswer, Refused, post } from "./net.js";
import { Pending } from "./pending.js";
import { say } from "./words.js";

const $ = s => document.querySelector(s);
const box = $("[data-inputs]"), told = $("[data-inputs-told]"), saved = $("[data-saved]");
const name = $("[data-leaf]").dataset.repair, api = `/api/repairs/${encodeURIComponent(name)}`;
const pending = new Pending(name, "inputs");
const AGAIN = 2000; // ms
let seen = box.dataset.seen, again = 0;

// what stands in the document, field by field: what was typed on this device is put over nothing else
const control = key => box.querySelector(`[data-field="${CSS.escape(key)}"] :is(input, select, textarea)`);
const written = f => (f.options ? [...f.options].find(o => o.defaultSelected)?.value ?? "" : f.defaultValue);
const stood = new Map([...box.querySelectorAll("[data-field]")].map(f => [f.dataset.field, written(f.querySelector("input, select, textarea"))]));
const before = key => stood.get(key) ?? "";

const refusal = problem => [problem.title, problem.read, problem.expected, problem.todo, ...problem.faults.map(f => [f.field, f.words, f.read, f.expected, f.todo].filter(Boolean).join("; "))].filter(Boolean).join(". ");
const worse = result => result.findings.map(f => `${f.word} ${f.code} ${f.words}`).join(". ");

function read(result) {
  for (const [key, words] of Object.entries(result.read_as)) {
    const b = box.querySelector(`[data-field="${CSS.escape(key)}"] [data-read]`);
    if (b) b.textContent = say("read_as", { words });
  }
}

function failed(error, typed) {
  if (error instanceof Refused) {
    const rest = error.problem.faults.length ? fields.refused(error.problem, typed) : [];
    const only = Object.keys(typed);
    if (!error.problem.faults.length && only.length === 1) fields.show(only[0], refusal(error.problem));
    told.textContent = rest.join(". ") || (error.problem.status === 409 ? refusal(error.problem) : say("not_kept"));
    told.classList.add("red");
  } else if (error instanceof NoAnswer) {
    saved.textContent = say("offline");
    saved.classList.add("red");
  } else throw error;
}

const attempt = latest(
  typed => post(`${api}/inputs/try`, { seen, typed }),
  (typed, result, error) => {
    if (error) return failed(error, typed);
    for (const key of Object.keys(typed)) fields.show(key, "");
    read(result);
    told.classList.toggle("red", result.findings.length > 0);
    told.textContent = say("would", { standing: result.standing, words: worse(result) || say("nothing_new") });
  },
);

async function keep(typed) {
  saved.textContent = say("saving");
  pending.put(typed, before);
  try {
    const result = await post(`${api}/inputs/change`, { seen, typed });
    pending.drop(typed);
    for (const [key, value] of Object.entries(typed)) stood.set(key, value);
    seen = $("[data-leaf]").dataset.seen = result.seen;
    for (const key of Object.keys(typed)) fields.show(key, "");
    read(result);
    saved.textContent = say("saved", { time: new Date().toTimeString().slice(0, 8) });
    saved.classList.remove("red");
    told.classList.toggle("red", result.findings.length > 0);
    told.textContent = say("now_is", { standing: result.standing, words: worse(result) || say("nothing_new") });
    $("[data-inputs-back]").setAttribute("aria-disabled", "false");
  } catch (error) {
    saved.textContent = "";
    failed(error, typed);
    waiting();
  }
}

function waiting() {
  const count = Object.keys(pending.typed).length;
  saved.classList.toggle("red", count > 0);
  clearTimeout(again);
  if (!count) return;
  saved.textContent = say("kept_here", { count, time: new Date(pending.since).toTimeString().slice(0, 8) });
  if (saved.dataset.offline) again = setTimeout(() => keep(pending.typed), AGAIN);
}

const inRow = e => e.target.closest("[data-row]");
const fields = new Fields(box, {
  attempt: typed => attempt(typed),
  keep: typed => keep(typed),
});
// a row that is being added is no field of the document yet
for (const event of ["input", "change"]) box.addEventListener(event, e => { if (inRow(e)) e.stopImmediatePropagation(); }, true);

for (const form of document.querySelectorAll("form[data-row]")) {
  form.addEventListener("submit", async e => {
    e.preventDefault();
    const depth = Number(form.dataset.depth), typed = {};
    for (const f of form.elements) if (f.name && f.value.trim()) typed[f.name.split(".").slice(depth).join(".")] = f.value;
    const say_ = form.querySelector("[data-row-told]");
    try {
      await post(`${api}/inputs/row`, { seen, table: form.dataset.row, typed });
      location.reload();
    } catch (error) {
      if (error instanceof Refused) say_.textContent = refusal(error.problem);
      else failed(error, {});
    }
  });
}

// a row is taken away once it was seen what goes and what it comes to
const where = row => ({ seen, table: row.dataset.rowOf, row: Number(row.dataset.rowAt) });
const own = (row, part) => [...row.querySelectorAll(part)].find(e => e.closest("[data-row-of]") === row);
const listed = (heading, found) => (found.length ? `${say(heading)} ${found.map(f => `${f.word} ${f.code} ${f.words}`).join(". ")}.` : "");

async function taken(e, row) {
  const asked = own(row, "[data-row-asked]"), fault = own(row, "[data-row-fault]"), open = own(row, "[data-row-try]");
  fault.textContent = "";
  if (e.target.closest("[data-row-leave]")) {
    asked.hidden = true;
    open.focus();
    return;
  }
  const list = row.dataset.rowOf, sure = e.target.closest("[data-row-away]");
  if (Object.keys(pending.typed).some(k => k.startsWith(`${list}.`))) { // its number would be another row's
    fault.textContent = say("row_pending");
    return;
  }
  try {
    const result = await post(`${api}/inputs/${sure ? "row-away" : "row-try"}`, where(row));
    if (sure) {
      location.href = `/repairs/${encodeURIComponent(result.go)}/inputs${location.search}`;
      return;
    }
    own(row, "[data-row-words]").textContent = result.words.trim();
    own(row, "[data-row-would]").textContent = [say("would", { standing: result.standing, words: listed("row_new", result.findings) || say("nothing_new") }), listed("row_gone", result.gone_findings)].filter(Boolean).join(" ");
    asked.hidden = false;
    asked.focus();
  } catch (error) {
    if (error instanceof Refused) fault.textContent = refusal(error.problem);
    else failed(error, {});
  }
}

document.addEventListener("click", async e => {
  const b = e.target.closest("[data-row-try], [data-row-away], [data-row-leave]"), back = e.target.closest("[data-row-back]");
  if (b) await taken(e, b.closest("[data-row-of]"));
  if (!back) return;
  try {
    const result = await post(`${api}/inputs/row-back`, { seen, id: back.closest("[data-away]").dataset.away });
    location.href = `/repairs/${encodeURIComponent(result.go)}/inputs${location.search}`;
  } catch (error) {
    if (error instanceof Refused) $("[data-back-fault]").textContent = refusal(error.problem);
    else failed(error, {});
  }
});

const today = () => {
  const now = new Date(), two = n => String(n).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
};

// heat that nobody predicted: the engineer takes it on, with a reason, or it stays off
document.addEventListener("click", async e => {
  const b = e.target.closest("[data-take-on]");
  if (!b) return;
  const by = $("[data-heat-by]"), reason = $("[data-heat-reason]"), out = $("[data-heat-told]");
  for (const [field, words] of [[by, "name_first"], [reason, "reason_first"]]) {
    if (field.value.trim()) continue;
    out.textContent = say(words);
    field.focus();
    return;
  }
  const typed = { figure: b.closest("[data-heat]").dataset.heat, by: by.value.trim(), on: today(), reason: reason.value.trim() };
  try {
    await post(`${api}/inputs/row`, { seen, table: "confirm", typed });
    location.reload();
  } catch (error) {
    if (error instanceof Refused) out.textContent = refusal(error.problem);
    else failed(error, {});
  }
});

document.addEventListener("click", async e => {
  const b = e.target.closest("[data-confirm]"), back = e.target.closest("[data-inputs-back]");
  if (b) {
    const row = b.closest("[data-default]"), by = $("[data-confirm-by]").value.trim(), out = $("[data-confirm-told]");
    if (!by) {
      out.textContent = say("name_first");
      $("[data-confirm-by]").focus();
      return;
    }
    const typed = { figure: row.dataset.default, by, on: today(), value: row.dataset.value, reason: $("[data-confirm-reason]").value };
    for (const k of Object.keys(typed)) if (!typed[k]) delete typed[k];
    try {
      seen = $("[data-leaf]").dataset.seen = (await post(`${api}/inputs/row`, { seen, table: "confirm", typed })).seen;
      row.remove();
      out.textContent = "";
    } catch (error) {
      if (error instanceof Refused) out.textContent = refusal(error.problem);
      else failed(error, {});
    }
  }
  if (back && back.getAttribute("aria-disabled") !== "true") {
    try {
      await post(`${api}/back`, { seen, side: "outside" });
      location.reload();
    } catch (error) {
      failed(error, {});
    }
  }
});

for (const [key, item] of Object.entries(pending.all())) {
  const f = control(key);
  if (!f) continue;
  if (item.before !== before(key)) { // somebody else wrote it meanwhile
    pending.drop({ [key]: item.value });
    if (item.value !== before(key)) fields.show(key, say("conflict", { now: before(key), typed: item.value }));
  } else f.value = item.value;
}
waiting();
