/** Shapes of the plan in hill metres, made once for a plan and drawn at any zoom. */

import type { Cells, Drip, Ground, Plants } from "../parts/model";
import { isStrong } from "./contours";
import { DARK, step } from "./tone";
import type { Box, Point } from "./view";

/** The last answer, kept for as long as its inputs are the same objects. */
export const kept = <A extends unknown[], R>(make: (...inputs: A) => R): ((...inputs: A) => R) => {
  let last: A | null = null, found: R;
  return (...inputs) => {
    if (!last || inputs.some((v, i) => v !== last![i])) [last, found] = [inputs, make(...inputs)];
    return found;
  };
};

export const ring = (path: Path2D, places: ArrayLike<number>, stride: number, from = 0, to = places.length / stride): void => {
  for (let i = from; i < to; i++) {
    if (i === from) path.moveTo(places[i * stride], places[i * stride + 1]);
    else path.lineTo(places[i * stride], places[i * stride + 1]);
  }
  path.closePath();
};

export const line = (places: readonly Point[], closed = false): Path2D => {
  const path = new Path2D();
  places.forEach(([x, y], i) => (i ? path.lineTo(x, y) : path.moveTo(x, y)));
  if (closed) path.closePath();
  return path;
};

export const quad = (path: Path2D, c: Float32Array, i: number): void => ring(path, c, 3, i * 4, i * 4 + 4);

const TOGETHER = 6000; // edges in one path: about what a few milliseconds draw

/** Edges of all cells, some at a time, each drawn once: clipped cells share theirs, and a shared line drawn twice is darker. */
export const cellEdges = kept((cells: Cells): Path2D[] => {
  const c = cells.corners, paths = [new Path2D()], seen = new Set<string>();
  // to the centimetre: nearer than that two edges are one on any screen
  const at = (k: number): number => Math.round(c[k * 3] * 100) * 2_000_003 + Math.round(c[k * 3 + 1] * 100);
  const edge = (a: number, b: number): void => {
    const p = at(a), q = at(b);
    const key = p < q ? `${p} ${q}` : `${q} ${p}`;
    if (seen.has(key)) return;
    seen.add(key);
    if (seen.size % TOGETHER === 0) paths.push(new Path2D());
    paths[paths.length - 1].moveTo(c[a * 3], c[a * 3 + 1]);
    paths[paths.length - 1].lineTo(c[b * 3], c[b * 3 + 1]);
  };
  for (let i = 0; i < cells.n; i++) for (let k = 0; k < 4; k++) edge(i * 4 + k, i * 4 + ((k + 1) % 4));
  return paths;
});

/** Cut cells carry a stroke from corner to corner. */
export const cutCells = kept((cells: Cells): Path2D => {
  const path = new Path2D(), c = cells.corners;
  for (let i = 0; i < cells.n; i++) {
    if (!cells.trimmed[i]) continue;
    path.moveTo(c[i * 12], c[i * 12 + 1]);
    path.lineTo(c[i * 12 + 6], c[i * 12 + 7]);
  }
  return path;
});

/** Each cell as a path of its own: a browser fills five thousand single quads in a seventh of the time
 *  that it takes for one path of five thousand. */
export const cellPaths = kept((cells: Cells): Path2D[] =>
  Array.from({ length: cells.n }, (_, i) => {
    const path = new Path2D();
    quad(path, cells.corners, i);
    return path;
  }),
);

/** Which cells of a box fall into each of some classes; class `of(i)` of cell i, from 0. */
export const classed = (cells: Cells, of: (i: number) => number, classes: number, box: Box): number[][] => {
  const found = Array.from({ length: classes }, (): number[] => []), c = cells.corners;
  for (let i = 0; i < cells.n; i++) {
    const o = i * 12, x = (c[o] + c[o + 6]) / 2, y = (c[o + 1] + c[o + 7]) / 2;
    const reach = Math.abs(c[o] - c[o + 6]) + Math.abs(c[o + 1] - c[o + 7]);
    if (x + reach < box.x0 || x - reach > box.x1 || y + reach < box.y0 || y - reach > box.y1) continue;
    found[of(i)].push(i);
  }
  return found;
};

/** Treads over the walking cells: lines along the row at a third and two thirds of the run. */
export const treads = kept((cells: Cells, use: Uint8Array): Path2D => {
  const path = new Path2D(), c = cells.corners;
  for (let i = 0; i < cells.n; i++) {
    if (use[i] !== 1) continue;
    const o = i * 12;
    for (const t of [0.33, 0.67]) {
      path.moveTo(c[o] + t * (c[o + 9] - c[o]), c[o + 1] + t * (c[o + 10] - c[o + 1]));
      path.lineTo(c[o + 3] + t * (c[o + 6] - c[o + 3]), c[o + 4] + t * (c[o + 7] - c[o + 4]));
    }
  }
  return path;
});

/** Strokes across the cells that a test finds weak, said by shape as well as by tone: those on light
 *  cells, and those on dark ones, which want light strokes. */
export const struck = kept((cells: Cells, values: ArrayLike<number>, below: number, low: number, high: number): Path2D[] => {
  const paths = [new Path2D(), new Path2D()], c = cells.corners;
  for (let i = 0; i < cells.n; i++) {
    if (!(values[i] < below)) continue;
    const o = i * 12, path = paths[step(values[i], low, high) >= DARK ? 1 : 0];
    path.moveTo(c[o + 9], c[o + 10]);
    path.lineTo(c[o + 3], c[o + 4]);
  }
  return paths;
});

export const contourPaths = kept((ground: Ground): { thin: Path2D; strong: Path2D } => {
  const found = { thin: new Path2D(), strong: new Path2D() }, c = ground.contours;
  for (let i = 0; i + 1 < c.start.length; i++) {
    const path = isStrong(c, i) ? found.strong : found.thin;
    for (let k = c.start[i]; k < c.start[i + 1]; k++)
      if (k === c.start[i]) path.moveTo(c.xy[2 * k], c.xy[2 * k + 1]);
      else path.lineTo(c.xy[2 * k], c.xy[2 * k + 1]);
  }
  return found;
});

export const spotPaths = kept((ground: Ground): Path2D => {
  const path = new Path2D(), s = ground.spots;
  for (let i = 0; i + 1 < s.start.length; i++) ring(path, s.xy, 2, s.start[i], s.start[i + 1]);
  return path;
});

/** Pipes by what they are: supply, header, lateral, small tubing. */
export const pipePaths = kept((drip: Drip): Path2D[] => {
  const paths = Array.from({ length: 4 }, () => new Path2D());
  for (let i = 0, o = 0; i < drip.part.length; i++, o += 6) {
    paths[drip.part[i]].moveTo(drip.line[o], drip.line[o + 1]);
    paths[drip.part[i]].lineTo(drip.line[o + 3], drip.line[o + 4]);
  }
  return paths;
});

/** Crowns of what has one: as wide as it grows. */
export const crowns = kept((plants: Plants): Path2D => {
  const path = new Path2D();
  plants.group.forEach((kind, g) => {
    const radius = plants.kinds[kind].spread / 2;
    if (radius < 0.35) return;
    const x = plants.centre[g * 3], y = plants.centre[g * 3 + 1];
    path.moveTo(x + radius, y);
    path.arc(x, y, radius, 0, 2 * Math.PI);
  });
  return path;
});
