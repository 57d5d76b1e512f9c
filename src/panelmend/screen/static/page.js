// What every page has: the theme, and when something was saved last.
import { post } from "./net.js";
import { say } from "./words.js";

const root = document.documentElement;

function themeButton(button) {
  const dark = root.dataset.theme === "dark";
  button.textContent = dark ? say("bright") : say("dark");
  button.setAttribute("aria-label", dark ? say("to_bright") : say("to_dark"));
}

for (const button of document.querySelectorAll("[data-theme-switch]")) {
  button.addEventListener("click", () => {
    root.dataset.theme = root.dataset.theme === "dark" ? "bright" : "dark";
    document.cookie = `panelmend-theme=${root.dataset.theme}; path=/; max-age=31536000; samesite=strict`;
    themeButton(button);
  });
}

for (const button of document.querySelectorAll("[data-language-switch]")) {
  button.addEventListener("click", () => {
    document.cookie = `panelmend-language=${button.dataset.languageSwitch}; path=/; max-age=31536000; samesite=strict`;
    location.reload();
  });
}

for (const button of document.querySelectorAll("[data-sign-out]")) {
  button.addEventListener("click", async () => {
    button.disabled = true;
    try {
      await post("/api/sign-out", {});
    } finally {
      location.assign("/"); // without an answer too: the page says then how it stands
    }
  });
}
