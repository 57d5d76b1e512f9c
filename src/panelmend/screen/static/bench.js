// What a step takes besides readings: lots drawn, labels, batches, deviations and their decisions, and files, which
// are kept on this device until they are acknowledged.
import { Files, digest, plain } from "./files.js";
import { NoAnswer, Refused, get, post, put } from "./net.js";
import { say } from "./words.js";

const words = error => (error instanceof Refused ? [error.problem.title, error.problem.read, error.problem.expected, error.problem.todo].filter(Boolean).join(" ") : say("offline"));

function tell(place, text) {
  place.textContent = text;
  place.hidden = !text;
}

function mine(error) {
  if (!(error instanceof Refused || error instanceof NoAnswer)) throw error;
}

/** What a form sends, besides who holds the device. */
const GATHERED = {
  label: form => ({ code: form.code.value.trim() }),
  batch: form => {
    const lots = [...form.querySelectorAll("[data-lot]")], amounts = [...form.querySelectorAll("[data-amount]")];
    const parts = lots.map((lot, i) => ({ lot: lot.value.trim(), amount: amounts[i].value.trim() })).filter(p => p.lot || p.amount);
    return { batch: form.batch.value.trim(), parts, life: form.life.value.trim() };
  },
  deviation: form => ({
    deviation: form.deviation.value.trim(), words: form.words.value.trim(),
    covers: [...(form.querySelector("[data-covers]")?.selectedOptions ?? [])].map(o => o.value),
  }),
};

/** Let the forms of a step be sent; `fresh` puts in the step as an answer has it, `again` asks for it. */
export function bench({ place, repair, number, holder, fresh, again, listed }) {
  const base = `/api/repairs/${encodeURIComponent(repair)}`, api = `${base}/steps/${number}`;
  const drafts = { name: form => `panelmend form ${repair} ${number} ${form.dataset.send}` };

  place.addEventListener("input", e => {
    const form = e.target.closest("[data-send]");
    if (!form) return;
    const typed = [...form.elements].filter(x => x.id).map(x => [x.id, x.value]);
    try {
      localStorage.setItem(drafts.name(form), JSON.stringify(typed));
    } catch {
      return; // a device that keeps nothing says so elsewhere
    }
  });

  async function send(form) {
    const fault = form.querySelector(".fault"), button = form.querySelector("[type=submit]"), what = form.dataset.send;
    if (!holder) return tell(fault, say("nobody_holds"));
    button.disabled = true;
    try {
      const answer = await post(`${api}/${what}`, { ...GATHERED[what](form), person: holder });
      localStorage.removeItem(drafts.name(form));
      document.activeElement?.blur();
      form.reset();
      fresh(answer);
    } catch (error) {
      mine(error);
      tell(fault, words(error));
    } finally {
      button.disabled = false;
    }
  }

  async function draw(form) {
    const fault = form.querySelector(".fault");
    try {
      fresh(await post(`${api}/draw`, { ...Object.fromEntries(new FormData(form)), drawn: Number(form.dataset.draw) }));
    } catch (error) {
      mine(error);
      tell(fault, words(error));
      if (error.problem?.type === "panelmend:moved") again();
    } finally {
      form.secret.value = "";
    }
  }

  const files = new Files(repair);
  files.addEventListener("kept", async () => listed(await files.all(), item => files.drop(item.key)));
  files.addEventListener("taken", e => e.detail.number === number && fresh(e.detail.answer));
  files.addEventListener("refused", e => {
    const fault = place.querySelector("[data-file-form] .fault");
    if (fault) tell(fault, `${e.detail.name}: ${words(e.detail.error)}`);
  });

  async function keep(form) {
    const fault = form.querySelector(".fault"), file = form.querySelector("[type=file]").files[0];
    if (!holder) return tell(fault, say("nobody_holds"));
    tell(fault, "");
    const most = Number(document.querySelector("[data-step]").dataset.most);
    if (file.size > most * 2 ** 20) return tell(fault, say("too_large", { most }));
    try {
      await files.put({ number, api, file, what: form.querySelector("#file-what").value.trim(), person: holder });
      document.activeElement?.blur();
      form.reset();
    } catch {
      tell(fault, say("file_not_kept"));
    }
  }

  place.addEventListener("submit", e => {
    const form = e.target;
    e.preventDefault();
    if (form.matches("[data-draw]")) draw(form);
    if (form.matches("[data-send]")) send(form);
    if (form.matches("[data-file-form]")) keep(form);
  });

  /** What was typed in a form and not sent yet, back into it. */
  function restore() {
    for (const form of place.querySelectorAll("[data-send]")) {
      if (form.contains(document.activeElement)) continue;
      let typed = [];
      try {
        typed = JSON.parse(localStorage.getItem(drafts.name(form)) ?? "[]");
      } catch {
        typed = [];
      }
      for (const [id, value] of typed) {
        const field = form.querySelector(`#${CSS.escape(id)}`);
        if (!field || field.multiple) continue;
        field.value = value;
        if (value) field.closest("details")?.setAttribute("open", "");
      }
    }
  }

  // --- an engineer decides

  /** The digest of the paper a decision rests on, once the server has it; null for none. */
  async function paperOf(one, file) {
    if (!file) return null;
    const bytes = await file.arrayBuffer(), made = await digest(bytes);
    await put(`${one}/paper?${new URLSearchParams({ file: plain(file.name), digest: made })}`, bytes);
    return made;
  }

  const dialog = document.querySelector("[data-decide-dialog]"), form = document.querySelector("[data-decide-form]");
  const fault = document.querySelector("[data-decide-fault]");
  let shown = null;
  place.addEventListener("click", async e => {
    const button = e.target.closest("[data-decide]");
    if (!button) return;
    const id = button.dataset.decide;
    try {
      shown = { id, ...(await get(`${base}/deviations/${encodeURIComponent(id)}`)) };
    } catch (error) {
      mine(error);
      return tell(document.querySelector("[data-told]"), words(error));
    }
    document.querySelector("#decide-title").textContent = button.textContent;
    document.querySelector("[data-decide-covers]").replaceChildren(
      ...shown.lines.map(line => Object.assign(document.createElement("li"), { textContent: line })),
    );
    tell(fault, "");
    dialog.showModal();
  });
  form.addEventListener("change", () => {
    const again = form.decision.value === "do again";
    document.querySelector("[data-again-from]").hidden = !again;
    form.again_from.required = again;
  });
  form.addEventListener("submit", async e => {
    e.preventDefault();
    const from = form.decision.value === "do again" ? Number(form.again_from.value) : null;
    const one = `${base}/deviations/${encodeURIComponent(shown.id)}`, button = form.querySelector("[type=submit]");
    button.disabled = true;
    try {
      const paper = await paperOf(one, form.paper.files[0]);
      await post(`${one}/decide`, {
        person: form.person.value.trim(), secret: form.secret.value, decision: form.decision.value,
        ground: form.ground.value.trim(), words: form.words.value.trim(), again_from: from,
        content: shown.content, ticket: shown.ticket, paper, strokes: form.strokes.value,
      });
      location.reload();
    } catch (error) {
      mine(error);
      tell(fault, words(error));
    } finally {
      button.disabled = false;
      form.secret.value = "";
    }
  });

  restore();
  files.begin();
  return { restore };
}
