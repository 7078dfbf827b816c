/** Corners and triangles of the hill in 3D; knows nothing of the library that draws them. */

import type { Cells, Ground, Plants } from "../parts/model";

export interface Mesh {
  places: Float32Array; // x, y, z
  triangles: Uint32Array;
}

const MOST = 160; // nodes along a side: a coarser ground draws in time on any machine

/** How far off, in radii of what is looked at, it is seen whole: `angle` is that of the view upright [rad]. */
export const farOff = (angle: number, aspect: number): number => 1 / Math.sin(Math.atan(Math.tan(angle / 2) * Math.min(1, aspect)));

/** The ground's grid, thinned where it is finer than the eye needs. */
export const groundMesh = ({ heights: h }: Ground): Mesh => {
  const by = Math.max(1, Math.ceil(Math.max(h.nx, h.ny) / MOST));
  const nx = Math.floor((h.nx - 1) / by) + 1, ny = Math.floor((h.ny - 1) / by) + 1;
  const places = new Float32Array(nx * ny * 3), triangles: number[] = [];
  for (let j = 0; j < ny; j++)
    for (let i = 0; i < nx; i++) places.set([h.x0 + i * by * h.step, h.y0 + j * by * h.step, h.z[j * by * h.nx + i * by]], (j * nx + i) * 3);
  const known = (k: number): boolean => Number.isFinite(places[k * 3 + 2]);
  for (let j = 0; j + 1 < ny; j++)
    for (let i = 0; i + 1 < nx; i++) {
      const a = j * nx + i, b = a + 1, c = a + nx, d = c + 1;
      if (known(a) && known(b) && known(d)) triangles.push(a, b, d);
      if (known(a) && known(d) && known(c)) triangles.push(a, d, c);
    }
  for (let k = 2; k < places.length; k += 3) if (!Number.isFinite(places[k])) places[k] = 0;
  return { places, triangles: Uint32Array.from(triangles) };
};

/** Walls and soil of the cells that pass: four walls standing square to the base, soil at four fifths. */
export const cellMesh = (cells: Cells, keep: (i: number) => boolean): Mesh => {
  const list = Array.from({ length: cells.n }, (_, i) => i).filter(keep);
  const places = new Float32Array(list.length * 36), triangles = new Uint32Array(list.length * 30);
  list.forEach((i, m) => {
    const c = cells.corners.subarray(i * 12, i * 12 + 12), up = square(c, cells.depth);
    for (let k = 0; k < 4; k++)
      for (let j = 0; j < 3; j++) {
        places[m * 36 + k * 3 + j] = c[k * 3 + j];
        places[m * 36 + 12 + k * 3 + j] = c[k * 3 + j] + up[j];
        places[m * 36 + 24 + k * 3 + j] = c[k * 3 + j] + 0.8 * up[j];
      }
    const o = m * 12;
    for (let k = 0; k < 4; k++) {
      const n = (k + 1) % 4;
      triangles.set([o + k, o + n, o + 4 + n, o + k, o + 4 + n, o + 4 + k], m * 30 + k * 6);
    }
    triangles.set([o + 8, o + 11, o + 10, o + 8, o + 10, o + 9], m * 30 + 24);
  });
  return { places, triangles };
};

/** Square to the base of a cell, as long as its walls are high. */
const square = (c: Float32Array, depth: number): [number, number, number] => {
  const [ax, ay, az] = [c[6] - c[0], c[7] - c[1], c[8] - c[2]], [bx, by, bz] = [c[9] - c[3], c[10] - c[4], c[11] - c[5]];
  let n: [number, number, number] = [ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx];
  const long = Math.hypot(...n) || 1;
  const sign = n[2] < 0 ? -1 : 1;
  n = n.map((v) => (sign * v * depth) / long) as [number, number, number];
  return n;
};

/** One plant to draw: where it stands, how wide and how high it grows, and whether its crown stands on a stem. */
export interface Standing {
  x: number;
  y: number;
  z: number;
  spread: number;
  height: number;
  stem: boolean;
}

export const standing = (plants: Plants): Standing[] =>
  Array.from(plants.group, (kind, g) => {
    const k = plants.kinds[kind];
    const [x, y, z] = plants.centre.subarray(g * 3, g * 3 + 3);
    return { x, y, z, spread: k.spread, height: k.height, stem: k.kind === "tree" };
  });
