/** Where we are: the address is the only place that says so. */

import { signal } from "@preact/signals";

export type Route = { at: "start" } | { at: "job"; id: string } | { at: "field"; id: string };

export const parse = (path: string): Route => {
  const [what, id, more] = path.split("/").slice(1);
  if (what !== "jobs" || !id) return { at: "start" };
  return more === "field" ? { at: "field", id: decodeURIComponent(id) } : { at: "job", id: decodeURIComponent(id) };
};

export const route = signal<Route>(parse(location.pathname));

export const go = (path: string): void => {
  history.pushState(null, "", path);
  route.value = parse(path);
};

addEventListener("popstate", () => (route.value = parse(location.pathname)));

/** A click on a link of our own stays on the page, unless another tab was asked for. */
export const follow = (event: MouseEvent): void => {
  const link = (event.target as Element | null)?.closest?.("a[href^='/']");
  if (!link || link.hasAttribute("download") || link.getAttribute("href")!.startsWith("/api/")) return;
  if (event.defaultPrevented || event.button || event.metaKey || event.ctrlKey || event.shiftKey) return;
  event.preventDefault();
  go(link.getAttribute("href")!);
};
