// The cure watch: asked every two seconds. A page that gets no answer, or an answer of a watch that does not look any
// more, alarms by itself. Nothing here switches anything.
import { NoAnswer, Refused, get, post } from "./net.js";
import { clock, now } from "./present.js";
import { say } from "./words.js";

const $ = s => document.querySelector(s);
const cure = $("[data-cure]"), api = `/api/repairs/${encodeURIComponent(cure.dataset.repair)}/cures/${cure.dataset.number}`;
const EVERY = 2000, DEAD = 10000; // ms
const root = document.documentElement;

// --- sound: a browser plays none before it was touched, so it is tried by hand after each opening of the page

let audio = null, heard = false;
const sound = $("[data-sound]"), words = $("[data-sound-words]");

function beep(length = 0.35) {
  if (!audio || audio.state !== "running") return;
  for (const [at, pitch] of [[0, 880], [length, 660]]) {
    const o = audio.createOscillator(), g = audio.createGain();
    o.frequency.value = pitch;
    g.gain.value = 0.5;
    o.connect(g).connect(audio.destination);
    o.start(audio.currentTime + at);
    o.stop(audio.currentTime + at + length * 0.9);
  }
}

function sounding(on) {
  if (on) beep(); // each second anew, by the heartbeat's clock
  told();
}

function told() {
  if (!sound) return;
  const on = heard && audio?.state === "running";
  sound.toggleAttribute("data-on", on);
  root.dataset.sound = on ? "on" : "off";
  words.textContent = on ? say("sound_on") : audio?.state === "running" ? say("sound_asked") : say("sound_off");
  $("[data-sound-heard]").hidden = on || audio?.state !== "running";
}

$("[data-sound-on]")?.addEventListener("click", async () => {
  audio ??= new AudioContext();
  audio.onstatechange = told;
  await audio.resume();
  beep();
  told();
  try {
    await navigator.wakeLock?.request("screen"); // a tablet that sleeps alarms nobody
  } catch {
    // the browser does not allow it: the words beside the button say what to see to
  }
});
$("[data-sound-heard]")?.addEventListener("click", async () => {
  heard = true;
  told();
  try {
    await post(`${api}/heard`, {});
  } catch (error) {
    if (!(error instanceof Refused || error instanceof NoAnswer)) throw error;
  }
});
document.addEventListener("visibilitychange", async () => {
  if (document.visibilityState !== "visible") return;
  try {
    await navigator.wakeLock?.request("screen");
  } catch {
    // as above
  }
  tick();
});

// --- the heartbeat

let last = performance.now(), lastAt = now(), served = cure.dataset.watched === "true", asking = false, server = false;
const place = $("[data-cure-part]");

async function ask() {
  if (asking || !served) return;
  asking = true;
  try {
    const answer = await get(`${api}/watch`);
    last = performance.now();
    lastAt = now();
    if (!answer.watched) return location.reload();
    const focus = document.activeElement?.matches("[data-heed]");
    place.innerHTML = answer.html;
    if (focus) $("[data-heed]")?.focus();
    server = answer.sounds;
    root.dataset.looked = String(performance.now());
  } catch (error) {
    if (!(error instanceof Refused || error instanceof NoAnswer)) throw error;
  } finally {
    asking = false;
    beat(false);
  }
}

function beat(heard = true) {
  if (!served) return;
  const dead = performance.now() - last > DEAD;
  $("[data-dead]").hidden = !dead;
  root.classList.toggle("dead", dead);
  if (dead) $("[data-dead-since]").textContent = say("dead_since", { time: clock(lastAt) });
  if (heard) sounding(dead || server);
  else told();
}

// One tick a second: of a worker, and of the page where there is none. A page that was put to sleep watched nothing
// and sounded nothing: it says so until somebody has read it.
let ticked = -Infinity, wall = Date.now(), asked = -Infinity;
function tick() {
  if (performance.now() - ticked < 600) return; // the other clock was first
  if (Date.now() - wall > DEAD) slept(wall); // by the wall's clock: the other one stops in some sleeps
  ticked = performance.now();
  wall = Date.now();
  if (performance.now() - asked >= EVERY - 100) {
    asked = performance.now();
    ask();
  }
  beat();
}

function slept(since) {
  const place = $("[data-slept]"), offset = now() - Date.now();
  $("[data-slept-words]").textContent = say("slept", { since: clock(since + offset), until: clock(now()) });
  place.hidden = false;
}
$("[data-slept-read]")?.addEventListener("click", () => ($("[data-slept]").hidden = true));

place?.addEventListener("click", async e => {
  if (!e.target.closest("[data-heed]")) return;
  const keys = JSON.parse($("[data-state]").dataset.keys);
  try {
    await post(`${api}/heed`, { keys });
    await ask();
  } catch (error) {
    if (!(error instanceof Refused || error instanceof NoAnswer)) throw error;
  }
});

if (served) {
  server = $("[data-state]").dataset.sounds === "true";
  setInterval(tick, 1000);
  new Worker(new URL("./beat.js", import.meta.url)).onmessage = tick;
  tick();
}

// --- begin and end

$("[data-watch-begin]")?.addEventListener("submit", async e => {
  e.preventDefault();
  const fault = $("[data-fault]"), form = e.target;
  try {
    await post(`${api}/watch`, { source: form.source.value });
    location.reload();
  } catch (error) {
    if (!(error instanceof Refused || error instanceof NoAnswer)) throw error;
    fault.textContent = error instanceof Refused ? error.problem.title : say("offline");
    fault.hidden = false;
    $("[data-unread]").hidden = !(error instanceof Refused);
    $("[data-unread] a").href = `/repairs/${encodeURIComponent(cure.dataset.repair)}/logs?log=${encodeURIComponent(form.source.value)}`;
  }
});
let sure = false;
$("[data-watch-end]")?.addEventListener("click", async e => {
  if (!sure) {
    sure = true;
    e.target.textContent = say("end_sure");
    return;
  }
  await post(`${api}/end`, {});
  location.reload();
});
root.dataset.ready = "cure";
