// Heat: a slider through each cure, and fields that are tried without being kept.
import { NoAnswer, Refused, get, post } from "./net.js";
import { say } from "./words.js";

const name = document.querySelector("[data-leaf]").dataset.repair;
const page = `/repairs/${encodeURIComponent(name)}/heat`, api = `/api/repairs/${encodeURIComponent(name)}`;
const clock = s => { // as the printed pages write it
  const m = Math.round(s / 60), h = Math.floor(m / 60);
  return !h ? `${m} min` : m % 60 ? `${h} h ${String(m % 60).padStart(2, "0")}` : `${h} h`;
};

for (const box of document.querySelectorAll("[data-through]")) {
  const made = JSON.parse(box.dataset.readings), slider = box.querySelector("[data-slider]");
  const map = box.querySelector("[data-map]"), times = map ? map.dataset.times.split(" ").map(Number) : [];
  const cure = box.closest("[data-cure]").dataset.cure, kept = new Map();
  let shown = -1;

  const drawn = async n => {
    if (n === shown) return;
    shown = n;
    if (!kept.has(n)) {
      const answer = await fetch(`${page}/${cure}/${n}`);
      if (!answer.ok) return;
      kept.set(n, await answer.text());
    }
    if (shown !== n) return;
    map.innerHTML = kept.get(n);
    box.querySelector("[data-map-clock]").textContent = say("map_at", { time: clock(times[n]) });
  };
  const show = () => {
    const i = Number(slider.value), t = made.times[i];
    box.querySelector("[data-clock]").textContent = clock(t);
    slider.setAttribute("aria-valuetext", clock(t));
    for (const cell of box.querySelectorAll("[data-value]")) {
      cell.textContent = `${made.curves[Number(cell.dataset.value)].values[i].toFixed(1)} ${made.unit}`;
    }
    if (map) {
      let best = 0;
      times.forEach((m, n) => { if (Math.abs(m - t) < Math.abs(times[best] - t)) best = n; });
      drawn(best);
    }
  };
  slider.addEventListener("input", show);
  for (const b of box.querySelectorAll("[data-step]")) {
    b.addEventListener("click", () => {
      slider.value = Number(slider.value) + Number(b.dataset.step);
      show();
    });
  }
  show();
}

const form = document.querySelector("[data-what-if]");
if (form) {
  const told = form.querySelector("[data-what-if-told]"), stop = form.querySelector("[data-what-if-stop]");
  const failed = error => {
    told.classList.add("red");
    if (error instanceof Refused) {
      const faults = error.problem.faults.map(f => [f.field, f.words, f.read, f.expected, f.todo].filter(Boolean).join("; "));
      told.textContent = faults.length ? faults.join(". ") : [error.problem.title, error.problem.expected, error.problem.todo].filter(Boolean).join("; ");
    } else if (error instanceof NoAnswer) told.textContent = say("offline");
    else throw error;
  };
  const look = async () => {
    try {
      const now = await get(`${api}/errands/what-if`);
      stop.hidden = !now.running;
      if (now.running) {
        told.textContent = say("errand_runs", { words: now.words, seconds: Math.round(now.seconds) });
        setTimeout(look, 700);
        return;
      }
      told.textContent = now.fault;
      told.classList.toggle("red", Boolean(now.fault));
      if (!now.fault) {
        const answer = await fetch(`${page}/tried`);
        if (answer.ok) document.querySelector("[data-what-if-made]").innerHTML = await answer.text();
      }
    } catch (error) {
      failed(error);
    }
  };
  form.addEventListener("submit", async e => {
    e.preventDefault();
    told.classList.remove("red");
    const typed = {};
    for (const f of form.elements) if (f.name && f.value !== f.dataset.was) typed[f.name] = f.value;
    if (!Object.keys(typed).length) {
      told.textContent = say("nothing_changed");
      return;
    }
    try {
      await post(`${api}/heat/try`, { typed });
      look();
    } catch (error) {
      failed(error);
    }
  });
  stop.addEventListener("click", () => post(`${api}/errands/what-if/stop`, {}).catch(failed));
}
