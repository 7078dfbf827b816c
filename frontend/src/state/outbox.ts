/** Edits on their way: kept in this browser until the service has said that they are saved. */

import type { Change } from "../service/types";

export interface Edit {
  /** So that one sent twice is done once. */
  readonly id: string;
  readonly base: number;
  readonly summary: string;
  readonly patch: Change[];
}

export const put = (queue: readonly Edit[], edit: Edit): Edit[] => [...queue, edit];

/** The first is saved as revision `made`; the others stand on it now. Where others changed the job
 *  meanwhile they stay on what their maker saw, so that the service finds what clashes. */
export const sent = (queue: readonly Edit[], made: number, alone: boolean): Edit[] =>
  queue.slice(1).map((e) => (alone ? { ...e, base: made } : e));

/** The first was refused: the others stay as they are. */
export const dropped = (queue: readonly Edit[]): Edit[] => queue.slice(1);

const place = (job: string): string => `hillwright.edits.${job}`;

export const read = (job: string): Edit[] => {
  try {
    const kept = JSON.parse(localStorage.getItem(place(job)) ?? "[]");
    return Array.isArray(kept) ? kept : [];
  } catch {
    return [];
  }
};

export const keep = (job: string, queue: readonly Edit[]): void => {
  if (queue.length) localStorage.setItem(place(job), JSON.stringify(queue));
  else localStorage.removeItem(place(job));
};
