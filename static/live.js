// What others record appears without reload. Lists change in place, and nothing
// moves under a finger while they do; on any other page a bar says what was
// recorded, and what is typed stays. One stream per tab, none while it is
// hidden: what was missed comes when it is shown again.

const body = document.body;
const again = body.dataset.again;
const stream = new URL(body.dataset.stream, location.href);
const words = document.querySelector("[data-connection]");
const bar = document.querySelector("[data-news]");
const form = document.querySelector("[data-news-form]");
const regions = () => [...document.querySelectorAll("[data-live]")];

// The stream.

let since = stream.searchParams.get("since");
let source, retry, wait = 1000, over = false;

function connect() {
  clearTimeout(retry);
  if (source || over || document.hidden) return;
  stream.searchParams.set("since", since);
  source = new EventSource(stream);
  source.onopen = () => { wait = 1000; connected(); };
  source.onmessage = (e) => { since = e.lastEventId; hear(JSON.parse(e.data)); };
  source.addEventListener("at", (e) => { since = e.data; });
  source.addEventListener("end", (e) => { over = true; disconnect(); connected(); words.textContent = e.data; });
  source.onerror = () => {
    disconnect();
    lost();
    retry = setTimeout(connect, wait * (0.75 + Math.random() / 2));
    wait = Math.min(2 * wait, 30000);
  };
}

function disconnect() {
  source?.close();
  source = null;
  clearTimeout(retry);
}

// A page that is left loses its connection too: only what lasts is said. The
// time is the book's, as the page shows it.
let saying;
const opened = Date.now();

function lost() {
  if (saying) return;
  const [hour, minute] = document.querySelector(".now .num").textContent.split(" ").pop().split(":").map(Number);
  const now = hour * 60 + minute + Math.floor((Date.now() - opened) / 60000);
  const two = (n) => String(n).padStart(2, "0");
  const text = `no connection since ${two(Math.floor(now / 60) % 24)}:${two(now % 60)}`;
  saying = setTimeout(() => { words.textContent = text; }, 1500);
}
function connected() {
  clearTimeout(saying);
  saying = null;
  if (words.textContent) words.textContent = "";
}

addEventListener("online", () => { wait = 1000; connect(); });
addEventListener("offline", () => { disconnect(); lost(); });
addEventListener("pagehide", disconnect);
addEventListener("pageshow", connect);
document.addEventListener("visibilitychange", () => {
  if (document.hidden) disconnect();
  else connect();
});

// What is sent from here is about to be on the next page; it is no news.
let hushed = 0;
document.addEventListener("submit", () => { hushed = Date.now() + 3000; });

function hear(news) {
  if (Date.now() < hushed) setTimeout(hear, hushed - Date.now(), news);
  else if (regions().length) renewSoon(news);
  else tell(news);
}

// The bar.

let count = 0, stopping = "", from = null;

function tell(news) {
  count += news.count;
  stopping = news.stop || stopping;
  let text = stopping || news.said?.at(-1) || "More was recorded meanwhile.";
  if (count > 1) text += ` And ${count - 1} more.`;
  bar.role = stopping ? "alert" : "status";
  bar.classList.toggle("stopping", Boolean(stopping));
  if (!bar.firstChild) bar.append(form.content.cloneNode(true));
  bar.querySelector("[data-said]").textContent = text;
  place();
}

// Its buttons take the cursor only from who comes by the keyboard, and give it
// back.
bar.addEventListener("mousedown", (e) => e.preventDefault());
bar.addEventListener("focusin", (e) => { if (!bar.contains(e.relatedTarget)) from = e.relatedTarget; });
bar.addEventListener("click", (e) => {
  if (e.target.closest("[data-show]")) document.dispatchEvent(new CustomEvent("again", { detail: again }));
  if (!e.target.closest("[data-later]")) return;
  if (bar.contains(document.activeElement)) (from?.isConnected ? from : document.querySelector("main")).focus();
  bar.replaceChildren();
  count = 0;
});

// It lies at the bottom edge, but not over what is to be pressed or typed into.
function place() {
  if (!bar.firstChild) return;
  bar.classList.remove("up");
  const box = bar.getBoundingClientRect();
  const fields = document.activeElement?.matches("main :is(input, select, textarea)") ? [document.activeElement] : [];
  const under = [...document.querySelectorAll("main .go"), ...fields].map((e) => e.getBoundingClientRect());
  bar.classList.toggle("up", under.some((u) => u.bottom > box.top && u.top < box.bottom));
}
for (const moved of ["scroll", "resize", "focusin"]) addEventListener(moved, place, { passive: true, capture: true });

// Where the hand is.

let pressed = false, touched = -Infinity, at = null;
const now = () => performance.now();

for (const [event, down] of [["pointerdown", true], ["pointerup", false], ["pointercancel", false], ["touchstart", true], ["touchend", false], ["touchcancel", false]]) {
  addEventListener(event, (e) => {
    pressed = e.touches ? e.touches.length > 0 : down;
    touched = now();
  }, { passive: true, capture: true });
}
for (const event of ["touchmove", "wheel"]) addEventListener(event, () => { touched = now(); }, { passive: true, capture: true });
addEventListener("pointermove", (e) => { at = { x: e.clientX, y: e.clientY }; }, { passive: true });
addEventListener("pointerdown", (e) => { at = { x: e.clientX, y: e.clientY }; }, { passive: true, capture: true });

// Lists.

const raw = new Map(); // each region as it came
let due, renewed = -Infinity, waits = null;

// All stations hear of a change at once; they need not all ask at once.
function renewSoon(news) {
  waits = news ?? waits;
  due ??= setTimeout(renew, Math.max(150 + Math.random() * 200, renewed + 2000 - now()));
}

async function renew() {
  due = null;
  const still = pressed ? 500 : touched + 2000 - now();
  if (still > 0) { due = setTimeout(renew, still); return; }
  const news = waits;
  let fresh;
  try {
    const answer = await fetch(again, { headers: { Accept: "text/html" }, cache: "no-store" });
    if (!answer.ok || answer.redirected) return;
    fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  } catch {
    return renewSoon(); // the header says that there is no connection
  }
  renewed = now();
  if (pressed || touched + 2000 > now()) return renewSoon();
  if (replace(fresh)) waits = null;
  else tell(news); // focus is in a list: it changes when focus leaves it
}

document.addEventListener("focusout", (e) => {
  if (waits && e.target.closest("[data-live]")) renewSoon();
});

// replace puts in what has changed, but for regions with the focus.
function replace(fresh) {
  let all = true;
  const hand = underHand();
  document.querySelector("main").style.paddingBottom = "";
  for (const old of regions()) {
    const part = fresh.querySelector(`[data-live="${old.dataset.live}"]`);
    if (!part || raw.get(old.dataset.live) === part.outerHTML) continue;
    if (old.contains(document.activeElement)) {
      all = false;
      continue;
    }
    raw.set(old.dataset.live, part.outerHTML);
    const scrolled = [...old.querySelectorAll(".wide")].map((w) => [w.scrollLeft, w.scrollTop]);
    old.replaceWith(part);
    part.dispatchEvent(new Event("renewed", { bubbles: true }));
    part.querySelectorAll(".wide").forEach((w, i) => { [w.scrollLeft, w.scrollTop] = scrolled[i] ?? [0, 0]; });
  }
  if (hand) keepUnder(hand);
  return all;
}

const lines = (region) => [...region.querySelectorAll("tr, li, a[href]")];
const keyOf = (line) => line.tagName + ((line.matches("a") ? line : line.querySelector("a[href]"))?.getAttribute("href") ?? line.textContent);

// underHand is what lies under the pointer, or has the focus: itself, or the
// lines of its list with where they stand, the nearest first.
function underHand() {
  const e = [at && document.elementFromPoint(at.x, at.y), document.activeElement].find((e) => e?.closest("main") && e.id !== "main");
  const region = e?.closest("[data-live]");
  if (!region) return e && [{ element: e, top: e.getBoundingClientRect().top }];
  const y = at?.y ?? e.getBoundingClientRect().top;
  const away = (box) => Math.max(box.top - y, y - box.bottom, 0);
  return lines(region).map((l) => [l, l.getBoundingClientRect()]).sort(([, a], [, b]) => away(a) - away(b))
    .map(([l, box]) => ({ key: keyOf(l), name: region.dataset.live, top: box.top }));
}

// keepUnder scrolls so that the nearest of them that is still there stands
// where it stood. What scrolling cannot do, empty space does.
function keepUnder(hand) {
  let found, was;
  for (was of hand) {
    found = was.element ?? lines(document.querySelector(`[data-live="${was.name}"]`)).find((l) => keyOf(l) === was.key);
    if (found) break;
  }
  if (!found) return;
  const region = found.closest("[data-live]");
  let by = scroll(found, found.getBoundingClientRect().top - was.top);
  if (by >= 1) document.querySelector("main").style.paddingBottom = `${by}px`;
  else if (by <= -1 && region) region.style.marginTop = `${-by}px`;
  if (by >= 1) by = scroll(found, by);
}

// scroll moves what is around an element, the innermost first, and says what is
// left to do.
function scroll(e, by) {
  for (let box = e.parentElement; box && Math.abs(by) >= 0.5; box = box.parentElement) {
    const was = box.scrollTop;
    box.scrollTop += by;
    by -= box.scrollTop - was;
  }
  return by;
}

connect();
