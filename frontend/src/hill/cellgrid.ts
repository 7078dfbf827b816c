/** Finds the cell under a place: squares about as large as a cell, each with the cells that touch it. */

import { inCell, meanWidth, PER_CELL } from "./quads";
import { boxOf, type Box } from "./view";

export interface CellGrid {
  readonly box: Box;
  readonly step: number;
  readonly across: number;
  readonly up: number;
  /** Cells of square s are `cells[start[s]]` to `cells[start[s + 1] - 1]`. */
  readonly start: Uint32Array;
  readonly cells: Uint32Array;
}

/** Sort cells into squares; work and memory grow with the number of cells alone. */
export const cellGrid = (corners: Float32Array): CellGrid => {
  const n = corners.length / PER_CELL;
  const box = boxOf(corners, 3);
  if (!n) return { box, step: 1, across: 0, up: 0, start: new Uint32Array(1), cells: new Uint32Array(0) };
  const area = Math.max((box.x1 - box.x0) * (box.y1 - box.y0), 1e-6);
  // far between as the cells may be, no more than about four squares to a cell
  const step = Math.max(meanWidth(corners), Math.sqrt(area / (4 * n)), 1e-3);
  const across = Math.floor((box.x1 - box.x0) / step) + 1, up = Math.floor((box.y1 - box.y0) / step) + 1;
  const start = new Uint32Array(across * up + 1);
  const each = (visit: (square: number, cell: number) => void): void => {
    for (let i = 0; i < n; i++) {
      const b = boxOf(corners.subarray(i * 12, i * 12 + 12), 3);
      const [i0, i1] = [Math.floor((b.x0 - box.x0) / step), Math.floor((b.x1 - box.x0) / step)];
      const [j0, j1] = [Math.floor((b.y0 - box.y0) / step), Math.floor((b.y1 - box.y0) / step)];
      for (let j = j0; j <= j1; j++) for (let k = i0; k <= i1; k++) visit(j * across + k, i);
    }
  };
  each((square) => start[square + 1]++);
  for (let s = 0; s < across * up; s++) start[s + 1] += start[s];
  const next = start.slice(), cells = new Uint32Array(start[across * up]);
  each((square, cell) => (cells[next[square]++] = cell));
  return { box, step, across, up, start, cells };
};

/** The cell at a place, or -1. */
export const cellAt = (grid: CellGrid, corners: Float32Array, x: number, y: number): number => {
  const i = Math.floor((x - grid.box.x0) / grid.step), j = Math.floor((y - grid.box.y0) / grid.step);
  if (!(i >= 0 && j >= 0 && i < grid.across && j < grid.up)) return -1;
  const square = j * grid.across + i;
  for (let k = grid.start[square]; k < grid.start[square + 1]; k++)
    if (inCell(corners, grid.cells[k], x, y)) return grid.cells[k];
  return -1;
};
