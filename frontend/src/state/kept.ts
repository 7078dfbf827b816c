/** Whether this browser keeps the page for where there is no signal. */

import { signal } from "@preact/signals";

/** "plain": the address is not encrypted, so no browser keeps the page. "refused": it does not trust the certificate. */
export const kept = signal<"wait" | "ready" | "plain" | "refused">("wait");

/** Have the page answered for when there is no signal, where the browser allows it. */
export const register = (): void => {
  if (!("serviceWorker" in navigator)) {
    kept.value = "plain";
    return;
  }
  navigator.serviceWorker.register("/sw.js").catch(() => (kept.value = "refused"));
};

/** Hand the worker the names of the page's own files: they were fetched before it was there. */
export const keepPapers = async (): Promise<void> => {
  if (kept.value === "plain" || kept.value === "refused") return;
  const ready = await navigator.serviceWorker.ready;
  const files = performance.getEntriesByType("resource").map((r) => new URL(r.name)).filter((u) => u.origin === location.origin && !u.pathname.endsWith("/events"));
  const answer = new MessageChannel();
  answer.port1.onmessage = (e) => e.data === "kept" && (kept.value = "ready");
  ready.active?.postMessage({ keep: [location.pathname, ...new Set(files.map((u) => u.pathname + u.search))] }, [answer.port2]);
};
