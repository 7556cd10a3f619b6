// A keypad for gloves, at stations only. It opens when a number field is touched,
// or by the button beside it. The tablet's own keyboard stays away meanwhile; a
// hardware keyboard and a scanner type into the field as ever. Without this
// script the fields take the tablet's keyboard.

const numbers = "main input:is([inputmode=decimal], [inputmode=numeric], [data-keys]):not([readonly])";
const touches = (e) => e.pointerType === "touch" || e.pointerType === "pen";

let field = null; // into which the keypad types
let opener = null; // the button that opened it, null where a touch did
let touched = false; // the press under way is a finger's

const element = (name, properties = {}, ...children) => {
  const e = Object.assign(document.createElement(name), properties);
  e.append(...children);
  return e;
};

// What the field is called, and in which unit.
function labelOf(f) {
  const label = f.labels?.[0]?.cloneNode(true);
  label?.querySelector(".soft")?.remove();
  return (f.getAttribute("aria-label") ?? label?.textContent ?? "").replace(/\s+/g, " ").trim();
}
function unitOf(f) {
  const choice = document.getElementById(f.dataset.unitIn ?? "");
  if (!choice) return "";
  return choice.value ? choice.selectedOptions[0].text : "(unit not chosen yet)";
}

// The fields of one form, in the order of the page.
const fieldsOf = (f) => [...document.querySelectorAll(numbers)].filter((g) => g.form === f.form && g.checkVisibility());

// The tablet's keyboard does not come up for a field with the inputmode none;
// data-keys keeps which one it had.
function silence(f) {
  f.dataset.keys ??= f.inputMode;
  f.inputMode = "none";
}
function unsilence(f) {
  if (f.dataset.keys) f.inputMode = f.dataset.keys;
  delete f.dataset.keys;
}

function changed(f) { f.dispatchEvent(new Event("input", { bubbles: true })); }

function insert(text) {
  field.setRangeText(text, field.selectionStart, field.selectionEnd, "end");
  changed(field);
}
function remove() {
  const to = field.selectionEnd;
  const from = field.selectionStart < to ? field.selectionStart : Math.max(0, to - 1);
  field.setRangeText("", from, to, "end");
  changed(field);
}
function clear() {
  field.value = "";
  changed(field);
}
// A number has its sign in front, once: the key takes it away again.
function sign() {
  field.value = /^[-−]/.test(field.value) ? field.value.slice(1) : "-" + field.value;
  changed(field);
}

const name = element("b", { id: "keypad-name" });
const unit = element("span", { className: "soft" });
const shown = element("b", { className: "num" });
const key = (text, said, act, kind = "") => {
  const b = element("button", { type: "button", className: "key " + kind, textContent: text });
  if (said) b.setAttribute("aria-label", said);
  b.addEventListener("click", act);
  return b;
};
const digit = (d) => key(d, "", () => insert(d));
const point = key(".", "Decimal point", () => insert("."), "point");
const minus = key("−", "Minus", sign, "minus");
const next = key("Next", "", () => { const after = following(); if (after) type(after); }, "word");
const done = key("Done", "", () => close(true), "word last");
const keypad = element("section", { className: "keypad", hidden: true },
  element("p", { className: "keypad-shown", role: "status", ariaAtomic: "true" }, element("span", { className: "keypad-name" }, name, " ", unit), " ", shown),
  element("div", { className: "keypad-keys" },
    digit("7"), digit("8"), digit("9"), key("Delete", "Delete the last one", remove, "word"),
    digit("4"), digit("5"), digit("6"), key("Clear", "Clear the field", clear, "word"),
    digit("1"), digit("2"), digit("3"), next,
    minus, digit("0"), point, done));
keypad.setAttribute("role", "dialog");
keypad.setAttribute("aria-labelledby", "keypad-name");
document.body.append(keypad);

const following = () => { const all = fieldsOf(field); return all[all.indexOf(field) + 1]; };

function show() {
  const secret = field.type === "password";
  shown.textContent = secret ? "•".repeat(field.value.length) : field.value || "–";
}

// open puts the keypad up for a field; by is the button that asked for it.
function open(f, by = null) {
  opener = by;
  type(f);
  if (by) keypad.querySelector(".key").focus();
}

// type goes on with another field.
function type(f) {
  const inside = keypad.contains(document.activeElement);
  if (field && field !== f) leave();
  field = f;
  silence(f);
  name.textContent = labelOf(f);
  unit.textContent = unitOf(f);
  minus.disabled = !("signed" in f.dataset);
  point.disabled = f.dataset.keys === "numeric";
  keypad.hidden = false;
  document.body.dataset.keypad = "open";
  next.disabled = !following();
  show();
  if (!inside || !opener) f.focus({ preventScroll: true });
  if (document.activeElement === f) f.setSelectionRange(f.value.length, f.value.length);
  uncover(f);
}

function leave() {
  field.dispatchEvent(new Event("change", { bubbles: true }));
  unsilence(field);
}

// The field and its label stay in sight, in the room that the keypad leaves.
function uncover(f) {
  const box = (f.closest(".field") ?? f).getBoundingClientRect(), pad = keypad.getBoundingClientRect();
  const beside = box.right <= pad.left || box.left >= pad.right;
  const floor = beside ? innerHeight : pad.top;
  if (box.top < 8 || box.bottom > floor - 8) scrollBy({ top: box.top - Math.max(8, (floor - box.height) / 2), behavior: "instant" });
}

function close(back) {
  if (!field) return;
  const f = field, by = opener;
  f.dispatchEvent(new Event("change", { bubbles: true }));
  field = opener = null;
  keypad.hidden = true;
  delete document.body.dataset.keypad;
  if (back) (by ?? f).focus({ preventScroll: true });
  if (document.activeElement !== f) unsilence(f); // else when it is left: the tablet's keyboard would come up now
}

document.addEventListener("pointerdown", (e) => {
  touched = touches(e);
  if (touched && e.target.matches?.(numbers)) silence(e.target);
}, true);
document.addEventListener("click", (e) => {
  if (touched && e.target !== field && e.target.matches?.(numbers)) open(e.target);
  touched = false;
});
document.addEventListener("input", (e) => { if (e.target === field) show(); });
addEventListener("resize", () => { if (field) uncover(field); }); // as when the tablet is turned
document.addEventListener("focusin", (e) => {
  if (!field || e.target === field || keypad.contains(e.target)) return;
  if (e.target.matches(numbers) && !opener) type(e.target); else close(false);
});
document.addEventListener("focusout", (e) => {
  if (e.target.matches?.(numbers) && e.target !== field) unsilence(e.target);
});

// A press on a key leaves the cursor in the field.
for (const kind of ["pointerdown", "mousedown"]) keypad.addEventListener(kind, (e) => e.preventDefault());

document.addEventListener("keydown", (e) => {
  if (!field) return;
  if (e.key === "Escape") {
    e.preventDefault();
    close(true);
  } else if (keypad.contains(e.target) && !e.ctrlKey && !e.altKey && !e.metaKey && (e.key.length === 1 && e.key !== " " || e.key === "Backspace")) {
    field.focus({ preventScroll: true }); // the letter follows
  }
}, true);

// The button that opens it without a touch: one for a field, or for a row.
function buttonFor(f, words) {
  const b = element("button", { type: "button", className: "quiet keypad-button", textContent: "Keypad" });
  b.setAttribute("aria-label", "Keypad for " + words);
  b.addEventListener("click", () => open(f, b));
  return b;
}
for (const f of document.querySelectorAll(numbers)) {
  const row = f.closest("[data-keypad-row]");
  if (!row) f.after(buttonFor(f, labelOf(f)));
  else if (!row.querySelector(".keypad-button")) row.append(buttonFor(f, row.dataset.keypadRow));
}
