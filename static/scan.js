// The hand scanner. It types like a keyboard, only faster, wherever the cursor
// happens to be, and ends with Enter, with Tab or with nothing. What comes fast
// is a scan and goes into the box; the field that it fell into gets back what
// stood there, and Enter or Tab from a scanner presses nothing. A page of a
// station without a box leads to the Station with the scan, but for what is
// scanned into one of its fields and is no action card, and not while something
// is typed there that only RECORD would keep.

import { Repeats } from "./repeat.js?v=39169ac418";

const FAST = 50; // ms between two keys of a scanner, at most; hands are slower
const LATE = 400; // ms that one key of a scan may be late on a busy tablet or by radio
const QUIET = 700; // ms after which a scan without an end has ended
const PATIENCE = 4000; // ms that a scan may wait for the page before
const LEAST = 6; // keys of a scan without an end

const shown = document.querySelector("[data-scan]");
const box = shown ?? (document.body.classList.contains("station") ? away() : null);
const store = {
  get(name) { try { return JSON.parse(sessionStorage.getItem(name)); } catch { return null; } },
  set(name, value) { try { sessionStorage.setItem(name, JSON.stringify(value)); } catch { /* a private window keeps nothing */ } },
};
const said = document.querySelector("[data-scan-said]") ?? document.body.appendChild(make("output", { className: "news up" }));
let sending = false;

function make(name, properties) { return Object.assign(document.createElement(name), properties); }

// away is the box of a page that shows none: what is put into it goes to the
// Station, through the same form as there.
function away() {
  const form = make("form", { method: "post", action: "/station/scan", hidden: true });
  const field = make("input", { type: "hidden", name: "scan" }), raw = make("input", { type: "hidden", name: "raw" });
  form.append(field, raw);
  document.body.append(form);
  return field;
}

function say(text) { said.textContent = text; }

// unrecorded is a field in which something stands that goes along with no scan.
function unrecorded() {
  const changed = (f) => ["checkbox", "radio"].includes(f.type) ? f.checked !== f.defaultChecked : f.value !== f.defaultValue;
  return [...document.querySelectorAll("main form[method=post] :is(input, textarea)")].find((f) => f.form !== box.form && changed(f));
}

// One read is one scan, also when the page has changed in between.
function isNew(text) {
  const repeats = new Repeats(2000, store.get("repeat"));
  const fresh = repeats.isNew(text, Date.now());
  store.set("repeat", repeats);
  return fresh;
}

// A card that means the form on the bench presses its button, so that the act
// goes the way of every press: also into what is kept without connection.
const cards = JSON.parse(document.querySelector("[data-cards]")?.dataset.cards ?? "{}");
const cardOf = (text) => cards[text.toUpperCase().replace(/^.*\/T\//, "").replace(/^\][A-Z]\d|[\s-]/g, "")];

// meant is the button that a card presses; beside the bench it is that of the
// form that was typed into, or that asks what is wrong, to which FAULT led.
function meant(card) {
  const typed = card === "record" && unrecorded();
  if (typed) return typed.form.querySelector("button.go");
  if (shown) {
    const act = box.form?.elements.act?.value, kind = act?.match(/-(start|finish)$/)?.[1];
    return act && (card === "record" || card === kind) ? box.form.querySelector("button.go.main") : null;
  }
  return card === "record" ? document.querySelector("main form:has(.reasons) button.go") : null;
}

function pressed(text) {
  const card = cardOf(text), button = card && meant(card);
  if (!button) return false;
  box.value = "";
  sending = true; // until the next page, or until the act is kept here
  button.form.requestSubmit(button);
  return true;
}

// What was scanned while something was on its way is read now, if that was just
// now: an old scan belongs to another moment, and is said to be unread.
function waiting() {
  const all = store.get("later") ?? [], now = Date.now();
  store.set("later", []);
  const old = all.filter((s) => now - s.at > PATIENCE), [next, ...rest] = all.filter((s) => now - s.at <= PATIENCE);
  if (old.length) say("Not read, since the page took too long: " + old.map((s) => s.text.trim()).join(", ") + ". Scan it again.");
  if (!next) return;
  store.set("later", rest);
  send(next.text);
  if (!sending) waiting();
}

// While a scan is on its way, the next ones wait for the page that follows.
function send(text) {
  if (sending) {
    store.set("later", [...(store.get("later") ?? []), { text, at: Date.now() }]);
    return;
  }
  if (pressed(text)) return;
  if (unrecorded() && cardOf(text) !== "clear") {
    box.value = "";
    store.set("repeat", null); // it was not taken: the same may be scanned again
    say("What was typed here is not recorded yet: scan RECORD, or CLEAR to put it aside.");
    return;
  }
  box.value = text;
  const raw = box.form.elements.raw;
  raw.value = box.value === text ? "" : text;
  if (!shown) {
    sending = true;
    box.form.submit();
    return;
  }
  // Without connection the page itself reads the scan, and stays.
  sending = navigator.onLine !== false && !document.documentElement.dataset.kept;
  box.form.requestSubmit(document.querySelector("[data-read]"));
}

function read(text) {
  if (text.trim() === "") return;
  if (!isNew(text)) {
    box.value = "";
    say("The same label was read twice; it counts once.");
    return;
  }
  send(text);
}

// Control characters reach a page as Ctrl with another key.
const controls = { "]": "\x1d", "^": "\x1e", "6": "\x1e", "d": "\x04", "b": "\x02", "c": "\x03" };

const burst = { text: "", at: -Infinity, field: null, was: "", timer: 0, keys: 0, resumes: false };

// A run of fast keys begins: what the field had is put back when it was a scan.
function begin(e) {
  const field = e.target.closest?.("input, textarea, select");
  // In the box a slow scanner, or a hand, goes on with what stands there.
  const goesOn = field === box && box.selectionStart === box.value.length && box.selectionEnd === box.value.length;
  Object.assign(burst, { text: goesOn ? box.value : "", field: field === box ? null : field, was: field?.value ?? "" });
}

// A scan that began on the page before goes on here, however long the page took;
// where nothing more comes, what there is counts, and the book says what of it
// is not a whole code. A single key was a hand's, unless more follow.
function resume({ text, keys }) {
  const was = box.value;
  box.value = text;
  box.focus();
  Object.assign(burst, { text, keys, resumes: true });
  ends(() => { if (keys > 1) end(); else { Object.assign(burst, { text: "", resumes: false }); box.value = was; } });
}

// ends is what happens when no key comes any more.
function ends(act) {
  clearTimeout(burst.timer);
  burst.timer = setTimeout(act, QUIET);
}

function end() {
  const text = burst.text || box.value;
  Object.assign(burst, { text: "", resumes: false });
  clearTimeout(burst.timer);
  if (burst.field) burst.field.value = burst.was;
  box.focus();
  read(text);
}

// takes reports whether a field keeps what is scanned into it, cards apart: that
// of a page beside the bench.
function takes(field) { return !shown && field?.closest?.("textarea, select, input:not([type=checkbox], [type=radio])"); }

function key(e) {
  if (e.repeat) return; // a key that is held down is no scan
  const theirs = takes(e.target);
  const control = e.ctrlKey && !e.altKey && !e.metaKey ? controls[e.key.toLowerCase()] : undefined;
  // Once three keys came fast it is a scan, and one of them may be late.
  const within = burst.resumes || e.timeStamp - burst.at < (burst.keys > 2 && burst.text ? LATE : FAST);
  if (e.key === "Enter" || e.key === "Tab") {
    if (!theirs || within && cardOf(burst.text)) finish(e, within);
    return;
  }
  if (["Escape", "Backspace", "Delete"].includes(e.key) || e.key.startsWith("Arrow")) burst.at = -Infinity; // a hand's
  if (e.key.length !== 1 || e.metaKey || e.altKey || e.ctrlKey && (control === undefined || !within && control !== "\x02")) return;
  if (e.ctrlKey && !theirs) e.preventDefault();
  if (!within) begin(e);
  burst.keys = within ? burst.keys + 1 : 1;
  burst.resumes = false;
  burst.at = e.timeStamp;
  burst.text += control ?? e.key;
  ends(() => { if (burst.keys >= LEAST && (!theirs || cardOf(burst.text))) end(); else burst.text = ""; });
  say(!theirs && e.getModifierState("CapsLock") ? "Caps lock is on: small and capital letters come in the wrong way round." : "");
  if (!theirs) presses(e, within);
}

// finish is Enter or Tab: of a scanner, or of a hand.
function finish(e, within) {
  if (within && (burst.keys > 1 || burst.resumes)) {
    burst.at = e.timeStamp;
    e.preventDefault();
    end();
    return;
  }
  // A hand moves on: what it typed before is not the beginning of a scan, also
  // not on the page that follows.
  if (!within && (e.key === "Tab" || e.target !== shown)) Object.assign(burst, { text: "", at: e.key === "Tab" ? -Infinity : burst.at });
  // The second half of a line end, or of a slow scanner's text on a button.
  if (within || e.key === "Enter" && e.target.closest?.("button, a, summary") && e.timeStamp - burst.at < 500) e.preventDefault();
  if (e.key !== "Enter" || within || e.target !== shown) return; // app.js leads on to the next field
  e.preventDefault();
  if (box.value.trim()) end(); else box.form.requestSubmit(document.querySelector("[data-read]"));
}

// A space on a button presses it; the space of a scan does not.
function presses(e, within) {
  const pressed = e.target.closest?.("button, summary, [type=checkbox], [type=radio]");
  if (e.key === " " && pressed) {
    e.preventDefault();
    if (!within) setTimeout(() => { if (burst.text === " " || burst.text === "") pressed.click(); }, FAST + 10);
  } else if (!e.ctrlKey && e.key !== " " && !e.target.closest?.("input, select, textarea, .keypad")) {
    box.focus();
    box.select();
  }
}

if (box) {
  document.addEventListener("keydown", key, true);
  // A hand that presses something typed the key before.
  document.addEventListener("pointerdown", () => { if (burst.keys < 3) Object.assign(burst, { text: "", at: -Infinity }); }, true);
  document.addEventListener("scanned", ({ detail }) => {
    store.set("repeat", { text: detail.text, at: Date.now() });
    send(detail.text);
  });
  addEventListener("pageshow", (e) => { if (e.persisted) sending = false; });
  // A scan that began on the page before ends here.
  addEventListener("pagehide", () => { if (burst.text && !takes(burst.field)) store.set("half", { text: burst.text, keys: burst.keys, at: Date.now() }); });
  const half = store.get("half");
  store.set("half", null);
  if (half && Date.now() - half.at < 1500) resume(half);
  document.addEventListener("acting", () => { sending = true; });
  document.addEventListener("acted", () => {
    sending = false;
    waiting();
  });
  waiting();
}
