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
for (const table of document.querySelectorAll(".wide > table:not(:has([rowspan]))")) {
  const names = [...(table.tHead?.rows[table.tHead.rows.length - 1]?.cells ?? [])].map((c) => c.textContent.trim());
  for (const cell of table.querySelectorAll("tbody > tr > *")) {
    if (cell.colSpan === 1) cell.dataset.name = names[cell.cellIndex] ?? "";
  }
  table.classList.add("stacked");
}

// A scanner types like a keyboard, wherever the cursor happens to be.
const scan = document.querySelector("[data-scan]");
if (scan) {
  const elsewhere = () => document.activeElement?.closest("input, select, textarea, button, a, summary");
  if (!elsewhere()) scan.focus();
  if (document.activeElement === scan) scan.select();
  document.addEventListener("keydown", (e) => {
    if (e.key.length !== 1 || e.ctrlKey || e.altKey || e.metaKey || elsewhere()) return;
    scan.focus();
    scan.select();
  });
}

// One press is one act. The button goes quiet only after its form was sent,
// because a disabled button would not be sent with it.
document.addEventListener("submit", (e) => {
  if (e.target.method !== "post") return;
  keep(tab, "sent", here);
  const buttons = e.target.querySelectorAll("button:not([type=button])");
  setTimeout(() => buttons.forEach((b) => { b.disabled = true; }));
});

// What was typed survives the way back, in this tab only and never a PIN. A
// page for nobody in particular forgets it: the next person is another.
const typed = () => [...document.querySelectorAll("main :is(input, textarea, select)[id][name]")]
  .filter((f) => !["password", "hidden", "checkbox", "radio", "file"].includes(f.type) && f !== scan);
const here = "typed " + location.pathname + location.search;

addEventListener("pagehide", () => {
  keep(tab, here, JSON.stringify(typed().map((f) => [f.id, f.value])));
});
addEventListener("pageshow", () => {
  document.querySelectorAll("button:disabled").forEach((b) => { b.disabled = false; });
});

// What was recorded is not offered again on the way back.
if (document.querySelector("[role=status]") && kept(tab, "sent")) tab().removeItem(kept(tab, "sent"));

if (document.body.classList.contains("bare")) {
  try { tab().clear(); } catch { /* nothing was kept */ }
} else if (performance.getEntriesByType("navigation")[0]?.type === "back_forward") {
  const values = new Map(JSON.parse(kept(tab, here) ?? "[]"));
  for (const f of typed()) {
    const sent = f.defaultValue ?? f.querySelector("[selected]")?.value ?? "";
    if (values.has(f.id) && f.value === sent) f.value = values.get(f.id);
  }
}
