/** Cells cut by an upright plane: where it goes in and out of each, along the line and in height. */

import type { Cells } from "../parts/model";
import type { Point } from "./view";

export interface Slice {
  cell: number;
  /** Along the line and height, at either end [m]. */
  from: Point;
  to: Point;
}

export const cutCells = (cells: Cells, a: Point, b: Point): Slice[] => {
  const long = Math.hypot(b[0] - a[0], b[1] - a[1]);
  if (!long) return [];
  const ux = (b[0] - a[0]) / long, uy = (b[1] - a[1]) / long, c = cells.corners, found: Slice[] = [];
  for (let i = 0; i < cells.n; i++) {
    const hits: Point[] = [];
    for (let k = 0; k < 4; k++) {
      const p = i * 12 + k * 3, q = i * 12 + ((k + 1) % 4) * 3;
      const side = (o: number): number => (c[o] - a[0]) * uy - (c[o + 1] - a[1]) * ux;
      const [sp, sq] = [side(p), side(q)];
      if (sp > 0 === sq > 0) continue;
      const t = sp / (sp - sq), at = (j: number): number => c[p + j] + t * (c[q + j] - c[p + j]);
      hits.push([(at(0) - a[0]) * ux + (at(1) - a[1]) * uy, at(2)]);
    }
    if (hits.length < 2) continue;
    const [first, last] = hits.sort((x, y) => x[0] - y[0]).filter((_, k, all) => k === 0 || k === all.length - 1);
    if (last[0] >= 0 && first[0] <= long) found.push({ cell: i, from: first, to: last });
  }
  return found.sort((x, y) => x.from[0] - y.from[0]);
};
