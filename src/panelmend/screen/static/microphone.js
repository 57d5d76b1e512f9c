// The microphone at the survey: sound goes to the server in pieces, what it tells is shown beside Dull and Sound.
// It takes nothing down: a person looks at it and says what the tap was.
import { Refused, put } from "./net.js";
import { say } from "./words.js";

const PIECE = 0.25; // s
const BEHIND = 12; // pieces that wait before it is given up
const $ = s => document.querySelector(s);

export class Microphone {
  constructor({ api, asset }) {
    Object.assign(this, { api, asset, on: "" });
    const room = $("[data-microphone]");
    if (!navigator.mediaDevices?.getUserMedia || !window.AudioWorkletNode) return;
    room.hidden = false;
    for (const b of room.querySelectorAll("[data-listen]")) b.addEventListener("click", () => this.listen(b.dataset.listen));
    $("[data-listen-end]").addEventListener("click", () => this.end(""));
  }

  async listen(on) {
    try {
      if (!this.audio) await this.begin();
    } catch {
      return this.end(say("mic_refused"));
    }
    this.on = on;
    this.show(say(on === "panel" ? "mic_panel" : "mic_sound_place"));
  }

  async begin() {
    // what a browser does to voices would change what is listened for
    const plain = { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: 1 };
    this.stream = await navigator.mediaDevices.getUserMedia({ audio: plain });
    this.audio = new AudioContext();
    await this.audio.audioWorklet.addModule(this.asset);
    const ear = new AudioWorkletNode(this.audio, "ear", { numberOfOutputs: 0 });
    this.audio.createMediaStreamSource(this.stream).connect(ear);
    Object.assign(this, { waiting: [], samples: [], count: 0, part: 0 });
    ear.port.onmessage = e => this.heard(e.data);
  }

  heard(samples) {
    if (!this.audio) return;
    this.samples.push(samples);
    this.count += samples.length;
    if (this.count < PIECE * this.audio.sampleRate) return;
    const piece = new Int16Array(this.count);
    let at = 0;
    for (const s of this.samples) for (const v of s) piece[at++] = Math.max(-32768, Math.min(32767, Math.round(v * 32768)));
    this.samples = [];
    this.count = 0;
    this.waiting.push({ piece, on: this.on });
    if (this.waiting.length > BEHIND) return this.end(say("mic_behind"));
    this.send();
  }

  async send() {
    if (this.sending) return;
    this.sending = true;
    const audio = this.audio;
    try {
      while (audio && audio === this.audio && this.waiting.length) {
        const { piece, on } = this.waiting.shift(), rate = Math.round(audio.sampleRate);
        const answer = await put(`${this.api}/microphone?part=${this.part}&rate=${rate}&on=${on}`, piece.buffer, "POST");
        if (audio !== this.audio) break; // ended meanwhile, or begun anew
        this.part += 1;
        this.tell(answer, on);
      }
    } catch (error) {
      if (audio === this.audio) this.end(error instanceof Refused ? error.problem.title : say("offline"));
    } finally {
      this.sending = false;
    }
  }

  tell(answer, on) {
    const last = answer.heard.at(-1);
    $("[data-mic-place]").textContent = answer.reference
      ? say("mic_reference", { count: answer.reference_taps, frequency: answer.reference.toFixed(0) })
      : say("mic_no_reference", { count: answer.reference_taps });
    const doubt = $("[data-mic-doubt]");
    doubt.textContent = answer.reference || on === "panel" ? answer.doubt : "";
    doubt.hidden = !doubt.textContent;
    $("[data-listen=panel]").disabled = !answer.reference;
    if (!last || on !== "panel") return;
    const told = last.told ? say("mic_heard", { what: say(last.told), frequency: last.frequency.toFixed(0) }) : say("mic_not_told");
    $("[data-mic-told]").textContent = told;
    for (const b of document.querySelectorAll("[data-tap]")) b.classList.toggle("heard", b.dataset.tap === last.told);
  }

  /** What was heard is of one tap: it goes when that tap is said. */
  said() {
    $("[data-mic-told]").textContent = "";
    for (const b of document.querySelectorAll("[data-tap]")) b.classList.remove("heard");
  }

  end(why) {
    this.stream?.getTracks().forEach(t => t.stop());
    this.audio?.close();
    Object.assign(this, { audio: null, stream: null, on: "", waiting: [] });
    this.said();
    $("[data-listen=panel]").disabled = true;
    this.show(why);
  }

  show(words) {
    $("[data-mic-now]").textContent = words;
    $("[data-listen-end]").hidden = !this.audio;
    for (const b of document.querySelectorAll("[data-listen]")) b.setAttribute("aria-pressed", String(b.dataset.listen === this.on));
  }
}
