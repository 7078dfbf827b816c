/** Making the set of papers: how far it is, and whether there is one to download. */

import { signal } from "@preact/signals";
import { get } from "../service/client";
import type { Problem, SheetSet } from "../service/types";
import { t } from "../words";
import { lines } from "./failed";
import { say } from "./notice";

export interface Told extends Partial<SheetSet> {
  share: number;
  file?: string;
  problems?: Problem[];
}

export const making = signal<{ share: number; file: string } | null>(null);
/** Files of the finished set. */
export const set = signal<Omit<SheetSet, "making"> | null>(null);

/** The set that was made last, and whether one is being made. */
export const openSet = async (job: string): Promise<void> => {
  const found = await get<SheetSet>(`/api/jobs/${job}/sheets`);
  set.value = found.files.length ? found : null;
  making.value = found.making ? { share: 0, file: "" } : null;
};

export const made = (told: Told): void => {
  if (told.problems) {
    making.value = null;
    say(t("err.title"), { grave: true, lines: lines(told.problems) });
  } else if (told.share >= 1) {
    making.value = null;
    set.value = { revision: told.revision ?? 0, files: told.files ?? [] };
  } else making.value = { share: told.share, file: told.file ?? "" };
};
