/** What the person has chosen, by a name that survives a new plan. */

import { computed, signal } from "@preact/signals";
import { parts } from "./job";

export type Chosen =
  | { kind: "question"; number: number }
  | { kind: "cell"; row: number; number: number }
  | { kind: "row"; row: number }
  | { kind: "pipe"; index: number }
  | { kind: "bar"; index: number }
  | { kind: "papers" }
  | { kind: "past" }
  | { kind: "file" }
  | { kind: "prices" };

export const chosen = signal<Chosen | null>({ kind: "question", number: 1 });
/** The figure whose "why?" is open, over whatever is chosen. */
export const asked = signal<string | null>(null);

/** Which column a narrow screen shows. */
export const tab = signal<"ask" | "hill" | "chosen">("ask");

export const choose = (what: Chosen | null): void => {
  asked.value = null;
  chosen.value = what;
};

/** Index of the chosen cell in this plan, or -1. */
export const chosenCell = computed(() => {
  const c = chosen.value, cells = parts.value.cells;
  return c?.kind === "cell" && cells ? cellIndex(cells, c.row, c.number) : -1;
});

export const cellIndex = (cells: { n: number; row: Int32Array; number: Int32Array }, row: number, number: number): number => {
  for (let i = 0; i < cells.n; i++) if (cells.row[i] === row && cells.number[i] === number) return i;
  return -1;
};
