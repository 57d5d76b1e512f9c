// Long work in the background: begun, told how far it is, stopped; the page is made anew when it is done.
import { NoAnswer, Refused, get, post } from "./net.js";
import { say } from "./words.js";

const EVERY = 700; // ms

for (const box of document.querySelectorAll("[data-errand]")) {
  const name = document.querySelector("[data-leaf]").dataset.repair, kind = box.dataset.errand;
  const api = `/api/repairs/${encodeURIComponent(name)}/errands/${kind}`;
  const start = box.querySelector("[data-start]"), stop = box.querySelector("[data-stop]"), told = box.querySelector("[data-told-now]");

  const look = async () => {
    try {
      const now = await get(api);
      stop.hidden = !now.running;
      start.hidden = now.running;
      told.textContent = now.running ? say("errand_runs", { words: now.words, seconds: Math.round(now.seconds) }) : now.fault || now.words;
      told.classList.toggle("red", Boolean(now.fault));
      if (now.running) setTimeout(look, EVERY);
      else if (box.dataset.running === "true" && !now.fault) location.reload();
      box.dataset.running = String(now.running);
    } catch (error) {
      failed(error);
      setTimeout(look, 4 * EVERY);
    }
  };
  const failed = error => {
    if (error instanceof Refused) told.textContent = [error.problem.title, error.problem.todo].filter(Boolean).join("; ");
    else if (error instanceof NoAnswer) told.textContent = say("offline");
    else throw error;
    told.classList.add("red");
  };
  start.addEventListener("click", async () => {
    try {
      await post(api, {});
      box.dataset.running = "true";
      told.classList.remove("red");
      look();
    } catch (error) {
      failed(error);
    }
  });
  stop.addEventListener("click", () => post(`${api}/stop`, {}).catch(failed));
  if (box.dataset.running === "true") look();
  else if (box.dataset.auto) start.click();
}
