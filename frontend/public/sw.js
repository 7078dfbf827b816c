/* Keeps the page and its papers for where there is no signal. Changes are never kept here: edits and
   ticks wait in the page's own store and are sent by it. */

const KEPT = "hillwright-1";

self.addEventListener("install", (event) => event.waitUntil(self.skipWaiting()));
self.addEventListener("activate", (event) => event.waitUntil(tidy().then(() => self.clients.claim())));

const tidy = async () => {
  for (const name of await caches.keys()) if (name !== KEPT) await caches.delete(name);
};

// the page was loaded before this worker was there, and tells what it was made of
self.addEventListener("message", (event) => {
  if (Array.isArray(event.data?.keep)) event.waitUntil(Promise.all(event.data.keep.map(fetchAndKeep)).then(() => event.ports[0]?.postMessage("kept")));
});

const fetchAndKeep = async (path) => {
  if (!worthKeeping(path.split("?")[0])) return;
  try {
    const answer = await fetch(path, { credentials: "same-origin" });
    if (answer.ok) await keep(path, answer);
  } catch {
    /* no signal already: what is kept stays */
  }
};

const keep = async (request, answer) => {
  const cache = await caches.open(KEPT);
  await cache.put(request, answer);
};

self.addEventListener("fetch", (event) => {
  const { request } = event, url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (url.searchParams.has("token") || !worthKeeping(url.pathname)) return;
  // what is named by its content never changes
  const lasting = url.pathname.startsWith("/assets/") || PART.test(url.pathname);
  event.respondWith(lasting ? keptFirst(event) : freshFirst(event));
});

const PART = /^\/api\/jobs\/[^/]+\/parts\/[^/]+$/;
/** The page, and what its screens and field papers stand on; no set of papers, no zip, no stream of events. */
const worthKeeping = (path) => !path.startsWith("/api/") || PART.test(path) || /^\/api\/(jobs(\/[^/]+(\/(plan|ticks|palette))?)?|schema\/job)$/.test(path);

const keptFirst = async (event) => (await caches.match(event.request)) ?? freshFirst(event);

const PATIENCE = 4000; // with a signal that is too weak to bring an answer [ms]

/** Whether what is kept will do where an answer is slow: to open the page, and for the papers on the slope. */
const hasty = async (event) => {
  if (event.request.mode === "navigate") return true;
  const client = event.clientId ? await self.clients.get(event.clientId) : undefined;
  return client ? new URL(client.url).pathname.endsWith("/field") : false;
};

const freshFirst = async (event) => {
  const fresh = fetchFresh(event);
  if (!(await hasty(event))) return fresh;
  const found = await known(event.request);
  if (!found) return fresh;
  event.waitUntil(fresh.catch(() => undefined)); // it may come yet, and is kept then
  return Promise.race([fresh, new Promise((done) => setTimeout(() => done(found), PATIENCE))]);
};

const fetchFresh = async (event) => {
  const { request } = event;
  try {
    const answer = await fetch(request);
    // the page does not wait until it is kept
    if (answer.ok && answer.type === "basic" && !answer.redirected) event.waitUntil(keep(request, answer.clone()).catch(() => undefined));
    if (answer.ok && request.url.endsWith("/plan")) event.waitUntil(tidyParts(new URL(request.url).pathname, answer.clone()).catch(() => undefined));
    // started anew, it lets this browser in no more: its papers are still here, and the page says so
    if (answer.status === 401) return marked(await known(request)) ?? answer;
    return answer;
  } catch (error) {
    const found = await known(request);
    if (found) return found;
    throw error;
  }
};

// parts of plans that stand no more would fill the phone
const tidyParts = async (path, answer) => {
  const { parts } = await answer.json(), cache = await caches.open(KEPT), own = path.replace(/plan$/, "parts/"), now = new Set(Object.values(parts ?? {}).map((p) => p.url));
  for (const request of await cache.keys()) {
    const at = new URL(request.url).pathname;
    if (at.startsWith(own) && !now.has(at)) await cache.delete(request);
  }
};

const known = async (request) => (await caches.match(request)) ?? (request.mode === "navigate" ? await anyPage() : undefined);

const marked = (answer) => {
  if (!answer) return undefined;
  const headers = new Headers(answer.headers);
  headers.set("Hillwright-Kept", "401");
  return new Response(answer.body, { status: answer.status, headers });
};

// every address of the page is the same page
const anyPage = async () => {
  const cache = await caches.open(KEPT);
  for (const request of await cache.keys()) {
    const path = new URL(request.url).pathname;
    if (path === "/" || path.startsWith("/jobs/")) return cache.match(request);
  }
  return undefined;
};
