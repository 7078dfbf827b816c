import { describe, expect, test } from "vitest";
import { cutCells } from "../src/hill/cut";
import type { Cells, Ground } from "../src/parts/model";
import { cellMesh, farOff, groundMesh } from "../src/solid/shapes";
import { middleDay, sunAt } from "../src/solid/sun";

const DEG = Math.PI / 180;

describe("the first look", () => {
  test.each([[1.6], [1], [0.5]])("at %d times as wide as high shows a ball whole, and no smaller than it must be", (aspect) => {
    const angle = 40 * DEG, off = farOff(angle, aspect);
    const halfUp = angle / 2, halfAcross = Math.atan(Math.tan(angle / 2) * aspect), seen = Math.asin(1 / off);
    expect(seen).toBeLessThanOrEqual(Math.min(halfUp, halfAcross) + 1e-9);
    expect(seen).toBeCloseTo(Math.min(halfUp, halfAcross), 9);
  });
});

describe("the sun", () => {
  // closed form: at solar noon the sun stands 90 degrees less latitude plus declination high
  test.each([[81, 0], [173, 23.45], [356, -23.45]])("on day %d stands as high at noon as its declination of %d degrees says", (day, declination) => {
    const { height, bearing } = sunAt(day, 12, 38 * DEG);
    expect(height / DEG).toBeCloseTo(90 - 38 + declination, 0);
    expect(bearing / DEG).toBeCloseTo(180, 6);
  });

  test("rises in the east and sets in the west on the day of equal day and night", () => {
    const rise = sunAt(81, 6, 38 * DEG), set = sunAt(81, 18, 38 * DEG);
    expect(rise.height).toBeCloseTo(0, 2);
    expect(rise.bearing / DEG).toBeCloseTo(90, 0);
    expect(set.bearing / DEG).toBeCloseTo(270, 0);
  });

  test("stands in the north at noon south of the equator", () => {
    expect(Math.cos(sunAt(81, 12, -35 * DEG).bearing)).toBeCloseTo(1, 6);
  });

  test("is down at midnight, away from the poles", () => {
    for (let m = 0; m < 12; m++) expect(sunAt(middleDay(m), 0, 38 * DEG).height).toBeLessThan(0);
  });
});

/** Two cells, one above the other, on a slope of 45 degrees rising to the north. */
const cells = {
  n: 2,
  depth: 0.2,
  corners: new Float32Array([0, 2, 2, 1, 2, 2, 1, 1, 1, 0, 1, 1, 0, 1, 1, 1, 1, 1, 1, 0, 0, 0, 0, 0]),
  row: new Int32Array([1, 2]),
  number: new Int32Array([1, 1]),
} as unknown as Cells;

test("a cut up the slope goes through both cells, the lower first", () => {
  const found = cutCells(cells, [0.5, -1], [0.5, 3]);
  expect(found.map((s) => s.cell)).toEqual([1, 0]);
  expect(found[0].from).toEqual([1, 0]);
  expect(found[0].to).toEqual([2, 1]);
  expect(cutCells(cells, [5, -1], [5, 3])).toEqual([]);
  expect(cutCells(cells, [0.5, 0.5], [0.5, 0.5])).toEqual([]);
});

test("walls stand square to the base, as high as the cell is deep", () => {
  const { places, triangles } = cellMesh(cells, () => true);
  const [base, top] = [places.subarray(0, 3), places.subarray(12, 15)];
  expect(Math.hypot(top[0] - base[0], top[1] - base[1], top[2] - base[2])).toBeCloseTo(0.2, 6);
  expect(top[2] - base[2]).toBeCloseTo(0.2 * Math.SQRT1_2, 6);
  expect(triangles.length).toBe(2 * 30);
  expect(Math.max(...triangles)).toBe(23);
});

test("ground that nobody surveyed is left out", () => {
  const z = new Float32Array(9).fill(1);
  z[0] = NaN;
  const ground = { heights: { x0: 0, y0: 0, step: 1, nx: 3, ny: 3, z } } as Ground;
  expect(groundMesh(ground).triangles.length).toBe(6 * 3);
});
