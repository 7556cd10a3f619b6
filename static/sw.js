// The worker of a station's tablet. It keeps the program's own files, and the
// pages of the inserts at this station, for when there is no connection. A
// page comes from the network wherever that answers; what was kept instead says
// so in its first line. Signing in, keys and answers to forms are never kept.
// version and shell stand before this text: the server writes them.

const files = "shell-" + version, pages = "pages", mark = "Sinterbook-Kept-At";
const patience = 4000; // ms until a kept page is shown instead
const most = 80; // pages that are kept
const fresh = 120000; // ms in which a listed page is not fetched again
const paper = "No connection, and this page is not kept on this tablet. Nothing was recorded. Use the numbered paper form of the operation.";

self.addEventListener("install", (e) => {
  e.waitUntil(caches.open(files).then((c) => c.addAll(shell)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (e) => {
  e.waitUntil((async () => {
    for (const name of await caches.keys()) if (name !== files && name !== pages) await caches.delete(name);
    await self.clients.claim();
  })());
});

self.addEventListener("fetch", (e) => {
  const url = new URL(e.request.url);
  if (url.origin !== location.origin) return;
  if (e.request.method === "GET" && url.pathname.startsWith("/static/") && !url.pathname.includes("/zxing/")) e.respondWith(file(e.request));
  else if (e.request.mode !== "navigate") return;
  else if (e.request.method === "POST") e.respondWith(sent(e.request, url));
  else if (isKept(url)) e.respondWith(page(e, url));
  else e.respondWith(fetch(e.request).catch(() => url.pathname === "/" ? Response.redirect("/station") : missing(url)));
});

self.addEventListener("message", (e) => {
  if (e.data.keep) e.waitUntil(keepAll(e.data.keep, e.data.anew));
});

const isKept = (url) => url.pathname === "/station" || url.pathname.startsWith("/station/");

// keyOf leaves out what only the page's script reads.
function keyOf(url) {
  const key = new URL(url);
  key.searchParams.delete("right");
  key.hash = "";
  return key.href;
}

// onlyAct reports whether an address says no more than which form is asked for:
// what was scanned and typed stands in it too, and is of one act alone.
const onlyAct = (url) => [...url.searchParams.keys()].every((k) => k === "act" || k === "right");

// nearest is the kept page that serves for an address: the same, or the form
// without what was filled in, or the insert's own.
async function nearest(url) {
  const cache = await caches.open(pages), bare = url.origin + url.pathname, act = url.searchParams.get("act");
  return await cache.match(keyOf(url)) ?? (act && await cache.match(bare + "?act=" + encodeURIComponent(act))) ?? await cache.match(bare);
}

// A page of before may ask for a file of before: the new one does.
async function file(request) {
  return await caches.match(request) ?? await fetch(request).catch(() => caches.match(request, {ignoreSearch: true})) ?? Response.error();
}

async function page(e, url) {
  const answer = fetch(e.request).then((r) => {
    if (onlyAct(url)) e.waitUntil(keep(keyOf(url), r.clone()));
    return r;
  });
  const was = await nearest(url);
  if (!was) return answer.catch(() => missing(url));
  let timer;
  const tired = new Promise((done) => { timer = setTimeout(done, patience, "slow"); });
  const first = await Promise.race([answer.catch(() => "gone"), tired]);
  clearTimeout(timer);
  if (first instanceof Response) return first;
  e.waitUntil(answer.catch(() => {}));
  return marked(was, first === "slow" ? " data-slow" : "");
}

// sent is a form that the page's own script did not send. A scan is looked up
// on the page; of anything else it is said that it did not go out.
async function sent(request, url) {
  const copy = request.clone();
  try {
    return await fetch(request);
  } catch {
    if (!isKept(url) || !url.pathname.endsWith("/scan")) return missing(url, " data-unsent");
    const fields = new URLSearchParams(await copy.text()), text = fields.get("raw") || fields.get("scan") || "";
    for (const [name, value] of [...fields]) if (["scan", "raw", "command", "seen", "pin", "password", "hold", "photo"].includes(name)) fields.delete(name);
    const search = fields.size ? "?" + fields : "";
    return Response.redirect(url.pathname.slice(0, -"/scan".length) + search + "#scan=" + encodeURIComponent(text), 303);
  }
}

// missing is the page of what is kept here, in place of one that is not.
async function missing(url, how = "") {
  const list = await (await caches.open(pages)).match(new URL("/station/kept", location).href);
  const said = list && await marked(list, " data-missing" + how);
  return said ? new Response(said.body, {status: 503, headers: said.headers}) : new Response(paper, {status: 503, headers: {"Content-Type": "text/plain; charset=utf-8"}});
}

async function marked(was, how) {
  const text = (await was.text()).replace('<html lang="en"', `<html lang="en" data-kept="${was.headers.get(mark)}"${how}`);
  return new Response(text, {headers: was.headers});
}

// keep stores a page that came as it was asked for, without the sentence about
// the act before: that was said once.
async function keep(key, r) {
  if (!r.ok || r.redirected || !r.headers.get("Content-Type")?.startsWith("text/html")) return;
  const text = (await r.text()).replace(/<p class="notice"[^]*?<\/p>/, "");
  const headers = {[mark]: new Date(r.headers.get("Date") ?? Date.now()).toISOString()};
  for (const name of ["Content-Type", "Content-Security-Policy"]) if (r.headers.get(name)) headers[name] = r.headers.get(name);
  await (await caches.open(pages)).put(key, new Response(text, {headers}));
}

// keepAll fetches the pages that are listed, one after the other, so that
// whoever works here does not wait for them.
async function keepAll(list, anew) {
  const cache = await caches.open(pages);
  for (const path of list) {
    const key = keyOf(new URL(path, location)), was = await cache.match(key);
    if (was && !anew && Date.now() - new Date(was.headers.get(mark)) < fresh) continue;
    try {
      await keep(key, await fetch(key, {headers: {"Sinterbook-Keep": "1"}}));
    } catch { return; }
  }
  const kept = [];
  for (const request of await cache.keys()) kept.push([(await cache.match(request)).headers.get(mark), request]);
  kept.sort(([a], [b]) => a < b ? 1 : -1);
  for (const [, request] of kept.slice(most)) await cache.delete(request);
}
