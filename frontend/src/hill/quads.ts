/** Cells as quads: corners go upper left, upper right, lower right, lower left; x, y, z each. */

import type { Point } from "./view";

export const PER_CELL = 12;

/** Whether a place lies in cell i, whatever way round its corners go. */
export const inCell = (corners: Float32Array, i: number, x: number, y: number): boolean => {
  let inside = false;
  for (let a = 0, b = 3; a < 4; b = a++) {
    const ax = corners[i * 12 + a * 3], ay = corners[i * 12 + a * 3 + 1];
    const bx = corners[i * 12 + b * 3], by = corners[i * 12 + b * 3 + 1];
    if (ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) inside = !inside;
  }
  return inside;
};

export const middle = (corners: Float32Array, i: number): Point => {
  let x = 0, y = 0;
  for (let k = 0; k < 4; k++) {
    x += corners[i * 12 + k * 3];
    y += corners[i * 12 + k * 3 + 1];
  }
  return [x / 4, y / 4];
};

/** Mean width of a cell along its row, in plan [m]; 0 where there is no cell. */
export const meanWidth = (corners: Float32Array): number => {
  const n = corners.length / PER_CELL;
  let sum = 0;
  for (let i = 0; i < n; i++) {
    const o = i * 12;
    sum += Math.hypot(corners[o + 3] - corners[o], corners[o + 4] - corners[o + 1]);
  }
  return n ? sum / n : 0;
};

/** Direction in which the slope of the cells rises, as an angle from +x [rad]; null for no cells. */
export const uphill = (corners: Float32Array): number | null => {
  const n = corners.length / PER_CELL;
  let x = 0, y = 0;
  for (let i = 0; i < n; i++) {
    const o = i * 12; // from the lower to the upper edge
    x += corners[o] + corners[o + 3] - corners[o + 6] - corners[o + 9];
    y += corners[o + 1] + corners[o + 4] - corners[o + 7] - corners[o + 10];
  }
  return n ? Math.atan2(y, x) : null;
};
