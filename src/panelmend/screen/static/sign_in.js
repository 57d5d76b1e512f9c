// Signing in. The page stands at the address that was asked for, which opens anew once somebody is in.
import { Refused, post } from "./net.js";
import { say } from "./words.js";
import "./enrol.js";

for (const form of document.querySelectorAll("[data-sign-in]")) {
  form.addEventListener("submit", async e => {
    e.preventDefault();
    const fault = form.querySelector("[data-fault]"), button = form.querySelector("[type=submit]");
    button.disabled = true;
    try {
      await post("/api/sign-in", { person: form.person.value.trim(), secret: form.secret.value });
      location.reload();
    } catch (error) {
      fault.textContent = error instanceof Refused ? error.problem.title : say("offline");
      fault.hidden = false;
      button.disabled = false;
    } finally {
      form.secret.value = "";
    }
  });
}
document.documentElement.dataset.ready = "sign-in";
