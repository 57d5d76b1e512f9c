// What is typed of an entry, tried first: what it would change stands row by row, and is written when somebody says so.
import { post } from "./net.js";
import { say } from "./words.js";

const $ = s => document.querySelector(s);

// `at` are the addresses to try and to write; `sent` gives what is typed, `refused` shows an error or takes it away
// again, `told` sees the answer of a try, `written` that of a write.
export function tryThenWrite(form, { at, draft, sent, refused, told = () => {}, written }) {
  const would = $("[data-table-would]");
  form.addEventListener("input", () => { would.hidden = true; });
  form.addEventListener("submit", async e => {
    e.preventDefault();
    try {
      const answer = await post(at.try, sent());
      refused(null);
      told(answer);
      $("[data-would-rows]").replaceChildren(...answer.differs.map(d => {
        const row = document.createElement("tr");
        for (const text of [d.path, d.before || say("shelf_nothing"), d.after || say("shelf_gone")]) row.append(Object.assign(document.createElement("td"), { textContent: text }));
        if (!d.after) row.className = "red";
        return row;
      }));
      $("[data-would-none]").hidden = answer.differs.length > 0;
      $("[data-table-write]").hidden = answer.differs.length === 0;
      would.hidden = false;
      would.focus();
    } catch (error) {
      would.hidden = true;
      refused(error);
    }
  });
  $("[data-table-write]").addEventListener("click", async () => {
    try {
      const answer = await post(at.write, sent());
      localStorage.removeItem(draft);
      written(answer);
    } catch (error) {
      refused(error);
    }
  });
}
