// A station's tablet goes on without connection: an act that cannot be sent is
// kept here, shown as not sent, and sent once there is a connection again. The
// book alone says what was recorded. What it refuses waits for a person.

const page = document.documentElement, main = document.querySelector("main");
const tag = document.querySelector("[data-queue]");
const keptList = document.querySelector("[data-kept-list]");
const insertHere = decodeURIComponent(location.pathname.match(/^\/station\/([^/]+)/)?.[1] ?? "");
const old = page.dataset.kept; // when this page was made, if it was kept
const here = new URLSearchParams(location.search);
const answerIn = 15000; // ms until there is no answer

// What the tablet keeps: acts in order, and a few things by name: who works
// here, what codes mean, whether somebody still has to be signed out.

const base = new Promise((done, no) => {
  const r = indexedDB.open("sinterbook", 1);
  r.onupgradeneeded = () => {
    r.result.createObjectStore("acts", {keyPath: "n", autoIncrement: true});
    r.result.createObjectStore("tablet");
  };
  r.onsuccess = () => done(r.result);
  r.onerror = () => no(r.error);
});
base.catch(() => {});

async function within(store, mode, act) {
  const t = (await base).transaction(store, mode, {durability: "strict"}), r = act(t.objectStore(store));
  return new Promise((done, no) => {
    t.oncomplete = () => done(r.result);
    t.onabort = t.onerror = () => no(t.error);
  });
}
const acts = () => within("acts", "readonly", (s) => s.getAll());
const actNumber = (n) => within("acts", "readonly", (s) => s.get(n));
const keepAct = (item) => within("acts", "readwrite", (s) => s.put(item));
const dropAct = (n) => within("acts", "readwrite", (s) => s.delete(n));
const known = (name) => within("tablet", "readonly", (s) => s.get(name));
const know = (name, value) => within("tablet", "readwrite", (s) => s.put(value, name));

// alone runs something in one tab at a time; elsewhere it is not run.
function alone(act, options = {}) {
  if (!navigator.locks) return act(true);
  return navigator.locks.request("sinterbook-queue", options, (lock) => lock && act());
}

const others = new BroadcastChannel("sinterbook-queue");
others.onmessage = () => show();

// uuid7 is the id of an act (RFC 9562): a resend is the same act.
export function uuid7(now = Date.now()) {
  const b = crypto.getRandomValues(new Uint8Array(16));
  for (let i = 0; i < 6; i++) b[i] = Math.floor(now / 2 ** (40 - 8 * i)) % 256;
  b[6] = b[6] & 0x0f | 0x70;
  b[8] = b[8] & 0x3f | 0x80;
  return [...b].map((x) => x.toString(16).padStart(2, "0")).join("").replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}

// post sends fields and reads the answer. It throws when there is none.
async function post(url, fields, how = "1") {
  const r = await fetch(url, {method: "POST", body: new URLSearchParams(fields), headers: {"Sinterbook-Kept": how}, signal: AbortSignal.timeout(answerIn)});
  const said = await r.json().catch((e) => {
    if (r.ok || e.name !== "SyntaxError") throw e; // cut short, or not the book that answered
    return {status: r.status, title: "Refused", detail: "The answer was " + r.status + "."};
  });
  return {ok: r.ok, status: r.status, said};
}

async function connected() {
  try {
    return (await fetch("/livez", {cache: "no-store", signal: AbortSignal.timeout(4000)})).status < 502;
  } catch { return false; }
}

// Words on the page.

function make(kind, text, more = {}) {
  const e = Object.assign(document.createElement(kind), more);
  if (text) e.append(...[text].flat());
  return e;
}

const area = make("section", "", {className: "unsent", hidden: true});
area.setAttribute("aria-live", "polite");
area.setAttribute("aria-label", "Connection");
const about = make("div"), told = make("div"), list = make("ul");
area.append(about, told, list);
main?.prepend(area);

function say(text, ...more) {
  told.replaceChildren(...(text ? [make("p", text, {className: "said"}), ...more] : []));
  reveal();
  if (text) area.scrollIntoView({block: "nearest"});
}
function reveal() { area.hidden = !about.childNodes.length && !told.childNodes.length && !list.childNodes.length; }

// clock is the hour by this tablet's clock, with the day where that is another.
function clock(iso) {
  const at = new Date(iso), two = (n) => String(n).padStart(2, "0");
  const hour = two(at.getHours()) + ":" + two(at.getMinutes());
  return at.toDateString() === new Date().toDateString() ? hour : `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())} ${hour}`;
}
const words = (said) => said.map(([label, value]) => label + ": " + value).join("; ");

async function show() {
  const all = await acts();
  const n = all.length, stuck = all.filter((i) => i.state === "stopped").length;
  tag.replaceChildren(n ? make("a", n + " not sent" + (stuck ? ", " + stuck + " stopped" : ""), {href: "/station/kept"}) : "all sent");
  tag.dataset.queue = n ? "some" : "none";
  const mine = keptList ? [] : all.filter((i) => insertHere ? i.insert === insertHere : location.pathname === "/station");
  list.replaceChildren(...mine.map(line));
  reveal();
  if (keptList) await showKept(all);
}

function line(item) {
  const what = `${item.title} for ${item.insert}, ${clock(item.at)}, badge ${item.badge}`;
  const li = make("li", [make("b", item.state === "stopped" ? "Not recorded: " : "Not sent yet: "), what, make("span", words(item.said), {className: "soft"})]);
  if (item.problem) li.append(make("span", item.problem.detail, {className: "soft"}), make("a", "What to do", {href: "/station/kept"}));
  return li;
}

// Who works here. A page that was kept shows whoever is here now, not who
// opened it; what is pressed is that badge's.

let who = null, torn = false;

async function whoIsHere() {
  const was = await known("who");
  if (old) {
    who = was ?? null;
    const name = document.querySelector(".who > a");
    name?.replaceChildren(make("b", who?.badge ?? "nobody", {className: "num"}), who?.does ? " " + who.does : "");
    page.dataset.at = who?.badge ?? "";
    return;
  }
  const now = tag.dataset.badge ? {badge: tag.dataset.badge, does: tag.dataset.does} : null;
  torn = Boolean(was?.offline && now && was.badge !== now.badge);
  who = now;
  if (!torn) return know("who", now);
  const go = make("button", "I am badge " + now.badge, {type: "button", className: "quiet"});
  go.addEventListener("click", async () => {
    torn = false;
    await know("who", now);
    about.replaceChildren();
    say("");
  });
  about.replaceChildren(make("p", `Badge ${was.badge} worked here without connection; the tablet is signed in as badge ${now.badge} again. Badge ${was.badge}: scan your badge before you go on.`), go);
  reveal();
}

// Sending and keeping.

const actOf = (form) => (form.getAttribute("action") ?? "").match(/^\/station\/([^/]+)\/(?!scan$|job$)([a-z-]+)$/);
const cannotWait = (form) => form.querySelector("input[type=password], [name=instruction_read]") || [...form.querySelectorAll("input[type=file]")].some((f) => f.files.length);
const noWay = () => Boolean(old) || navigator.onLine === false;
const passed = new WeakSet(), sending = new WeakSet();

function enable(form) {
  setTimeout(() => form.querySelectorAll("button:disabled").forEach((b) => { b.disabled = false; }));
}

function native(form, button) {
  passed.add(form);
  form.querySelectorAll("button:disabled").forEach((b) => { b.disabled = false; });
  form.requestSubmit(button ?? null);
}

function itemOf(form) {
  const [url, insert, act] = actOf(form);
  const said = [...form.elements].filter((f) => f.name && f.labels?.length && f.value && f.type !== "file" && (!["checkbox", "radio"].includes(f.type) || f.checked)).map((f) => {
    if (f.type === "radio") return [f.closest("fieldset").querySelector("legend").textContent.trim(), f.value];
    const label = f.labels[0].cloneNode(true);
    label.querySelectorAll(".soft, textarea").forEach((s) => s.remove());
    const chosen = f.selectedOptions?.[0].text ?? "";
    return [label.textContent.trim().replace(/\s+/g, " "), f.type === "checkbox" ? "yes" : chosen.startsWith(f.value) ? f.value : chosen || f.value];
  });
  return {
    url, insert: decodeURIComponent(insert), act, said, fields: [...new FormData(form)].filter(([, value]) => typeof value === "string"), command: form.elements.command?.value,
    title: (form.closest(".sheet")?.querySelector("h2") ?? form.querySelector("button"))?.textContent.trim(),
    badge: who?.badge, at: new Date().toISOString(), state: "new",
  };
}

// emptied makes a form ready for another act.
function emptied(form) {
  form.reset();
  for (const f of form.querySelectorAll("input[inputmode], textarea")) f.value = "";
  // What was scanned for this act is not of the next one; the insert stays.
  for (const f of [...form.querySelectorAll("[name=scanned]")].slice(1)) f.remove();
  for (const name of ["container", "gauge", "cutter", "mould"]) if (form.elements[name]) form.elements[name].value = "";
  form.elements.command.value = uuid7();
  touched = false;
}

let scans = Promise.resolve(); // one after the other
let touched = false; // something was typed here and not sent
addEventListener("input", (e) => { if (!e.target.closest("[data-scan]")) touched = true; });

document.addEventListener("submit", (e) => {
  const form = e.target, reads = e.submitter?.matches("[data-read]");
  const scan = reads ? document.querySelector("[data-scan]") : form.querySelector("[data-scan]");
  if (form.method !== "post" || passed.delete(form)) return;
  if (torn ? form.matches("[action='/sign-out'], [action='/sign-in']") : scan ? !noWay() : !actOf(form) && !noWay() && !form.matches("[data-leave-out]")) return;
  e.preventDefault();
  if (sending.has(form)) return;
  if (torn) return void whoFirst(form, scan);
  if (scan) { // the next scan may come at once
    const text = form.querySelector("[data-raw]")?.value || scan.value;
    scan.value = "";
    enable(form);
    scans = scans.then(() => offlineScan(text));
    return;
  }
  sending.add(form);
  document.dispatchEvent(new CustomEvent("acting"));
  handle(form, e.submitter).then((goes) => {
    sending.delete(form);
    enable(form);
    if (!goes) document.dispatchEvent(new CustomEvent("acted"));
  }, () => {
    sending.delete(form);
    enable(form);
    document.dispatchEvent(new CustomEvent("acted"));
  });
});

// whoFirst lets nothing pass but a badge while it is not said who works here.
async function whoFirst(form, scan) {
  const text = form.querySelector("[data-raw]")?.value || scan?.value || "", it = text && await meant(text, await known("index") ?? {people: {}, codes: {}});
  enable(form);
  if (it?.kind === "badge") return native(form, form.querySelector("[data-read]") ?? document.querySelector("[data-read]"));
  say("This was not sent: say first who works here.");
  document.dispatchEvent(new CustomEvent("acted"));
}

// handle sends or keeps a form. It answers with true where another page comes.
async function handle(form, button) {
  await ready;
  if (form.matches("[data-leave-out]")) return leaveOut(form);
  if (button?.hasAttribute("formaction")) return await connected() ? native(form, button) ?? true : say("No connection: this page cannot be left now. What you typed is still in the form.");
  if (actOf(form) && torn) return say("This was not sent: say first who works here.");
  if (actOf(form) && !cannotWait(form)) return here.get("right") ? mend(form) : send(form);
  if (await connected()) return native(form, button) ?? true;
  if (form.getAttribute("action") === "/sign-out") return leave();
  say(cannotWait(form)
    ? "No connection. This asks for a PIN or a file, and such an act cannot be kept here. What you typed is still in the form: send it when the connection is back, or use the numbered paper form."
    : "No connection. This cannot be kept here. What you typed is still in the form: send it when the connection is back.");
}

// send sends an act, or keeps it where there is no answer. What is behind
// another act about the same insert waits behind it.
async function send(form) {
  const item = itemOf(form);
  if (!noWay() && !(await acts().catch(() => [])).some((i) => i.insert === item.insert)) {
    let answer;
    try {
      answer = await post(item.url, item.fields);
    } catch { /* no connection, or none long enough for the answer */ }
    if (answer?.ok) {
      touched = false;
      location.assign(answer.said.to);
      return true;
    }
    if (answer) return native(form) ?? true; // the page that comes back says what is wrong
  }
  const needed = [...form.elements].filter((f) => f.required && !f.value).map((f) => f.labels?.[0]?.textContent.trim()).filter(Boolean);
  if (needed.length) return say("Not kept, since this is still missing: " + needed.join(", ") + ".");
  if (!item.badge) return say("No connection, and nobody is signed in here. Scan your badge first; what you typed is still in the form.");
  try {
    await keepAct(item);
  } catch {
    return say("No connection, and this browser keeps nothing: the act was neither sent nor kept. What you typed is still in the form.");
  }
  emptied(form);
  if (["result", "green"].includes(item.act)) form.hidden = true; // which is measured next, the book says
  others.postMessage("kept");
  await show();
  say("");
  area.scrollIntoView({block: "nearest"});
  flush(); // the form is ready for the next act meanwhile
}

// mend sends an act again that was refused, as it stands in its form now.
async function mend(form) {
  const item = await actNumber(Number(here.get("right")));
  if (!item) return send(form);
  if (item.badge !== who?.badge) return say(`Badge ${item.badge} recorded this, and must scan in here to put it right.`);
  const now = itemOf(form);
  await alone(() => keepAct({...item, fields: now.fields, said: now.said, command: now.command, url: now.url, state: "new", right: true, problem: undefined}));
  touched = false;
  await flush();
  location.assign("/station/kept");
}

// leave signs out on a tablet without connection; at the book it is made up
// for later.
async function leave() {
  await know("leave", true);
  await know("who", null);
  location.reload();
}

// Sending what was kept, in order, one at a time.

const first = 2000, longest = 60000;
let wait = first, timer;

function again() {
  clearTimeout(timer);
  timer = setTimeout(flush, wait);
  wait = Math.min(2 * wait, longest);
}

async function flush() {
  const got = await alone(sendAll, {ifAvailable: true}).catch(() => null);
  if (got?.recorded.length) {
    wait = first;
    others.postMessage("sent");
  }
  await show();
  if (got?.through && await known("leave")) return signOut();
  if (got?.recorded.length) return arrived(got.recorded);
  if (got?.through && old && await connected()) return back();
  if (old || (await acts()).some((i) => i.state !== "stopped")) again();
}

// sendAll says what was recorded, and whether all could be tried.
async function sendAll() {
  const recorded = [], behind = new Set();
  for (const { n } of await acts()) {
    const item = await actNumber(n);
    if (!item) continue;
    if (item.state === "stopped" || behind.has(item.insert)) {
      behind.add(item.insert);
      continue;
    }
    let answer;
    try {
      answer = await post(item.url, [...item.fields, ["kept_at", item.at], ["kept_by", item.badge], ["kept_right", item.right ? "1" : ""], ["kept_sent", new Date().toISOString()]], "again");
    } catch {
      return {recorded, through: false};
    }
    if (answer.ok) {
      await dropAct(n);
      recorded.push(answer.said);
      continue;
    }
    const failed = answer.status >= 500 ? (item.failed ?? 0) + 1 : 0;
    if (answer.status === 429 || failed && failed < 4) {
      if (failed) await keepAct({...item, failed});
      return {recorded, through: false};
    }
    behind.add(item.insert);
    await keepAct({...item, problem: answer.said, state: [401, 403].includes(answer.status) ? "waits" : "stopped"});
  }
  return {recorded, through: true};
}

// arrived says what the book has now, on a page that shows it.
function arrived(recorded) {
  const said = recorded.map((r) => r.said + (r.entry ? " Entry " + r.entry + "." : ""));
  const concerned = old || keptList || location.pathname === "/station" || insertHere;
  if (!concerned || touched) return recordedNow(said);
  try { sessionStorage.setItem("arrived", JSON.stringify(said)); } catch { /* then it is not said again */ }
  location.replace(insertHere && !keptList ? "/station/" + encodeURIComponent(insertHere) : location.pathname + location.search);
}

function recordedNow(said) {
  say("");
  told.replaceChildren(...said.map((s) => make("p", [make("b", "Recorded now: "), s])));
  reveal();
}

async function signOut() {
  await fetch("/sign-out", {method: "POST", signal: AbortSignal.timeout(answerIn)}).then(() => know("leave", false));
  location.replace("/sign-in");
}

// back is a page that was kept, now that there is a connection again.
function back() {
  if (!touched) return location.reload();
  say("The connection is back.", make("a", "Open this page anew", {href: location.pathname + location.search}));
}

// The page of what is kept.

async function showKept(all) {
  if (page.dataset.missing !== undefined) {
    document.querySelector("[data-missing]:not(html)").hidden = false;
    document.querySelector("[data-listed]").hidden = true;
    if (page.dataset.unsent !== undefined) say("There was no connection: what you sent on the page before did not go out. Go back to it; what you typed is still there.");
  }
  if (!keptList.contains(document.activeElement)) keptList.replaceChildren(...all.length ? all.map((item, i) => itemCard(item, all.slice(0, i).some((a) => a.insert === item.insert && a.state !== "new"))) : [make("p", "Everything is sent.", {className: "empty"})]);
  const kept = window.caches ? await (await caches.open("pages")).keys() : [];
  const room = document.querySelector("[data-kept-pages]");
  const paths = kept.map((r) => new URL(r.url)).filter((u) => u.pathname !== "/station/kept" && !u.pathname.endsWith("/sure") && !u.search).map((u) => u.pathname).sort();
  room.hidden = !paths.length;
  room.querySelector("ul").replaceChildren(...paths.map((p) => make("li", p === "/station" ? make("a", "This station", {href: p}) : make("a", decodeURIComponent(p.split("/")[2]), {href: p, className: "num"}))));
}

const states = {new: "Not sent yet. It goes out by itself once there is a connection.", behind: "Not sent yet. It waits behind the act above, which is about the same insert.", stopped: "The book did not take it. Nothing of it was recorded."};

function itemCard(item, behind) {
  const card = document.querySelector("template[data-item]").content.cloneNode(true).firstElementChild;
  const at = (name) => card.querySelector(`[data-${name}]`);
  at("title").textContent = item.title + " for " + item.insert;
  at("state").textContent = item.state === "waits" ? item.problem.detail : states[behind && item.state === "new" ? "behind" : item.state];
  at("here").append(...pairs([["Badge", item.badge], ["Pressed, by this tablet's clock", clock(item.at)], ...item.said]));
  if (item.problem) told2(at, item.problem);
  at("leave-out").dataset.leaveOut = item.n;
  at("acts").hidden = item.state !== "stopped";
  at("leave-out").hidden = item.state === "new" && !behind; // one that is on its way
  at("right").href = `/station/${encodeURIComponent(item.insert)}?act=${item.act}&right=${item.n}`;
  return card;
}

const pairs = (list) => list.map(([name, value]) => make("div", [make("dt", name), make("dd", value)]));

function told2(at, no) {
  at("there-side").hidden = false;
  at("why").textContent = no.detail;
  at("needed").replaceChildren(...(no.errors ?? []).map((e) => make("li", e.detail)), ...(no.objections ?? []).filter((o) => !o.field).map((o) => make("li", "Clears it: " + o.lift + ".")));
  at("there").replaceChildren(...pairs((no.stands ?? []).map((s) => [s.name, s.value])));
  at("meanwhile-title").hidden = !no.meanwhile?.length;
  at("meanwhile").replaceChildren(...(no.meanwhile ?? []).map((m) => make("li", m)));
}

// leaveOut gives an act up, with a reason that the history keeps.
async function leaveOut(form) {
  const item = await actNumber(Number(form.dataset.leaveOut));
  if (!item) return show();
  let answer;
  try {
    answer = await post("/station/kept", [["command", uuid7()], ["insert", item.insert], ["act", item.title], ["said", words(item.said)], ["whose", item.badge], ["pressed", item.at], ["of", item.command], ["why", form.elements.why.value]]);
  } catch {
    return say("No connection: leaving out is recorded in the book, so that it needs one.");
  }
  if (!answer.ok) return say([answer.said.detail, ...(answer.said.errors ?? []).map((e) => e.detail)].join(" "));
  await alone(() => dropAct(item.n));
  others.postMessage("left out");
  document.activeElement?.blur();
  await show();
  say(answer.said.said);
  await flush();
}

// mending fills the form with what was recorded here, and asks for the reasons
// that the gates asked for.
async function mending() {
  const item = await actNumber(Number(here.get("right")));
  const form = [...document.querySelectorAll("form")].find((f) => actOf(f)?.[2] === item?.act);
  if (!item || !form) return;
  if (item.badge !== who?.badge) return say(`Badge ${item.badge} recorded this, and must scan in here to put it right.`);
  for (const [name, value] of item.fields) {
    const field = form.elements[name];
    if (field instanceof RadioNodeList) field.value = value; // a reason that was touched
    if (!field || field.type === "hidden" || field instanceof RadioNodeList) continue;
    if (field.type === "checkbox") field.checked = true;
    else field.value = value;
    if (value && field.closest("details")) field.closest("details").open = true;
  }
  for (const o of (item.problem?.objections ?? []).filter((o) => o.field && !form.elements[o.field])) {
    const label = make("label", o.why + " Why go on?"), box = make("textarea", "", {name: o.field, rows: 3, required: true});
    label.append(box);
    form.querySelector("button.go").before(make("div", label, {className: "field"}));
  }
  say("This was recorded here at " + clock(item.at) + " and not taken: " + (item.problem?.detail ?? "") + " Put it right and record it again.");
}

// Scanning without connection.

// stripped is a scan without what the scanner added, and without the address
// that stands before a code of ours.
const stripped = (text) => text.replace(/^[\s\x02]*(\][A-Za-z]\d)?/, "").replace(/[\s\x03]+$/, "").replace(/^\*(.*)\*$/, "$1").replace(/^https?:\/\/[^/]+\/t\//i, "");

// folded is a code as the book reads it; what stands behind it names a place.
export function folded(text) {
  const code = stripped(text).replace(/^([^/]{10,})\/.*/, "$1").toUpperCase();
  const bare = code.replace(/[ -]/g, "");
  return bare.length === 10 ? bare.replace(/I/g, "1").replace(/O/g, "0") : code;
}

async function digest(text) {
  if (!crypto.subtle) return "";
  return [...new Uint8Array(await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text)))].map((x) => x.toString(16).padStart(2, "0")).join("");
}

// meant is what a scan stands for by the index that this tablet keeps: a badge,
// a thing, or nothing.
export async function meant(text, index) {
  const code = folded(text), badge = index.people[await digest(code)];
  if (badge) return {kind: "badge", number: badge};
  if (/^[0-9a-f]{64}$/i.test(stripped(text))) return {kind: "program", number: stripped(text).toLowerCase()};
  const part = stripped(text).match(/^[^/]{10,}\/(.+)$/)?.[1];
  const thing = index.codes[code] ?? Object.values(index.codes).find((t) => t.number.toUpperCase() === stripped(text).toUpperCase());
  return thing && part ? {...thing, part} : thing;
}

// offlineScan does what a scan means while there is no connection. It answers
// with the sentence that it said.
export async function offlineScan(text) {
  await ready;
  const index = await known("index") ?? {people: {}, codes: {}};
  const it = text.trim() ? await meant(text, index) : undefined;
  const said = await scanned(text, it);
  if (said) say(said);
  return said;
}

async function scanned(text, it) {
  if (!text.trim()) return "Nothing was scanned: hold the scanner to the label, or type the number under it.";
  if (!it) return `“${text.trim()}” is not among what this tablet keeps. Without connection it knows the inserts listed here, what lies at this station, and the badges that signed in here.`;
  if (it.kind === "badge") {
    await know("who", {badge: it.number, offline: true});
    await whoIsHere();
    return `Badge ${it.number} works here now. What is recorded from here on is theirs.`;
  }
  if (it.href) return void location.assign(it.href);
  const form = [...document.querySelectorAll("form")].find(actOf);
  if (!form) return `Scan a traveler first: then ${it.kind} ${it.number} goes into its form.`;
  if (it.kind === "card") return card(form, it.number);
  return fill(form, it);
}

// card presses the button of the form where the card fits its act.
function card(form, number) {
  const act = actOf(form)[2], kind = act.match(/-(start|finish)$/)?.[1] ?? "record";
  if (number !== kind && number !== "record") return `The card “${number}” does not fit here: this form is for “${form.querySelector("button.go").firstChild.textContent.trim()}”.`;
  form.requestSubmit(form.querySelector("button.go"));
}

const places = {mould: "place", oven: "shelf"};
const takers = {container: "paste", cutter: "layers"}; // the other form of a print that asks for it

function fill(form, it) {
  const field = form.elements[it.kind === "program" ? "program_sha256" : it.kind], place = form.elements[places[it.kind]];
  if (it.part && place) place.value = it.part;
  if ((!field || field.type === "hidden") && takers[it.kind] && !touched && insertHere) {
    return void location.assign(`/station/${encodeURIComponent(insertHere)}?` + new URLSearchParams({act: takers[it.kind], [it.kind]: it.number}));
  }
  if (!field || field.type === "hidden") return `This form asks for no ${it.kind}: ${it.number} was not used.`;
  if (field.options && ![...field.options].some((o) => o.value === it.number)) return `${it.number} is not among what this form offers.`;
  field.value = it.number;
  touched = true;
  field.dispatchEvent(new Event("change", {bubbles: true}));
  return `${it.number} is filled in.`;
}

// What this tablet keeps of the station: fetched anew now and then, and when
// another person signs in.

async function refresh() {
  if (!tag.dataset.badge || old) return;
  const was = await known("index");
  if (was?.station && was.station !== tag.dataset.station) await caches?.delete("pages");
  const same = was?.badge === tag.dataset.badge && was.station === tag.dataset.station;
  const acted = document.querySelector(".notice"); // then other forms come next
  if (same && !acted && Date.now() - was.fetched < 60000) return;
  const r = await fetch("/station/keep.json", {signal: AbortSignal.timeout(answerIn)});
  if (!r.ok || r.redirected) return;
  const index = await r.json();
  await know("index", {...index, badge: tag.dataset.badge, station: tag.dataset.station, fetched: Date.now()});
  const worker = await navigator.serviceWorker?.ready;
  worker?.active?.postMessage({keep: index.pages, anew: !same});
}

// broughtAlong fills a kept form with what was scanned and typed before the
// connection was lost: it stands in the address, as on every page of a station.
function broughtAlong() {
  const form = [...document.querySelectorAll("form")].find(actOf);
  if (!form || here.get("act") && here.get("act") !== form.elements.act?.value) return;
  for (const [name, value] of here) {
    const field = form.elements[name];
    if (field instanceof RadioNodeList) field.value = value;
    if (!field || field instanceof RadioNodeList || field.type === "hidden" || name === "scan") continue;
    if (field.options && ![...field.options].some((o) => o.value === value)) continue;
    field.value = value;
    touched = true;
  }
}

// begin runs once the page is there.
async function begin() {
  navigator.serviceWorker?.register("/sw.js", {updateViaCache: "none"}).catch(() => {});
  if (old) {
    const of = document.querySelector(".now"), at = of?.querySelector(".num")?.textContent ?? clock(old);
    if (of) of.firstChild.textContent = "as of ";
    if (page.dataset.missing === undefined) {
      about.append(make("p", [make("b", page.dataset.slow === undefined ? "No connection. " : "The connection is slow. "), `This page is as it was at ${at}.`], {className: "as-it-was"}));
    }
    for (const form of document.querySelectorAll("form")) if (form.elements.command) form.elements.command.value = uuid7();
    broughtAlong();
  }
  reveal();
  await ready;
  const now = JSON.parse(sessionStorage.getItem("arrived") ?? "[]");
  sessionStorage.removeItem("arrived");
  if (now.length) recordedNow(now);
  if (here.get("right")) await mending();
  await show();
  const scan = location.hash.match(/^#scan=(.*)/);
  if (scan && old) {
    history.replaceState(null, "", location.pathname + location.search);
    await offlineScan(decodeURIComponent(scan[1]));
  }
  if (old || (await acts()).length) await flush();
  await refresh();
}

// A tablet that nobody touched knows nobody any more, also without connection.
document.addEventListener("locked", async () => {
  who = null;
  await know("who", null);
  if (old) await whoIsHere();
  say("Nobody touched this tablet for a while. Scan your badge to go on; what was typed is still here.");
});

const ready = tag && whoIsHere().catch(() => {}); // who works here is known
if (tag) {
  addEventListener("online", () => {
    wait = first;
    flush();
  });
  begin().catch(() => {});
}
