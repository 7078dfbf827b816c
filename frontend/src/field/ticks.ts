/** What is done on the hill: events that are only ever added, so that no phone undoes another's. */

import { uuid } from "../uuid";

import { signal } from "@preact/signals";
import { get, Gone, post, Refused } from "../service/client";
import { lines } from "../state/failed";
import { say } from "../state/notice";
import { t } from "../words";

export interface Tick {
  readonly uuid: string;
  readonly key: string; // "row/7/filled", "task/12", "hole/2/7/14"
  readonly done: boolean;
  readonly at: string; // ISO time, UTC
  readonly device: string;
}

/** State of each key: what was said last; where two say so at once, the greater uuid. */
export const state = (ticks: readonly Tick[]): Map<string, boolean> => {
  const last = new Map<string, Tick>();
  for (const tick of ticks) {
    const known = last.get(tick.key);
    if (!known || known.at < tick.at || (known.at === tick.at && known.uuid < tick.uuid)) last.set(tick.key, tick);
  }
  return new Map([...last].map(([key, tick]) => [key, tick.done]));
};

/** Two sets of events put together, each event once. */
export const union = (a: readonly Tick[], b: readonly Tick[]): Tick[] => [
  ...new Map([...a, ...b].map((tick) => [tick.uuid, tick])).values(),
];

export const ticks = signal<Tick[]>([]);
export const waiting = signal<Tick[]>([]);
export const offline = signal(false);

const AGAIN = 4000; // until it is tried again [ms]
const MOST = 500; // ticks that are sent at once
const place = (job: string, what: string): string => `hillwright.${what}.${job}`;

const kept = (name: string): Tick[] => {
  try {
    const found = JSON.parse(localStorage.getItem(name) ?? "[]");
    return Array.isArray(found) ? found : [];
  } catch {
    return [];
  }
};

const device = (): string => {
  const known = localStorage.getItem("hillwright.device");
  if (known) return known;
  const made = uuid();
  localStorage.setItem("hillwright.device", made);
  return made;
};

/** Start with what this phone knows, and send what waits as soon as there is a signal. Returns how to stop. */
export const openTicks = (job: string): (() => void) => {
  ticks.value = kept(place(job, "ticks"));
  waiting.value = kept(place(job, "waiting"));
  const back = (): void => void sync(job);
  addEventListener("online", back);
  back();
  return () => removeEventListener("online", back);
};

export const tick = (job: string, key: string, done: boolean): void => {
  const made: Tick = { uuid: uuid(), key, done, at: new Date().toISOString(), device: device() };
  ticks.value = [...ticks.value, made];
  waiting.value = [...waiting.value, made];
  store(job);
  void sync(job);
};

const store = (job: string): void => {
  try {
    localStorage.setItem(place(job, "ticks"), JSON.stringify(ticks.value));
    localStorage.setItem(place(job, "waiting"), JSON.stringify(waiting.value));
  } catch {
    say(t("field.full"), { grave: true });
  }
};

let busy = false, again: ReturnType<typeof setTimeout> | undefined;

/** Send what waits, then take what others did; try again later where there is no signal. */
export const sync = async (job: string): Promise<void> => {
  if (busy) return;
  busy = true;
  clearTimeout(again);
  let told = false;
  try {
    while (waiting.value.length) await send(job, waiting.value.slice(0, MOST));
    const theirs = await get<{ ticks: Tick[] }>(`/api/jobs/${job}/ticks`);
    ticks.value = union(ticks.value, theirs.ticks);
    offline.value = false;
    store(job);
  } catch (error) {
    if (error instanceof Gone) {
      offline.value = true;
      again = setTimeout(() => void sync(job), AGAIN);
    } else if (error instanceof Refused) {
      told = true;
      say(t("field.refused", { n: waiting.value.length }), { grave: true, lines: lines(error.problems) });
    } else throw error;
  } finally {
    busy = false;
  }
  // ticked while the others' were being fetched
  if (waiting.value.length && !offline.value && !told) void sync(job);
};

/** Send some ticks. One that the service does not take must not keep the others back: it is told and left out. */
const send = async (job: string, some: readonly Tick[]): Promise<void> => {
  try {
    await post(`/api/jobs/${job}/ticks`, { ticks: some });
  } catch (error) {
    if (!(error instanceof Refused) || error.status !== 422) throw error;
    if (some.length > 1) {
      for (const one of some) await send(job, [one]);
      return;
    }
    say(t("field.refused", { n: 1 }), { grave: true, lines: lines(error.problems) });
  }
  waiting.value = waiting.value.filter((w) => !some.includes(w));
  store(job);
};

export const heard = (job: string): Promise<void> => sync(job);
