// Every page works without this script. It puts the cursor where a scanner
// types, stops a second press, keeps what was typed over the way back, and
// remembers on this device whether its pages are dark and which hand it is in.

const page = document.documentElement;

// A private window may store nothing; then nothing is kept.
function keep(store, key, value) {
  try { store().setItem(key, value); } catch { return; }
}
function kept(store, key) {
  try { return store().getItem(key); } catch { return null; }
}
const device = () => localStorage;
const tab = () => sessionStorage;

// Dark or light, as last chosen here. It runs before the page is first drawn.
const chosen = kept(device, "contrast");
if (chosen) page.dataset.contrast = chosen;

function isDark() {
  if (page.dataset.contrast) return page.dataset.contrast === "high";
  return matchMedia("(prefers-color-scheme: dark), (prefers-contrast: more)").matches;
}

for (const button of document.querySelectorAll("[data-contrast-switch]")) {
  const say = () => { button.textContent = isDark() ? "Light" : "Dark"; };
  button.hidden = false;
  button.addEventListener("click", () => {
    page.dataset.contrast = isDark() ? "plain" : "high";
    keep(device, "contrast", page.dataset.contrast);
    say();
  });
  say();
}

// The hand that holds or touches this device: what is pressed lies on its side.
const hand = () => (page.dataset.hand === "left" ? "left" : "right");
const held = kept(device, "hand");
if (held) page.dataset.hand = held;

for (const button of document.querySelectorAll("[data-hand-switch]")) {
  const say = () => { button.textContent = hand() === "left" ? "Right hand" : "Left hand"; };
  button.hidden = false;
  button.addEventListener("click", () => {
    page.dataset.hand = hand() === "left" ? "right" : "left";
    keep(device, "hand", page.dataset.hand);
    say();
  });
  say();
}

// On a phone each line of a table is set as a block, its cells under their
// headings. Without this the table is moved sideways.
function stack(part) {
  for (const table of part.querySelectorAll(".wide > table:not(:has([rowspan]))")) {
    const names = [...(table.tHead?.rows[table.tHead.rows.length - 1]?.cells ?? [])].map((c) => c.textContent.trim());
    for (const cell of table.querySelectorAll("tbody > tr > *")) {
      if (cell.colSpan === 1) cell.dataset.name = names[cell.cellIndex] ?? "";
    }
    table.classList.add("stacked");
  }
}
stack(document);
document.addEventListener("renewed", (e) => stack(e.target));

// The cursor waits where a scanner types, or at a reason that is asked for.
const scan = document.querySelector("[data-scan]");
if (scan) {
  const elsewhere = () => document.activeElement?.closest("input, select, textarea, button, a, summary");
  if (!elsewhere()) (document.querySelector("main [autofocus]") ?? scan).focus();
  if (document.activeElement === scan) scan.select();
}

// The camera as a scanner. Its program comes when it is asked for; once open,
// the camera opens again on the next page of a station until it is closed.
const camera = document.querySelector("[data-camera-switch]");
if (camera && navigator.mediaDevices) {
  const box = document.getElementById(camera.getAttribute("aria-controls"));
  const load = () => import(document.querySelector("script[data-camera]").dataset.camera);
  camera.hidden = false;
  camera.addEventListener("click", (e) => load().then((c) => c.press(camera, box, !e.detail), () => {
    box.hidden = false;
    box.querySelector("[aria-live]").textContent = "The camera's program did not load. Press Camera again, or type the number.";
  }));
  const was = kept(tab, "camera");
  if (was !== null) load().then((c) => c.again(camera, box, was), () => {});
} else if (kept(tab, "camera") !== null) {
  tab().removeItem("camera");
}

// One press is one act. The button goes quiet only after its form was sent,
// because a disabled button would not be sent with it.
document.addEventListener("submit", (e) => {
  if (e.target.method !== "post") return;
  keep(tab, "sent", here);
  const buttons = [...e.target.elements].filter((b) => b.matches("button:not([type=button])"));
  setTimeout(() => buttons.forEach((b) => { b.disabled = true; }));
});

// What was typed survives the way back, in this tab only and never a PIN. A
// page for nobody in particular forgets it: the next person is another.
const typed = () => [...document.querySelectorAll("main :is(input, textarea, select)[id][name]")]
  .filter((f) => !["password", "hidden", "file"].includes(f.type));
const ticked = (f) => ["checkbox", "radio"].includes(f.type);
const sent = (f) => ticked(f) ? f.defaultChecked : f.defaultValue ?? f.querySelector("[selected]")?.value ?? "";
const valueOf = (f) => ticked(f) ? f.checked : f.value;
const address = location.pathname + location.search;
const here = "typed " + address;

function keepTyped(as) {
  keep(tab, as, JSON.stringify(typed().map((f) => [f.id, valueOf(f)])));
}
addEventListener("pagehide", () => keepTyped(here));

// A page that is asked for again keeps it too, and where the cursor was.
let cursor = "";
document.addEventListener("focusin", (e) => { if (e.target.matches("main [id][name]")) cursor = e.target.id; });
document.addEventListener("again", (e) => {
  keepTyped("typed " + e.detail);
  keep(tab, "again", JSON.stringify([e.detail, cursor]));
  if (e.detail === address) location.reload();
  else location.assign(e.detail);
});
addEventListener("pageshow", () => {
  document.querySelectorAll("button:disabled").forEach((b) => { b.disabled = false; });
});

// What was recorded is not offered again on the way back.
if (document.querySelector("[role=status]") && kept(tab, "sent")) tab().removeItem(kept(tab, "sent"));

if (document.body.classList.contains("bare")) {
  try { tab().clear(); } catch { /* nothing was kept */ }
} else {
  const [asked, at] = JSON.parse(kept(tab, "again") ?? "[]");
  if (asked) tab().removeItem("again");
  const again = asked === address;
  if (again || performance.getEntriesByType("navigation")[0]?.type === "back_forward") {
    const values = new Map(JSON.parse(kept(tab, here) ?? "[]"));
    for (const f of typed().filter((f) => again || f !== scan && !ticked(f))) {
      if (!values.has(f.id) || valueOf(f) !== sent(f)) continue;
      f[ticked(f) ? "checked" : "value"] = values.get(f.id);
    }
  }
  if (again && at) document.getElementById(at)?.focus();
}

// Enter in a field leads on to the next one, past the buttons that help to fill
// it in: a scanner ends with it. It never records what is on the bench; what
// scan.js took for a scan leads nowhere.
const station = document.body.classList.contains("station");
if (station || scan) {
  const leads = (field) => {
    const bench = scan && field.form === scan.form;
    return field.form?.method === "post" && (bench || station && !field.matches("[type=password], [type=file]"));
  };
  let took = false; // the Enter that is down: it presses no button that it led to
  addEventListener("keydown", (e) => {
    if (e.key !== "Enter") return;
    took = e.defaultPrevented;
    const field = e.target.closest?.("input, select");
    if (took || !field || field === scan || !leads(field)) return;
    e.preventDefault();
    took = true;
    if (e.repeat) return; // held down, it goes one field far
    const all = [...field.form.elements].filter((f) => f === field || f !== scan && !f.matches("[type=hidden], [type=button], [data-read]") && !(f.type === "radio" && f.name === field.name) && f.checkVisibility());
    all[all.indexOf(field) + 1]?.focus();
  });
  addEventListener("keypress", (e) => { if (e.key === "Enter" && took) e.preventDefault(); }, true);
}

// A tablet that nobody touches asks who is there. What was typed goes along, so
// that whoever comes back finds it. Typing tells the server that somebody is here.
const idle = Number(document.body.dataset.idle ?? 0) * 1000;
if (idle) {
  let touched = Date.now(), told = Date.now();
  const lock = () => {
    touched = Date.now();
    document.dispatchEvent(new CustomEvent("locked"));
    if (page.dataset.kept || navigator.onLine === false) return;
    const bench = document.getElementById("act");
    const q = new URLSearchParams(bench ? new FormData(bench) : location.search);
    for (const [name, value] of [...q]) if (typeof value !== "string" || ["scan", "raw", "command", "seen", "pin", "password", "photo"].includes(name)) q.delete(name);
    location.assign("/sign-in?" + new URLSearchParams({ next: location.pathname + (q.size ? "?" + q : "") }));
  };
  const touch = () => {
    touched = Date.now();
    if (touched - told < 60_000) return;
    told = touched;
    fetch("/here", { method: "POST" }).catch(() => { /* the next one tells it */ });
  };
  for (const kind of ["pointerdown", "keydown", "scanned"]) document.addEventListener(kind, touch, true);
  setInterval(() => { if (Date.now() - touched >= idle) lock(); }, Math.min(idle, 5000));
}
