// The tablet's camera as a scanner. app.js loads this file when the camera is
// asked for. Each code that is read goes to the page as a "scanned" event, its
// text as it stands in the symbol, control characters and all.
import { Repeats } from "./repeat.js?v=39169ac418";

const formats = ["qr_code", "data_matrix", "code_128"];
const between = 100; // ms from one look to the next, for the battery
const largest = 1280; // pixels of a picture's longer side that are searched
const away = 2000; // ms out of sight after which the same code is another scan
const patience = 180000; // ms without a code after which the camera is closed

const aim = "Hold the mark in the middle onto a code.";
const idle = "The camera was closed because it saw no code for 3 minutes. Press Camera to open it again.";

// What the browser says when it gives no camera, for who stands before it.
const refusals = {
  NotAllowedError: "This page may not use the camera. Allow it in the browser's settings for this page and press Camera again, or type the number.",
  NotFoundError: "This device has no camera that the browser can find. Use the hand scanner, or type the number.",
  NotReadableError: "The camera does not answer: another program may be using it. Close that program and press Camera again, or type the number.",
};
refusals.SecurityError = refusals.NotAllowedError;
refusals.OverconstrainedError = refusals.NotFoundError;
refusals.AbortError = refusals.NotReadableError;
const elseRefused = "The camera could not be opened. Press Camera again, or type the number.";
const noReader = "The part that reads codes did not load. Close the camera and press Camera again, or type the number.";

// ownReader is the browser's own detector, where it knows all that we print.
async function ownReader() {
  const known = await globalThis.BarcodeDetector?.getSupportedFormats() ?? [];
  if (!formats.every((f) => known.includes(f))) return null;
  const detector = new BarcodeDetector({ formats });
  const read = async (picture) => (await detector.detect(picture))
    .map((code) => ({ text: code.rawValue, format: code.format, corners: code.cornerPoints }));
  return { read, end() {}, own: true };
}

// carriedReader is the one that we bring along.
function carriedReader() {
  const worker = new Worker(new URL("./reader.js?v=ed3fe5ddd2", import.meta.url));
  const read = (picture) => new Promise((found, failed) => {
    worker.onmessage = ({ data }) => data ? found(data) : failed(new Error("no reader"));
    worker.onerror = () => failed(new Error("no reader"));
    worker.postMessage(picture, [picture.data.buffer]);
  });
  return { read, end: () => worker.terminate() };
}

// aimed is the code under the mark: one that lies beside it may belong to
// another thing.
function aimed(codes, { width, height }) {
  const reach = Math.min(width, height) / 6;
  const off = (of, at) => Math.max(Math.min(...of) - at, at - Math.max(...of), 0);
  const distance = ({ corners }) => Math.hypot(off(corners.map((c) => c.x), width / 2), off(corners.map((c) => c.y), height / 2));
  const near = codes.filter((c) => c.text && distance(c) <= reach);
  return near.sort((a, b) => distance(a) - distance(b))[0];
}

// readable writes control characters so that they are seen.
const readable = (text) => text.replace(/[\0-\x1f]/g, (c) => String.fromCodePoint(0x2400 + c.charCodeAt(0))).replace(/\x7f/g, "\u2421");

class Camera {
  constructor(button, box) {
    this.button = button;
    this.box = box;
    this.video = box.querySelector("video");
    this.finder = box.querySelector(".finder");
    this.frame = box.querySelector(".frame");
    this.lamp = box.querySelector("[data-lamp]");
    this.canvas = document.createElement("canvas");
  }

  // open shows what the camera sees, and looks again and again until it is
  // closed. was is the text that was read last where the camera has stayed
  // open since the page before.
  async open(was) {
    this.was = was;
    this.box.hidden = false;
    this.finder.hidden = this.lamp.hidden = true;
    this.say("The camera is being opened.");
    try {
      await this.film();
    } catch (e) {
      this.fail(refusals[e.name] ?? elseRefused);
    }
    try {
      this.reader = this.closed ? null : await ownReader() ?? carriedReader();
    } catch {
      this.fail(noReader);
    }
    if (this.closed) { // while it was being opened
      this.end();
      return;
    }
    this.say(aim);
    this.last = performance.now();
    while (!this.closed) {
      const began = performance.now();
      await this.look();
      if (began - this.last > patience) this.fail(idle);
      await new Promise((go) => setTimeout(go, Math.max(between - (performance.now() - began), between / 3)));
    }
  }

  // film asks for the camera and sets it going.
  async film() {
    const stream = await navigator.mediaDevices.getUserMedia({
      audio: false, video: { facingMode: "environment", width: { ideal: 1920 }, height: { ideal: 1080 } },
    });
    [this.track] = stream.getVideoTracks();
    if (this.closed) return;
    this.track.addEventListener("ended", () => this.fail(refusals.NotReadableError));
    this.lightable();
    this.video.srcObject = stream;
    this.finder.hidden = false;
    await this.video.play();
  }

  // look searches what is in the frame now, unless nobody sees the page.
  async look() {
    if (document.hidden) return;
    const picture = this.picture();
    if (!picture) return;
    const size = { width: picture.width, height: picture.height };
    let codes;
    try {
      codes = await this.reader.read(picture);
    } catch {
      if (!this.reader.own) this.fail(noReader);
      else if (!this.closed) this.reader = carriedReader(); // the browser knows the codes, but cannot read them
      return;
    }
    if (!this.closed) this.seen(codes, aimed(codes, size));
  }

  // seen says what is in sight, and hands on what is new.
  seen(codes, code) {
    const now = performance.now();
    if (!code) {
      if (this.finder.classList.contains("read") && now - this.last < away) return;
      this.finder.classList.remove("read");
      this.say(codes.length ? "A code is in sight. Bring it under the mark in the middle." : aim);
      return;
    }
    // What lay before the camera when the page changed is the same scan yet.
    this.repeats ??= new Repeats(away, { text: this.was, at: now });
    this.last = now;
    this.finder.classList.add("read");
    this.say("Read: " + readable(code.text));
    if (!this.repeats.isNew(code.text, now)) return;
    stays(code.text);
    document.dispatchEvent(new CustomEvent("scanned", { detail: { text: code.text, source: "camera", format: code.format } }));
  }

  // picture is the part of the camera's picture that the frame encloses; null
  // where the page was moved on, since nobody aims who does not see the mark.
  picture() {
    const { videoWidth, videoHeight } = this.video;
    const shown = this.video.getBoundingClientRect(), frame = this.frame.getBoundingClientRect();
    const mark = (frame.top + frame.bottom) / 2;
    if (!videoWidth || !shown.width || mark < 0 || mark > innerHeight) return null;
    const zoom = Math.max(shown.width / videoWidth, shown.height / videoHeight); // object-fit: cover
    const width = Math.min(frame.width / zoom, videoWidth), height = Math.min(frame.height / zoom, videoHeight);
    const scale = Math.min(1, largest / Math.max(width, height));
    this.canvas.width = Math.round(width * scale);
    this.canvas.height = Math.round(height * scale);
    const on = this.canvas.getContext("2d", { willReadFrequently: true });
    on.drawImage(this.video, (videoWidth - width) / 2, (videoHeight - height) / 2, width, height, 0, 0, this.canvas.width, this.canvas.height);
    return on.getImageData(0, 0, this.canvas.width, this.canvas.height);
  }

  // lightable offers the lamp where the camera has one.
  lightable() {
    this.lamp.hidden = !this.track.getCapabilities?.().torch;
    this.lamp.setAttribute("aria-pressed", "false");
    this.lamp.onclick = async () => {
      const on = this.lamp.getAttribute("aria-pressed") !== "true";
      try {
        await this.track.applyConstraints({ advanced: [{ torch: on }] });
        this.lamp.setAttribute("aria-pressed", String(on));
      } catch {
        this.lamp.hidden = true;
      }
    };
  }

  // say changes the words only when there is something else to say, because
  // they are read out.
  say(words) {
    const at = this.box.querySelector("[aria-live]");
    if (at.textContent !== words) at.textContent = words;
  }

  // fail leaves the sentence and takes the rest away.
  fail(words) {
    if (this.closed) return;
    this.end();
    stays(null);
    this.say(words);
  }

  // end lets the camera go. The second time it finds only what came after the
  // first, and the viewfinder may be another's by then.
  end() {
    this.track?.stop();
    this.reader?.end();
    if (this.closed) return;
    this.closed = true;
    this.button.setAttribute("aria-expanded", "false");
    this.video.srcObject = null;
    this.finder.classList.remove("read");
    this.finder.hidden = this.lamp.hidden = true;
  }
}

// stays keeps for this tab that the camera is open, and what it read last;
// null that it is closed. A private window may keep nothing.
function stays(text) {
  try {
    if (text === null) sessionStorage.removeItem("camera");
    else sessionStorage.setItem("camera", text);
  } catch { /* then it is opened on each page anew */ }
}

let camera = null;

function open(button, box, was) {
  box.querySelector("[data-close]").onclick = (e) => {
    close();
    if (e.detail) e.currentTarget.blur();
    else button.focus(); // it was pressed by key
  };
  button.setAttribute("aria-expanded", "true");
  stays(was);
  camera = new Camera(button, box);
  camera.open(was);
}

function close() {
  camera.end();
  camera.box.hidden = true;
  stays(null);
}

// press opens the camera, or closes it where it is open. A button that was
// touched lets the focus go: a hand scanner's Enter would press it again.
export function press(button, box, byKey) {
  if (!byKey) button.blur();
  if (camera && !camera.closed) close();
  else open(button, box, "");
}

// again opens it as it was left on the page before, where the browser need not
// ask the person once more.
export async function again(button, box, was) {
  const may = await navigator.permissions?.query({ name: "camera" }).catch(() => null);
  if (may?.state === "granted" && !camera) open(button, box, was);
}

// Whoever leaves the page leaves the camera; the next page opens it again.
addEventListener("pagehide", () => {
  if (!camera) return;
  camera.end();
  camera.box.hidden = true;
});
