/** The open job and its plan as they stand. */

import { computed, signal } from "@preact/signals";
import type { Overlays, Parts } from "../parts/model";
import { laidOver, partOf, READERS } from "../parts/read";
import { unpack } from "../parts/packed";
import { get, getPart } from "../service/client";
import type { JobState, PlanHead, Problem, System } from "../service/types";

export const job = signal<JobState | null>(null);
export const parts = signal<Parts>({});
/** Problems of the newest plan: it could not be worked out whole. */
export const problems = signal<Problem[]>([]);
/** What is being worked out, or null when the plan stands. */
export const running = signal<{ stage: string; share: number } | null>(null);
/** What is shown of the newest revision is a first result of this stage: a better one is being looked for. */
export const refining = signal("");
export const slow = signal(false);
/** The person stopped it: it is not worked out until somebody asks for it. */
export const stopped = signal(false);
/** The newest revision that is worked out whole; 0 while none is. */
export const planned = signal(0);

export const units = computed<System>(() => job.value?.units ?? "us");

const digests = new Map<string, string>();
const wanted = new Map<string, string>();

export const forget = (): void => {
  job.value = null;
  parts.value = {};
  problems.value = [];
  running.value = null;
  slow.value = false;
  stopped.value = false;
  refining.value = "";
  planned.value = 0;
  digests.clear();
  wanted.clear();
};

export const openJob = async (id: string): Promise<void> => {
  job.value = await get<JobState>(`/api/jobs/${id}`);
  problems.value = job.value.problems;
};

export const refreshJob = async (): Promise<void> => {
  if (job.value) job.value = await get<JobState>(`/api/jobs/${job.value.id}`);
};

export const openPlan = async (id: string): Promise<void> => {
  const head = await get<PlanHead>(`/api/jobs/${id}/plan`);
  planned.value = head.state === "done" ? head.revision : 0;
  if (head.state !== "working") running.value = null;
  problems.value = head.state === "problems" ? head.problems : [];
  await take(id, Object.fromEntries(Object.entries(head.parts).map(([name, p]) => [name, p.digest])));
};

/** Get the parts whose digest is new, and show them together. */
export const take = async (id: string, named: Record<string, string>): Promise<void> => {
  const fresh = Object.keys(named).filter((name) => partOf(name) && digests.get(name) !== named[name] && wanted.get(name) !== named[name]);
  for (const name of fresh) wanted.set(name, named[name]);
  const got = await Promise.all(fresh.map(async (name) => [name, await part(id, name, named[name]).catch(() => null)] as const));
  let found: Parts = parts.value;
  for (const [name, value] of got) {
    // a later plan may have asked for a newer one meanwhile
    if (wanted.get(name) !== named[name] || job.value?.id !== id) continue;
    if (value === null) {
      wanted.delete(name); // not to be had now: the next plan names it again
      continue;
    }
    digests.set(name, named[name]);
    const into = partOf(name)!;
    found = { ...found, [into]: into === "overlays" ? laidOver(found.overlays, value as Overlays) : value };
  }
  if (found !== parts.value) parts.value = found;
};

const part = async (id: string, name: string, digest: string): Promise<unknown> => {
  const bytes = await getPart(`/api/jobs/${id}/parts/${digest}`);
  return bytes instanceof ArrayBuffer ? READERS[partOf(name)!]?.(unpack(bytes)) : bytes;
};
