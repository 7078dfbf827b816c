/** Heights between the nodes of the ground's grid. */

import type { Point } from "./view";

export interface Heights {
  readonly x0: number;
  readonly y0: number;
  readonly step: number;
  readonly nx: number;
  readonly ny: number;
  readonly z: Float32Array; // rows go north
}

/** Height at a place, straight between nodes; not a number outside. */
export const heightAt = (h: Heights, x: number, y: number): number => {
  const u = (x - h.x0) / h.step, v = (y - h.y0) / h.step;
  const i = Math.min(Math.floor(u), h.nx - 2), j = Math.min(Math.floor(v), h.ny - 2);
  if (!(u >= 0 && v >= 0 && u <= h.nx - 1 && v <= h.ny - 1)) return NaN;
  const s = u - i, t = v - j, o = j * h.nx + i;
  return (1 - t) * ((1 - s) * h.z[o] + s * h.z[o + 1]) + t * ((1 - s) * h.z[o + h.nx] + s * h.z[o + h.nx + 1]);
};

/** The ground under a line: level distance and height, `n` places from a to b. */
export const profile = (h: Heights, a: Point, b: Point, n = 160): Point[] => {
  const long = Math.hypot(b[0] - a[0], b[1] - a[1]);
  return Array.from({ length: n }, (_, k): Point => {
    const t = k / (n - 1);
    return [t * long, heightAt(h, a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]))];
  });
};
