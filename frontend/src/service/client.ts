/** The one door to the service. */

import { signal } from "@preact/signals";
import type { Problem } from "./types";

/** The service said no, and why. */
export class Refused extends Error {
  constructor(
    readonly status: number,
    readonly problems: Problem[],
    readonly body: Record<string, unknown> = {},
  ) {
    super(problems.map((p) => `${p.where}: ${p.what}; ${p.right}`).join("\n"));
  }
}

/** The service cannot take anything now: it stopped, there is no signal, or it was started anew and
 *  does not know this browser yet. Whatever was on its way is kept. */
export class Gone extends Error {
  constructor(readonly anew = false) {
    super("gone");
  }
}

/** The service was started anew and lets this browser in no more: what is shown is what was kept of it. */
export const shut = signal(false);

const asked = async (path: string, init?: RequestInit): Promise<Response> => {
  let answer: Response;
  try {
    answer = await fetch(path, { credentials: "same-origin", ...init });
  } catch {
    throw new Gone();
  }
  // the worker answers with what it kept (sw.js)
  shut.value = answer.status === 401 || answer.headers.get("Hillwright-Kept") === "401";
  if (answer.ok) return answer;
  if (answer.status === 401) throw new Gone(true);
  if (answer.status >= 502 && answer.status <= 504) throw new Gone();
  const body = await answer.json().catch(() => ({}));
  throw new Refused(answer.status, body.problems ?? [{ where: "service", what: `answered ${answer.status}`, right: "try again" }], body);
};

export const get = async <T>(path: string): Promise<T> => (await asked(path)).json();

export const getPart = async (path: string): Promise<ArrayBuffer | object> => {
  const answer = await asked(path);
  return answer.headers.get("Content-Type")?.startsWith("application/json") ? answer.json() : answer.arrayBuffer();
};

/** Ask for something that is answered without a word. */
export const order = async (method: "POST" | "DELETE", path: string): Promise<void> => void (await asked(path, { method }));

export const post = async <T>(path: string, body: unknown = {}): Promise<T> => {
  const form = body instanceof FormData;
  const answer = await asked(path, {
    method: "POST",
    body: form ? body : JSON.stringify(body),
    headers: form ? undefined : { "Content-Type": "application/json" },
  });
  return answer.json();
};
