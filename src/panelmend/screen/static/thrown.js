// A line of what waits on this device, with a way out of it.
import { say } from "./words.js";

/** A line of what waits, thrown away when one pressed twice. */
export function thrown(text, drop) {
  const row = document.createElement("li"), words = document.createElement("span"), away = document.createElement("button");
  words.textContent = text;
  Object.assign(away, { type: "button", className: "button", textContent: say("throw_away") });
  away.addEventListener("click", () => {
    if (away.dataset.sure) return drop();
    away.dataset.sure = "true";
    away.textContent = say("throw_sure");
  });
  row.append(words, away);
  return row;
}
