/** Contours as one run of places: line i is places start[i] to start[i + 1] - 1. */

import type { Point } from "./view";

export interface Contours {
  readonly xy: Float32Array;
  readonly start: Uint32Array;
  readonly level: Float32Array;
  readonly interval: number;
}

/** Every fifth contour is drawn stronger and carries its height. */
export const isStrong = (c: Contours, i: number): boolean => Math.round(c.level[i] / c.interval) % 5 === 0;

/** A place at a share of a line's length, and the direction there. */
export const labelPlace = (c: Contours, i: number, share = 0.5): { at: Point; angle: number; length: number } => {
  const from = c.start[i], to = c.start[i + 1];
  let length = 0;
  for (let k = from + 1; k < to; k++) length += leg(c.xy, k);
  let left = length * share;
  for (let k = from + 1; k < to; k++) {
    const l = leg(c.xy, k);
    if (left <= l && l > 0) {
      const t = left / l;
      const [ax, ay, bx, by] = [c.xy[2 * k - 2], c.xy[2 * k - 1], c.xy[2 * k], c.xy[2 * k + 1]];
      return { at: [ax + t * (bx - ax), ay + t * (by - ay)], angle: Math.atan2(by - ay, bx - ax), length };
    }
    left -= l;
  }
  return { at: [c.xy[2 * from], c.xy[2 * from + 1]], angle: 0, length };
};

const leg = (xy: Float32Array, k: number): number =>
  Math.hypot(xy[2 * k] - xy[2 * k - 2], xy[2 * k + 1] - xy[2 * k - 1]);

/** An angle on the screen turned so that words along it are not upside down. */
export const upright = (angle: number): number => {
  const a = Math.atan2(Math.sin(angle), Math.cos(angle));
  return a > Math.PI / 2 ? a - Math.PI : a <= -Math.PI / 2 ? a + Math.PI : a;
};
