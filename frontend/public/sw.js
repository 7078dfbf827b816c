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
  if (Array.isArray(event.data?.keep)) event.waitUntil(Promise.all(event.data.keep.map(fetchAndKeep)));
});

const fetchAndKeep = async (path) => {
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
  if (url.pathname.endsWith("/events") || url.searchParams.has("token")) return;
  // what is named by its content never changes
  const lasting = url.pathname.startsWith("/assets/") || /\/parts\/[^/]+$/.test(url.pathname);
  event.respondWith(lasting ? keptFirst(request) : freshFirst(request));
});

const keptFirst = async (request) => (await caches.match(request)) ?? freshFirst(request);

const freshFirst = async (request) => {
  try {
    const answer = await fetch(request);
    if (answer.ok && answer.type === "basic" && !answer.redirected) await keep(request, answer.clone());
    // started anew, it lets this browser in no more: its papers are still here, and the page says so
    if (answer.status === 401) return marked(await known(request)) ?? answer;
    return answer;
  } catch (error) {
    const found = await known(request);
    if (found) return found;
    throw error;
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
