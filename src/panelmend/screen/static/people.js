// What the keeper of accounts does about people: each with the secret typed anew.
import { Refused, post } from "./net.js";
import { say } from "./words.js";
import "./enrol.js";

for (const form of document.querySelectorAll("[data-act]")) {
  form.addEventListener("submit", async e => {
    e.preventDefault();
    const fault = form.querySelector("[data-fault]"), button = form.querySelector("[type=submit]");
    const number = form.closest("[data-person]")?.dataset.person;
    const sent = { ...(number ? { number } : {}) };
    for (const field of form.elements) {
      if (!field.name || field.type === "checkbox") continue;
      sent[field.name] = field.name === "secret" ? field.value : field.value.trim();
    }
    if (form.querySelector("[type=checkbox]")) sent.roles = [...form.querySelectorAll("[type=checkbox]:checked")].map(b => b.value);
    fault.hidden = true;
    button.disabled = true;
    try {
      const told = await post(`/api/people/${form.dataset.act}`, sent);
      if (!told.code) return location.reload();
      const place = document.querySelector("[data-told]");
      place.querySelector("[data-code]").textContent = told.code;
      place.querySelector("[data-code-for]").textContent = say("code_for", { number: told.number, until: told.until.slice(0, 16).replace("T", " ") });
      place.hidden = false;
      place.scrollIntoView({ block: "center" });
      form.reset();
    } catch (error) {
      fault.textContent = error instanceof Refused ? [error.problem.title, ...error.problem.faults.map(f => `${f.field}: ${f.words}`)].join("; ") : say("offline");
      fault.hidden = false;
    } finally {
      button.disabled = false;
      form.querySelector("[name=secret]").value = "";
    }
  });
}
document.documentElement.dataset.ready = "people";
