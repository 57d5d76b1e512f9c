// Pack: pages looked at when they are asked for, and check squares written down.
import { NoAnswer, Refused, post } from "./net.js";
import { say } from "./words.js";

const name = document.querySelector("[data-leaf]").dataset.repair;

for (const b of document.querySelectorAll("[data-pages]")) {
  b.addEventListener("click", async () => {
    const into = document.querySelector(`[data-pages-of="${CSS.escape(b.dataset.pages)}"]`);
    if (into.hasChildNodes()) return into.replaceChildren();
    into.textContent = say("wait");
    const answer = await fetch(`/repairs/${encodeURIComponent(name)}/pack/pages?document=${encodeURIComponent(b.dataset.pages)}`);
    if (answer.ok) into.innerHTML = await answer.text();
    else into.textContent = say("no_pages");
  });
}

const form = document.querySelector("[data-square]");
form?.addEventListener("submit", async e => {
  e.preventDefault();
  const told = form.querySelector("[data-square-told]");
  const sent = Object.fromEntries([...new FormData(form)].filter(([, v]) => v.trim()));
  try {
    await post(`/api/repairs/${encodeURIComponent(name)}/pack/square`, sent);
    location.reload();
  } catch (error) {
    told.classList.add("red");
    if (error instanceof Refused) {
      const faults = error.problem.faults.map(f => [f.field, f.words].filter(Boolean).join(": "));
      told.textContent = [error.problem.title, error.problem.read, error.problem.expected, error.problem.todo, ...faults].filter(Boolean).join("; ");
    } else if (error instanceof NoAnswer) told.textContent = say("offline");
    else throw error;
  }
});
