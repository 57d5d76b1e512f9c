// The card's first page: beginning the demonstration's records, beginning the job.
import { NoAnswer, Refused, post } from "./net.js";
import { say } from "./words.js";

const card = document.querySelector("[data-card]"), fault = document.querySelector("[data-fault]");
const api = `/api/repairs/${encodeURIComponent(card.dataset.repair)}`;

async function act(button, ask) {
  const words = button.textContent;
  button.disabled = true;
  button.textContent = say("wait");
  try {
    await ask();
    location.reload();
  } catch (error) {
    button.disabled = false;
    button.textContent = words;
    if (!(error instanceof Refused || error instanceof NoAnswer)) throw error;
    fault.textContent = error instanceof Refused ? error.problem.title : say("offline");
    fault.hidden = false;
  }
}

document.querySelector("[data-demonstration]")?.addEventListener("click", e => act(e.target, () => post(`${api}/demonstration`, {}, 180000)));
document.querySelector("[data-begin]")?.addEventListener("submit", e => {
  e.preventDefault();
  const form = e.target;
  act(form.querySelector("button"), () => post(`${api}/job`, { person: form.person.value.trim(), secret: form.secret.value }, 180000));
});
document.documentElement.dataset.ready = "card";
