// One step of the card: blanks judged as they are typed, kept on this device until the disk has them, clocks that
// run, signatures on exactly what was shown.
import { bench } from "./bench.js";
import { Kept } from "./keep.js";
import { latest } from "./latest.js";
import { NoAnswer, Refused, get, post } from "./net.js";
import { Present, clock, now } from "./present.js";
import { thrown } from "./thrown.js";
import { View } from "./view.js";
import { say } from "./words.js";

const $ = s => document.querySelector(s);
const step = $("[data-step]"), place = $("[data-do]"), told = $("[data-told]"), saved = $("[data-saved]");
const repair = step.dataset.repair, number = step.dataset.number;
const api = `/api/repairs/${encodeURIComponent(repair)}/steps/${number}`;
const holder = $("[data-holder]").dataset.holder;

// --- drawing

const svg = $("[data-drawing]");
if (svg) new View(svg).fit(svg.dataset.near.split(" ").map(Number));

// --- what is typed: a draft on this device at each key, kept by the server when the field is left

const drafts = {
  name: `panelmend draft ${repair} ${number}`,
  all() {
    try {
      return JSON.parse(localStorage.getItem(this.name) ?? "{}");
    } catch {
      return {};
    }
  },
  put(blank, typed) {
    const all = this.all();
    if (typed === null) delete all[blank];
    else all[blank] = typed;
    try {
      if (Object.keys(all).length) localStorage.setItem(this.name, JSON.stringify(all));
      else localStorage.removeItem(this.name);
    } catch {
      told.textContent = say("memory");
    }
  },
};

function writtenIn(blank) {
  const meets = blank.querySelector("[data-meets]")?.value ?? "";
  return {
    blank: Number(blank.dataset.blank),
    typed: blank.querySelector("[data-typed]").value.trim(),
    limit: blank.querySelector("[data-limit]")?.value.trim() ?? "",
    meets: meets === "" ? null : meets === "true",
    why: blank.querySelector("[data-why]").value.trim(),
  };
}

const whole = (blank, w) => w.typed && (blank.dataset.person !== "true" || (w.limit && w.meets !== null));

function fault(blank, words) {
  const p = blank.querySelector(".fault");
  p.textContent = words;
  p.hidden = !words;
}

// --- each blank is judged by itself; what stood there before never stays beside what is typed now

function judgedAs(blank, word, kind, bad) {
  const met = blank.querySelector("[data-met] .state");
  met.lastChild.textContent = word;
  met.className = `state state-${kind}`;
  met.querySelector("svg").toggleAttribute("hidden", kind === "not-yet");
  blank.classList.toggle("bad", bad);
}

const judges = new Map();

function judge(blank) {
  const number = blank.dataset.blank, { why: _, ...body } = writtenIn(blank);
  judgedAs(blank, say("judging"), "not-yet", false);
  if (!judges.has(number)) {
    judges.set(number, latest(
      sent => post(`${api}/judge`, sent),
      (sent, answer, error) => {
        const here = place.querySelector(`[data-blank="${number}"]`);
        if (!here || writtenIn(here).typed !== sent.typed) return;
        if (error) return judgedAs(here, say("not_judged"), "not-yet", false);
        judgedAs(here, answer.met, answer.met.toLowerCase().replaceAll(" ", "-"), answer.met === "OUTSIDE LIMIT");
        fault(here, answer.fault);
      },
    ));
  }
  judges.get(number)(body);
  drafted(blank);
}

/** Say that what stands in a blank is not what is written. */
function drafted(blank) {
  const p = blank.querySelector("[data-draft]"), is = blank.querySelector("[data-typed]").value.trim() !== blank.dataset.written;
  p.hidden = !is;
  p.querySelector("span").textContent = blank.dataset.written ? say("draft", { written: blank.dataset.written }) : say("draft_none");
  p.querySelector("[data-put-back]").hidden = !blank.dataset.written;
}

const kept = new Kept(`readings ${repair}`, { aged: true });
kept.addEventListener("kept", e => show(e.detail));
kept.addEventListener("waits", e => {
  const { error, body } = e.detail, type = error.problem?.type;
  if (type === "panelmend:another-holder") told.textContent = say("another", { person: body.person });
  else if (type === "panelmend:holder") told.textContent = say("nobody_holds");
  else if (type === "panelmend:session") told.textContent = say("come_in");
  else if (error.problem && error.problem.status !== 429) told.textContent = error.problem.title;
});
kept.addEventListener("taken", e => {
  if (!e.detail.path.startsWith(`${api}/`)) return;
  const all = drafts.all(), blank = e.detail.body.blank;
  if (all[blank]?.typed === e.detail.body.typed) drafts.put(blank, null);
  fresh(e.detail.answer);
});
kept.addEventListener("refused", e => {
  const blank = place.querySelector(`[data-blank="${e.detail.body.blank}"]`), { error } = e.detail;
  const words = error instanceof Refused ? error.problem.title : String(error);
  if (!blank || !e.detail.path.startsWith(`${api}/`)) return (told.textContent = words);
  fault(blank, words);
  if (error.problem?.type === "panelmend:R134") askWhy(blank); // another wrote it meanwhile: with a reason it goes
});

function show(waiting) {
  saved.classList.toggle("red", waiting.length > 0);
  saved.textContent = waiting.length
    ? [say("kept_here", { count: waiting.length, time: clock(waiting[0].at) }), waiting.some(w => w.memory) && say("memory")].filter(Boolean).join(". ")
    : say("saved", { time: clock(now()) });
  list(waiting);
}

/** What is kept on this device and not written, with a way out where its person does not come back. */
function list(waiting) {
  const rows = waiting.map(item => {
    const step = item.path.match(/steps\/(\d+)\//)?.[1] ?? "";
    const words = say("kept_item", { step, blank: item.body.blank, typed: item.body.typed, person: item.body.person, time: clock(item.at) });
    return thrown(words, () => kept.drop(item));
  });
  const there = $("[data-kept-list]");
  if (there.querySelector("[data-sure]") && rows.length === there.children.length) return; // one is about to press it
  there.replaceChildren(...rows);
}

/** Files that are kept on this device and not acknowledged. */
function listed(items, drop) {
  filesWait = items.some(i => i.number === number);
  $("[data-kept-files]").replaceChildren(...items.map(item => {
    const words = say("kept_file", { step: item.number, name: item.name, person: item.person, time: clock(item.at) });
    return thrown(words, () => drop(item));
  }));
}

const PARTS = ["clocks", "lots", "labels", "batches", "files", "deviations", "signed", "ending"];
const rendered = new Map(); // what the server last said of each part and blank
const pieces = root => [
  ...PARTS.map(p => [p, root.querySelector(`[data-part="${p}"]`)]),
  ...[...root.querySelectorAll("[data-blank]")].map(b => [`blank ${b.dataset.blank}`, b]),
];
for (const [name, piece] of pieces(place)) rendered.set(name, piece?.outerHTML);

/** Put in what the server says of the step now: only what changed, and never where one is typing. */
function fresh(answer) {
  const made = new DOMParser().parseFromString(answer.html, "text/html").querySelector("[data-step-part]");
  const old = place.querySelector("[data-step-part]"), there = new Map(pieces(old));
  Object.assign(old.dataset, { ...made.dataset });
  for (const [name, next] of pieces(made)) {
    const was = there.get(name), html = next?.outerHTML;
    if (rendered.get(name) === html) continue;
    if (was?.contains(document.activeElement) && next) {
      if (next.dataset.written !== undefined) {
        was.dataset.written = next.dataset.written;
        drafted(was); // written meanwhile, by another page of this device or by others
      }
      continue; // it is put in with the next answer after one has left it
    }
    rendered.set(name, html);
    if (was && next) was.replaceWith(next);
    else if (was) was.remove();
    else if (next) old.querySelector('[data-part="ending"]').before(next);
  }
  restore();
  more.restore();
  tick();
}

/** Drafts of this step back into their blanks. */
function restore() {
  for (const [n, draft] of Object.entries(drafts.all())) {
    const blank = place.querySelector(`[data-blank="${n}"]`);
    if (!blank || blank.contains(document.activeElement) || blank.querySelector("[data-typed]").disabled) continue;
    blank.querySelector("[data-typed]").value = draft.typed;
    if (blank.querySelector("[data-limit]")) blank.querySelector("[data-limit]").value = draft.limit;
    if (blank.querySelector("[data-meets]")) blank.querySelector("[data-meets]").value = draft.meets === null ? "" : String(draft.meets);
    judge(blank);
  }
}

place.addEventListener("input", e => {
  const blank = e.target.closest("[data-blank]");
  if (!blank || e.target.matches("[data-why]")) return;
  const written = writtenIn(blank);
  drafts.put(blank.dataset.blank, written);
  judge(blank);
});

function keep(blank) {
  const written = writtenIn(blank), before = blank.dataset.written;
  if (written.typed === before && !blank.querySelector("[data-limit]")) return drafts.put(blank.dataset.blank, null);
  if (!whole(blank, written)) return;
  if (!holder) return (told.textContent = say("nobody_holds"));
  if (before && !written.why) return askWhy(blank);
  if (kept.all().some(i => i.path === `${api}/reading` && i.body.blank === written.blank && i.body.typed === written.typed)) return;
  kept.put(`${api}/reading`, { ...written, person: holder });
}

function askWhy(blank) {
  blank.querySelector("[data-why-box]").hidden = false;
  blank.querySelector("[data-why]").focus();
}

function putBack(blank) {
  const number = blank.dataset.blank;
  drafts.put(number, null);
  blank.querySelector("[data-typed]").value = blank.dataset.written;
  drafted(blank);
  blank.querySelector("[data-why-box]").hidden = true;
  rendered.delete(`blank ${number}`);
  document.activeElement?.blur(); // what one stands in is not put in anew
  again();
}

/** The step as the records have it now. */
async function again() {
  try {
    fresh(await get(api));
  } catch (error) {
    if (!(error instanceof Refused || error instanceof NoAnswer)) throw error;
  }
}

place.addEventListener("change", e => {
  const blank = e.target.closest("[data-blank]");
  if (blank && !e.target.matches("[data-why]")) keep(blank);
});
place.addEventListener("keydown", e => {
  if (e.key === "Enter" && e.target.matches("[data-blank] input")) e.target.blur();
});
place.addEventListener("click", e => {
  const blank = e.target.closest("[data-blank]");
  if (blank && e.target.closest("[data-again], [data-write]")) keep(blank);
  if (blank && e.target.closest("[data-put-back]")) putBack(blank);
  if (blank && e.target.closest("[data-now]")) {
    const d = new Date(now()), two = n => String(n).padStart(2, "0"), o = -d.getTimezoneOffset();
    const zone = `${o < 0 ? "-" : "+"}${two(Math.floor(Math.abs(o) / 60))}:${two(Math.abs(o) % 60)}`;
    const typed = blank.querySelector("[data-typed]");
    typed.value = `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())} ${two(d.getHours())}:${two(d.getMinutes())}${zone}`;
    drafts.put(blank.dataset.blank, writtenIn(blank));
    judge(blank);
    keep(blank);
  }
  const sign = e.target.closest("[data-sign]");
  if (sign) openSign(sign.dataset.sign);
});

// --- clocks

function tick() {
  for (const c of place.querySelectorAll("[data-until]")) {
    const left = Math.floor((new Date(c.dataset.until) - now()) / 1000), all = Number(c.dataset.all);
    const abs = Math.abs(left), h = Math.floor(abs / 3600), two = n => String(n).padStart(2, "0");
    const time = `${h ? `${h} h ` : ""}${two(Math.floor(abs / 60) % 60)}:${two(abs % 60)}`;
    const word = left < 0 ? say("over") : left < 0.25 * all ? say("soon") : "";
    c.classList.toggle("red", Boolean(word));
    c.querySelector("[data-left]").textContent = [word, left < 0 ? time : say("left", { time })].filter(Boolean).join(" ");
  }
}
setInterval(tick, 1000);

// --- who holds it

const holdDialog = $("[data-hold-dialog]"), holdForm = $("[data-hold-form]");
$("[data-take]").addEventListener("click", () => holdDialog.showModal());
holdForm.addEventListener("submit", async e => {
  e.preventDefault();
  const f = $("[data-hold-fault]"), button = holdForm.querySelector("[type=submit]");
  button.disabled = true;
  try {
    await post("/api/hold", { person: holdForm.person.value.trim(), secret: holdForm.secret.value });
    location.reload();
  } catch (error) {
    f.textContent = error instanceof Refused ? error.problem.title : say("offline");
    f.hidden = false;
  } finally {
    button.disabled = false;
    holdForm.secret.value = "";
  }
});
for (const b of document.querySelectorAll("[data-close]")) b.addEventListener("click", () => b.closest("dialog").close());

// --- signatures

const signDialog = $("[data-sign-dialog]"), signForm = $("[data-sign-form]");
let shown = null;

async function openSign(meaning) {
  if (filesWait || kept.all().some(i => i.path.startsWith(`${api}/`)) || unwritten()) return (told.textContent = say("sign_waits"));
  try {
    shown = await get(`${api}/shown`);
  } catch (error) {
    if (!(error instanceof Refused || error instanceof NoAnswer)) throw error;
    return (told.textContent = error instanceof Refused ? error.problem.title : say("offline"));
  }
  $("[data-covers]").replaceChildren(
    ...shown.items.map(i => Object.assign(document.createElement("li"), { textContent: `${i.what}: ${i.typed} ${i.met}` })),
  );
  for (const s of document.querySelectorAll("[data-statement]")) s.textContent = shown.statements[s.dataset.statement];
  signForm.querySelector(`[value="${meaning}"]`).checked = true;
  $("[data-sign-fault]").hidden = true;
  signDialog.showModal();
}

/** Whether something stands in a blank that is not what is written. */
const unwritten = () => [...place.querySelectorAll("[data-blank]")].some(b => b.querySelector("[data-typed]").value.trim() !== b.dataset.written);

signForm.addEventListener("submit", async e => {
  e.preventDefault();
  const f = $("[data-sign-fault]"), button = signForm.querySelector("[type=submit]");
  button.disabled = true;
  try {
    await post(`${api}/sign`, {
      person: signForm.person.value.trim(), secret: signForm.secret.value, meaning: signForm.meaning.value,
      why: signForm.why.value.trim(), strokes: signForm.strokes.value, content: shown.content, ticket: shown.ticket,
    });
    location.reload();
  } catch (error) {
    f.textContent = error instanceof Refused ? error.problem.title : say("offline");
    f.hidden = false;
  } finally {
    button.disabled = false;
    signForm.secret.value = "";
  }
});

signForm.addEventListener("change", () => {
  const ask = $("[data-ask-why]"), meaning = signForm.meaning.value;
  ask.hidden = meaning !== "rejected" && !(meaning === "did" && "notEntered" in ask.dataset);
});

const releaseDialog = $("[data-release-dialog]"), releaseForm = $("[data-release-form]");
place.addEventListener("click", async e => {
  if (!e.target.closest("[data-release]")) return;
  try {
    shown = await get(`${api}/shown?release=true`);
    releaseDialog.showModal();
  } catch (error) {
    if (!(error instanceof Refused || error instanceof NoAnswer)) throw error;
    told.textContent = error instanceof Refused ? error.problem.title : say("offline");
  }
});
releaseForm?.addEventListener("submit", async e => {
  e.preventDefault();
  const f = $("[data-release-fault]"), said = Object.fromEntries(new FormData(releaseForm));
  try {
    await post(`${api}/release`, { ...said, content: shown.content, ticket: shown.ticket });
    location.reload();
  } catch (error) {
    f.textContent = error instanceof Refused ? error.problem.title : say("offline");
    f.hidden = false;
  } finally {
    releaseForm.secret.value = "";
  }
});

let filesWait = false;
const more = bench({ place, repair, number, holder, fresh, again, listed });

// --- other screens: what they wrote is put in, and what could not be asked is said

const shownNow = { plan: step.dataset.seen, job: Number(step.dataset.entry), holder };
const present = new Present(`/api/repairs/${encodeURIComponent(repair)}/pulse`, p => p.seen === shownNow.plan && p.holder === shownNow.holder);
present.addEventListener("pulse", e => {
  if (e.detail.entry === shownNow.job) return;
  shownNow.job = e.detail.entry;
  again();
});

restore();
for (const blank of place.querySelectorAll("[data-blank]")) drafted(blank);
tick();
if (kept.all().length) show(kept.all());
document.documentElement.dataset.ready = "step";
