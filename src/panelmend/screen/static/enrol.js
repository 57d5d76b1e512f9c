// A person sets their secret with the code they were given.
import { Refused, post } from "./net.js";
import { say } from "./words.js";

for (const form of document.querySelectorAll("[data-enrol]")) {
  form.addEventListener("submit", async e => {
    e.preventDefault();
    const fault = form.querySelector("[data-fault]"), done = form.querySelector("[data-done]"), button = form.querySelector("[type=submit]");
    fault.hidden = done.hidden = true;
    const tell = (place, words) => { place.textContent = words; place.hidden = false; };
    if (form.secret.value !== form.again.value) return tell(fault, say("not_the_same"));
    button.disabled = true;
    try {
      await post("/api/enrol", { person: form.person.value.trim(), code: form.code.value.trim(), secret: form.secret.value });
      form.reset();
      tell(done, say("enrolled"));
    } catch (error) {
      tell(fault, error instanceof Refused ? error.problem.title : say("offline"));
    } finally {
      button.disabled = false;
      form.secret.value = form.again.value = "";
    }
  });
}
