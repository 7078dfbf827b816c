/** How the plan is looked at, and which tool is in the hand. Shared by the canvas and its buttons. */

import { signal } from "@preact/signals";
import type { ToolName } from "../hill/tools";
import { uphill } from "../hill/quads";
import { boxOf, framed, type Box, type View } from "../hill/view";
import { parts } from "./job";

export const view = signal<View>({ x: 0, y: 0, scale: 40, turn: 0, width: 1, height: 1 });
export const fresh = signal(true); // nobody has moved the view yet: it follows the plan
export const tool = signal<ToolName | null>(null);
export const handle = signal(-1);
export const hover = signal(-1);
/** The anchor or pipe that the pointer is over. */
export const over = signal<{ kind: "bar" | "pipe"; index: number } | null>(null);

const places = (): number[] => {
  const { ground, cells } = parts.value;
  const found = [...(ground?.outline ?? [])];
  for (let i = 0; cells && i < cells.corners.length; i += 3) found.push(cells.corners[i], cells.corners[i + 1]);
  return found;
};

/** The box of what there is to see. */
export const whole = (): Box => boxOf(places());

const BUTTONS = 52, NARROW = 480; // that lie over the right edge, on a phone over the top one [CSS px]

/** The turn that puts uphill at the top, in steps of a quarter where that is nearly so. */
const upright = (): number => {
  const up = parts.value.cells ? uphill(parts.value.cells.corners) : null;
  if (up === null) return 0;
  const turn = Math.PI / 2 - up;
  const near = Math.round(turn / (Math.PI / 2)) * (Math.PI / 2);
  return Math.abs(turn - near) < 0.26 ? near : turn;
};

export const showAll = (): void => {
  const { width, height } = view.value, all = places(), narrow = width < NARROW;
  if (all.length) view.value = framed(all, width, height, upright(), narrow ? 0 : BUTTONS, narrow ? BUTTONS : 0);
  fresh.value = true;
};

export const look = (to: View): void => {
  fresh.value = false;
  view.value = to;
};
