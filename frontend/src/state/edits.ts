/** Changing the job: each edit is sent at once, in order, and is "saved" when the service says so. */

import { uuid } from "../uuid";

import { computed, signal } from "@preact/signals";
import { Gone, post, Refused } from "../service/client";
import type { Change, Problem, Saved } from "../service/types";
import { t } from "../words";
import { job, openPlan, refreshJob } from "./job";
import { failed, lines } from "./failed";
import { say } from "./notice";
import { dropped, keep, put, read, sent, type Edit } from "./outbox";

const AGAIN = 2000; // until the service is asked again [ms]

export const queue = signal<Edit[]>([]);
export const gone = signal(false);
export const saving = computed<"saved" | "saving" | "kept">(() =>
  !queue.value.length ? "saved" : gone.value ? "kept" : "saving",
);

let pumping = false, stepping = 0, anew = false;
/** An edit or undo of this page is on its way. */
export const busy = (): boolean => pumping || stepping > 0;
/** Revisions that this page made; their events are no news. */
export const own = new Set<number>();

export const openQueue = (id: string): void => {
  queue.value = read(id);
  void pump();
};

/** Whoever waits to hear what was wrong with an edit, by its id: they tell it beside what was typed. */
const waiting = new Map<string, (problems: Problem[]) => void>();

export const submit = (summary: string, patch: Change[]): void => void send(summary, patch);

/** The same, for a form: answers with what was wrong, empty where it is saved. Not told elsewhere then. */
export const submitted = (summary: string, patch: Change[]): Promise<Problem[]> =>
  new Promise((tell) => {
    const id = send(summary, patch);
    if (id) waiting.set(id, tell);
    else tell([]);
  });

const send = (summary: string, patch: Change[]): string => {
  const at = job.value;
  if (!at || !patch.length) return "";
  const id = uuid();
  set(put(queue.value, { id, base: at.revision, summary: shortened(summary), patch }));
  void pump();
  return id;
};

const answered = (edit: Edit, problems: Problem[]): boolean => {
  const tell = waiting.get(edit.id);
  waiting.delete(edit.id);
  tell?.(problems);
  return tell !== undefined;
};

const LONGEST = 200; // summary that the service takes: a long note must not be refused for its name
export const shortened = (words: string): string => (words.length > LONGEST ? words.slice(0, LONGEST - 2) + " …" : words);

const set = (edits: Edit[]): void => {
  queue.value = edits;
  if (job.value) keep(job.value.id, edits);
};

const pump = async (): Promise<void> => {
  if (pumping) return;
  pumping = true;
  try {
    while (queue.value.length && job.value) await sendFirst(job.value.id, queue.value[0]);
    if (gone.value) await refreshJob();
    gone.value = false;
  } catch (error) {
    if (!(error instanceof Gone)) throw error;
    if (error.anew && !anew) failed(error); // said once: the person must do something about it
    anew = error.anew;
    gone.value = true;
    setTimeout(() => void pump(), AGAIN);
  } finally {
    pumping = false;
  }
};

const sendFirst = async (id: string, edit: Edit): Promise<void> => {
  try {
    const saved = await post<Saved>(`/api/jobs/${id}/edits`, edit);
    own.add(saved.revision);
    // the next edit stands on this one, whether or not the job was asked for again by then
    if (!saved.others.length && job.value?.id === id) job.value = { ...job.value, revision: saved.revision };
    set(sent(queue.value, saved.revision, !saved.others.length));
    if (gone.value) say(t("save.back"));
    else if (saved.others.length) say(t("save.others", { what: saved.others.map((o) => o.summary).join(", ") }));
    await refreshJob();
    answered(edit, []);
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    set(dropped(queue.value));
    const heard = answered(edit, error.problems);
    // a clash can be opened from the notice, so that is told there as well
    if (!heard || error.status === 409) tellRefused(id, error);
    await refreshJob();
  }
  gone.value = false;
};

const tellRefused = (id: string, error: Refused): void => {
  if (error.status === 409) {
    const side = Number(error.body.side);
    const act = { words: t("save.open-side"), run: () => void goTo(id, side) };
    say(t("save.conflict", { side }), { grave: true, lines: lines(error.problems), act });
  } else say(t("save.refused"), { grave: true, lines: lines(error.problems) });
};

/** Go on from a revision: its files become the newest one. */
export const goTo = async (id: string, revision: number): Promise<void> => {
  stepping++;
  try {
    const made = await post<Saved>(`/api/jobs/${id}/open`, { revision });
    own.add(made.revision);
    await refreshJob();
  } finally {
    stepping--;
  }
  await openPlan(id);
};

export const step = async (way: "undo" | "redo"): Promise<void> => {
  const at = job.value;
  if (!at) return;
  stepping++;
  try {
    const made = await post<Saved>(`/api/jobs/${at.id}/${way}`, { base: at.revision });
    own.add(made.revision);
    await refreshJob();
  } catch (error) {
    failed(error);
  } finally {
    stepping--;
  }
};

/** Take away what is set at a place of the job file, or put a value there. */
export const setKey = (path: string, value: Change["value"] | undefined, words: string): Promise<Problem[]> => {
  const held = valueAt(path) !== undefined;
  if (value === undefined) return held ? submitted(words, [{ op: "remove", path }]) : Promise.resolve([]);
  return submitted(words, [...grown(path), { op: held ? "replace" : "add", path, value }]);
};

/** The sections above a key that the job file does not have yet. */
const grown = (path: string): Change[] => {
  const found: Change[] = [];
  const steps = path.split("/").slice(1, -1);
  for (let k = 1; k <= steps.length; k++) {
    const above = "/" + steps.slice(0, k).join("/");
    if (valueAt(above) === undefined) found.push({ op: "add", path: above, value: {} });
  }
  return found;
};

export const valueAt = (path: string): unknown =>
  path
    .split("/")
    .slice(1)
    .reduce<any>((at, key) => (at == null ? undefined : at[key]), job.value?.job);
