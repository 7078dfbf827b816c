/** From cell to cell by the arrow keys, as seen looking uphill: left and right along the row, up and down between rows. */

import type { Cells } from "../parts/model";
import { middle } from "./quads";

export type Way = "left" | "right" | "up" | "down";

/** Index of the next cell that way; the same cell where there is none. */
export const nextCell = (cells: Cells, from: number, way: Way): number => {
  const row = cells.row[from];
  if (way === "left" || way === "right") {
    const i = from + (way === "left" ? -1 : 1);
    return i >= 0 && i < cells.n && cells.row[i] === row ? i : from;
  }
  const [x, y] = middle(cells.corners, from), want = way === "up" ? row - 1 : row + 1;
  let best = from, least = Infinity;
  for (let i = 0; i < cells.n; i++) {
    if (cells.row[i] !== want) continue;
    const [mx, my] = middle(cells.corners, i), d = Math.hypot(mx - x, my - y);
    if (d < least) [best, least] = [i, d];
  }
  return best;
};
