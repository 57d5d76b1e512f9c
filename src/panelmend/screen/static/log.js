// Cure logs: a file is put in as it is, how it is read is confirmed by a person, then it is judged.
import { NoAnswer, Refused, post, put } from "./net.js";
import { say } from "./words.js";

const $ = s => document.querySelector(s);
const logs = $("[data-logs]"), repair = encodeURIComponent(logs.dataset.repair), log = logs.dataset.log;

function told(place, error) {
  if (!(error instanceof Refused || error instanceof NoAnswer)) throw error;
  const p = error.problem;
  place.textContent = p ? [p.title, p.read, p.expected, p.todo, ...p.faults.map(f => `${f.field}: ${f.words}`)].filter(Boolean).join("; ") : say("offline");
  place.hidden = false;
}

$("[data-file]").addEventListener("change", async e => {
  const file = e.target.files[0], fault = $("[data-put-fault]");
  if (!file) return;
  fault.hidden = true;
  if (file.size > Number(logs.dataset.most) * 2 ** 20) {
    fault.textContent = say("too_large", { most: logs.dataset.most });
    return (fault.hidden = false);
  }
  const name = file.name.replace(/[^A-Za-z0-9 ._()+-]+/g, "-").replace(/^[^A-Za-z0-9]+/, "").slice(-120) || "log.csv";
  try {
    await put(`/api/logs/${encodeURIComponent(name)}`, file);
    location.search = `?log=${encodeURIComponent(name)}`;
  } catch (error) {
    told(fault, error);
  }
});

$("[data-confirm]")?.addEventListener("submit", async e => {
  e.preventDefault();
  const answers = {}, fault = $("[data-confirm-fault]");
  for (const field of e.target.querySelectorAll("[data-answer]")) {
    const asked = field.dataset.question !== undefined;
    if (asked ? field.value : field.value !== field.dataset.was) answers[field.dataset.answer] = field.value;
  }
  try {
    await post(`/api/logs/${encodeURIComponent(log)}/reading`, { by: e.target.by.value.trim(), answers });
    location.reload();
  } catch (error) {
    told(fault, error);
  }
});

let judged = null;
$("[data-judge]")?.addEventListener("submit", async e => {
  e.preventDefault();
  const form = e.target, fault = $("[data-judge-fault]"), button = form.querySelector("button"), words = button.textContent;
  const leak = [...form.querySelectorAll("[data-leak]")].map(x => x.value.trim());
  while (leak.length && !leak.at(-1)) leak.pop();
  const seen = [...form.querySelectorAll("[data-seen]")].map(x => x.value.trim());
  const watch = [...form.querySelectorAll("[data-watch]")].filter(x => x.dataset.cure === form.operation.value)
    .map(x => [x.dataset.watch, ...[...x.querySelectorAll("input")].map(i => i.value.trim())]).filter(x => x[1] || x[2]).map(x => x.join("; "));
  judged = { watch, set_to: form.set_to.value.trim(), ran: form.ran.value.trim(), gauge_seen: seen.some(x => x) ? seen.join("; ") : "", leak: leak.join("; "), vacuum_on: form.vacuum_on.value.trim(), bag_opened: form.bag_opened.value.trim() };
  fault.hidden = true;
  button.disabled = true;
  button.textContent = say("wait");
  try {
    const answer = await post(`/api/repairs/${repair}/judge`, { log, operation: form.operation.value, ...judged, began: form.began.value.trim(), by: form.by.value.trim() }, 120000);
    $("[data-verdict]").innerHTML = answer.html;
    if ($("[data-keep]")) {
      $("[data-keep]").hidden = false;
      $("[data-second]").hidden = !judged.gauge_seen;
      for (const b of document.querySelectorAll("[data-keep-step]")) b.hidden = b.dataset.cure !== form.operation.value;
    }
  } catch (error) {
    told(fault, error);
  } finally {
    button.disabled = false;
    button.textContent = words;
  }
});
// what was judged is no longer what would be kept
$("[data-judge]")?.addEventListener("input", () => {
  $("[data-verdict]").replaceChildren();
  if ($("[data-keep]")) $("[data-keep]").hidden = true;
});

// the dwells of the cure that is chosen
$("[data-judge]")?.operation.addEventListener("change", e => {
  for (const x of document.querySelectorAll("[data-watch]")) x.hidden = x.dataset.cure !== e.target.value;
});

for (const b of document.querySelectorAll("[data-keep-step]")) {
  b.addEventListener("click", async () => {
    b.disabled = true;
    const second = judged.gauge_seen ? { second: $("#k-second").value.trim(), second_secret: $("#k-second-secret").value } : {};
    $("#k-second-secret").value = "";
    try {
      await post(`/api/repairs/${repair}/steps/${b.dataset.keepStep}/verdict`, { log, ...judged, ...second, person: b.dataset.person }, 120000);
      location.href = `/repairs/${repair}/card/${b.dataset.keepStep}`;
    } catch (error) {
      told($("[data-keep-fault]"), error);
      b.disabled = false;
    }
  });
}
document.documentElement.dataset.ready = "log";
