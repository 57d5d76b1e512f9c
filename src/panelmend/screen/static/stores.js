// What is done in the stores: each entry with the secret typed anew; the records judge it.
import { Refused, post } from "./net.js";
import { say } from "./words.js";

const HOUR = 3600;  // s
const KEPT = "panelmend-stores-entered";

const read = field => {
  const typed = field.value.trim();
  if (field.dataset.entry === "hours") {
    const hours = Number(typed.replace(",", "."));
    return Number.isFinite(hours) ? Math.round(hours * HOUR) : typed;
  }
  return field.dataset.entry === "amount" ? typed.replace(",", ".") : typed;
};

const place = document.querySelector("[data-entered]");
const said = sessionStorage.getItem(KEPT);
if (place && said) {
  place.textContent = said;
  place.hidden = false;
  sessionStorage.removeItem(KEPT);
}

for (const form of document.querySelectorAll("[data-stored]")) {
  form.addEventListener("submit", async e => {
    e.preventDefault();
    const fault = form.querySelector("[data-fault]"), button = form.querySelector("[type=submit]");
    const what = { kind: form.dataset.stored }, sent = { what };
    for (const field of form.elements) {
      if (!field.name) continue;
      if ("beside" in field.dataset) sent[field.name] = field.name === "secret" ? field.value : field.value.trim();
      else if (field.dataset.entry === "tick") what[field.name] = field.checked;
      else if (field.required || field.value.trim()) what[field.name] = read(field);
    }
    fault.hidden = true;
    button.disabled = true;
    try {
      const told = await post("/api/stores/entries", sent);
      sessionStorage.setItem(KEPT, say("stores_entered", { number: told.number, head: told.head.slice(0, 16) }));
      location.reload();
    } catch (error) {
      fault.textContent = error instanceof Refused ? [error.problem.title, ...(error.problem.faults ?? []).map(f => `${f.field}: ${f.words}`)].join("; ") : say("offline");
      fault.hidden = false;
      button.disabled = false;
    } finally {
      form.querySelector("[name=secret]").value = "";
    }
  });
}
document.documentElement.dataset.ready = "stores";
