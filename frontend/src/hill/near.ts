/** What lies nearest to a place on the plan: points, lines and rings. Metres throughout. */

import type { Point } from "./view";

/** Distance from a place to the piece a to b, and how far along it the nearest place is (0 to 1). */
export const fromPiece = (p: Point, a: Point, b: Point): { distance: number; share: number } => {
  const dx = b[0] - a[0], dy = b[1] - a[1];
  const long = dx * dx + dy * dy;
  const share = long ? Math.min(1, Math.max(0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / long)) : 0;
  return { distance: Math.hypot(a[0] + share * dx - p[0], a[1] + share * dy - p[1]), share };
};

/** The nearest of some places (x, y every `stride` numbers) within reach, or -1. */
export const nearest = (xy: ArrayLike<number>, stride: number, p: Point, reach: number): number => {
  let best = -1, least = reach;
  for (let i = 0, o = 0; o + 1 < xy.length; i++, o += stride) {
    const d = Math.hypot(xy[o] - p[0], xy[o + 1] - p[1]);
    if (d <= least) [best, least] = [i, d];
  }
  return best;
};

/** The nearest of some pieces (from x, y, z to x, y, z: six numbers each) within reach, or -1. */
export const nearestPiece = (line: ArrayLike<number>, p: Point, reach: number): number => {
  let best = -1, least = reach;
  for (let i = 0, o = 0; o + 5 < line.length; i++, o += 6) {
    const d = fromPiece(p, [line[o], line[o + 1]], [line[o + 3], line[o + 4]]).distance;
    if (d <= least) [best, least] = [i, d];
  }
  return best;
};

/** Where a new corner would go in a ring: after which corner, and how far the place is from there. */
export const edgeOf = (ring: readonly Point[], p: Point): { after: number; distance: number } => {
  let found = { after: -1, distance: Infinity };
  ring.forEach((a, i) => {
    const { distance } = fromPiece(p, a, ring[(i + 1) % ring.length]);
    if (distance < found.distance) found = { after: i, distance };
  });
  return found;
};

export const inRing = (ring: readonly Point[], p: Point): boolean => {
  let inside = false;
  for (let a = 0, b = ring.length - 1; a < ring.length; b = a++) {
    const [ax, ay] = ring[a], [bx, by] = ring[b];
    if (ay > p[1] !== by > p[1] && p[0] < ((bx - ax) * (p[1] - ay)) / (by - ay) + ax) inside = !inside;
  }
  return inside;
};
