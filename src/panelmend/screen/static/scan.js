// Reading a label by the device's camera into the field beside it, where the browser reads square codes by itself
// (BarcodeDetector, Shape Detection API); else the page says so, and one types. What was read is looked at and
// entered by a person; nothing of the picture is kept or sent.
import { say } from "./words.js";

const EACH = 200; // ms between two looks
const KIND = "qr_code";
const $ = s => document.querySelector(s);
const dialog = $("[data-scan-dialog]");

async function reads() {
  if (!("BarcodeDetector" in window) || !navigator.mediaDevices?.getUserMedia) return false;
  try {
    return (await BarcodeDetector.getSupportedFormats()).includes(KIND);
  } catch {
    return false;
  }
}

class Scan {
  constructor() {
    this.video = dialog.querySelector("video");
    this.words = dialog.querySelector("[data-scan-words]");
    this.number = 0;
    dialog.addEventListener("close", () => this.end());
    dialog.querySelector("[data-scan-leave]").addEventListener("click", () => dialog.close());
    document.addEventListener("click", e => {
      const button = e.target.closest("[data-scan]");
      if (button) this.begin(button.dataset.scan);
    });
  }

  async begin(id) {
    const number = ++this.number;
    this.id = id;
    this.words.textContent = say("scan_show");
    dialog.showModal();
    try {
      const stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" }, audio: false });
      if (number !== this.number || !dialog.open) return stop(stream); // left meanwhile
      this.stream = stream;
      this.video.srcObject = stream;
      await this.video.play();
    } catch {
      this.words.textContent = say("scan_no_camera");
      return;
    }
    this.detector ??= new BarcodeDetector({ formats: [KIND] });
    this.look(number);
  }

  async look(number) {
    let found = [];
    try {
      if (this.video.readyState >= 2) found = await this.detector.detect(this.video);
    } catch {
      found = [];
    }
    if (number !== this.number || !dialog.open) return;
    const read = new Set(found.map(f => f.rawValue).filter(Boolean));
    if (read.size === 1) return this.taken([...read][0]);
    this.words.textContent = say(read.size ? "scan_several" : "scan_show");
    setTimeout(() => this.look(number), EACH);
  }

  taken(text) {
    const field = document.getElementById(this.id);
    dialog.close();
    if (!field) return;
    field.value = text;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    field.focus();
    $("[data-told]").textContent = say("scan_read", { text });
  }

  end() {
    this.number += 1;
    stop(this.stream);
    this.stream = null;
    this.video.srcObject = null;
  }
}

function stop(stream) {
  for (const track of stream?.getTracks() ?? []) track.stop();
}

document.documentElement.dataset.camera = (await reads()) ? "reads" : "none";
new Scan();
