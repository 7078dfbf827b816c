import { describe, expect, test } from "vitest";
import { cellAt, cellGrid } from "../src/hill/cellgrid";
import { isStrong, labelPlace, upright } from "../src/hill/contours";
import { deviceSize, sharp, sharpWidth } from "../src/hill/crisp";
import { heightAt, profile, type Heights } from "../src/hill/heights";
import { edgeOf, fromPiece, inRing, nearest, nearestPiece } from "../src/hill/near";
import { inCell, middle, uphill } from "../src/hill/quads";
import { inkOn, span, step, STEPS, tone } from "../src/hill/tone";

/** A field of rows x columns cells, turned, each a bit sheared, with gaps between. */
const field = (rows: number, columns: number, turn = 0.3): Float32Array => {
  const out = new Float32Array(rows * columns * 12);
  const c = Math.cos(turn), s = Math.sin(turn);
  let o = 0;
  for (let r = 0; r < rows; r++)
    for (let k = 0; k < columns; k++)
      for (const [u, v] of [[0, 0], [0.58, 0], [0.6, -0.43], [0.02, -0.43]]) {
        const x = k * 0.61 + u, y = -r * 0.45 + v;
        out.set([c * x - s * y, s * x + c * y, -y * 0.5], o);
        o += 3;
      }
  return out;
};

describe("the cell under a place", () => {
  const corners = field(40, 50);
  const grid = cellGrid(corners);

  test("is found for the middle of every cell", () => {
    for (let i = 0; i < 2000; i++) expect(cellAt(grid, corners, ...middle(corners, i))).toBe(i);
  });

  test("is the same as by looking at every cell, wherever one points", () => {
    for (let k = 0; k < 400; k++) {
      const x = -12 + ((k * 7919) % 997) * 0.05, y = -22 + ((k * 104729) % 991) * 0.05;
      let slow = -1;
      for (let i = 0; i < 2000 && slow < 0; i++) if (inCell(corners, i, x, y)) slow = i;
      expect(cellAt(grid, corners, x, y)).toBe(slow);
    }
  });

  test("is none off the hill, and none where there are no cells", () => {
    expect(cellAt(grid, corners, 1e6, 0)).toBe(-1);
    expect(cellAt(grid, corners, NaN, 0)).toBe(-1);
    expect(cellAt(cellGrid(new Float32Array(0)), new Float32Array(0), 0, 0)).toBe(-1);
  });

  test("few cells far apart do not make millions of squares", () => {
    const two = new Float32Array([...field(1, 1), ...field(1, 1).map((v, i) => (i % 3 === 2 ? v : v + 1e5))]);
    expect(cellGrid(two).start.length).toBeLessThan(40);
    expect(cellAt(cellGrid(two), two, ...middle(two, 1))).toBe(1);
  });

  test("row 1 is uphill of the others", () => {
    expect(uphill(corners)).toBeCloseTo(0.3 + Math.PI / 2, 1);
    expect(uphill(new Float32Array(0))).toBeNull();
  });
});

describe("nearness", () => {
  test("to a piece is to its end where the foot falls outside", () => {
    expect(fromPiece([5, 1], [0, 0], [3, 0])).toEqual({ distance: Math.hypot(2, 1), share: 1 });
    expect(fromPiece([1, 2], [0, 0], [3, 0])).toEqual({ distance: 2, share: 1 / 3 });
    expect(fromPiece([3, 4], [0, 0], [0, 0]).distance).toBe(5);
  });

  test("stops at the reach of the hand", () => {
    expect(nearest([0, 0, 9, 10, 0, 9], 3, [10, 1], 2)).toBe(1);
    expect(nearest([0, 0, 9, 10, 0, 9], 3, [5, 0], 2)).toBe(-1);
    expect(nearestPiece([0, 0, 0, 10, 0, 0, 0, 5, 0, 10, 5, 0], [4, 4.5], 1)).toBe(1);
    expect(nearestPiece([0, 0, 0, 10, 0, 0], [4, 2], 1)).toBe(-1);
  });

  test("of a ring names the corner that a new one goes behind", () => {
    const ring = [[0, 0], [10, 0], [10, 10], [0, 10]] as const;
    expect(edgeOf(ring, [10.5, 5])).toEqual({ after: 1, distance: 0.5 });
    expect(edgeOf(ring, [-1, 5]).after).toBe(3);
    expect(inRing(ring, [5, 5])).toBe(true);
    expect(inRing(ring, [15, 5])).toBe(false);
  });
});

describe("tones", () => {
  test("rise with the value and stay on the ramp", () => {
    expect(step(0, 0, 1)).toBe(0);
    expect(step(1, 0, 1)).toBe(STEPS - 1);
    expect(step(7, 0, 1)).toBe(STEPS - 1);
    expect(step(NaN, 0, 1)).toBe(-1);
    expect(step(3, 3, 3)).toBe(4);
    expect([step(3, 3, 1), step(1, 3, 1)]).toEqual([0, STEPS - 1]);
    expect(span([NaN, 2, 5])).toEqual([2, 5]);
    expect(span([NaN])).toBeNull();
  });

  // WCAG 2.2: contrast = (L1 + 0.05) / (L2 + 0.05), relative luminance of sRGB.
  test("carry ink that can be read, 4.5 to 1 or better", () => {
    const light = (rgb: number[]): number => {
      const [r, g, b] = rgb.map((v) => (v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4));
      return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    const hex = (h: string): number[] => [1, 3, 5].map((k) => parseInt(h.slice(k, k + 2), 16));
    for (let k = 0; k < STEPS; k++) {
      const [a, b] = [light(tone(k).match(/\d+/g)!.map(Number)), light(hex(inkOn(k)))];
      expect((Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05)).toBeGreaterThanOrEqual(4.5);
    }
  });
});

describe("contours", () => {
  const c = { xy: new Float32Array([0, 0, 1, 0, 4, 0, 0, 1, 0, 3]), start: new Uint32Array([0, 3, 5]), level: new Float32Array([5, 6]), interval: 1 };

  test("carry their height at the middle of their length", () => {
    expect(labelPlace(c, 0)).toEqual({ at: [2, 0], angle: 0, length: 4 });
    expect(labelPlace(c, 1).at).toEqual([0, 2]);
  });

  test("every fifth is strong, in any unit", () => {
    expect([isStrong(c, 0), isStrong(c, 1)]).toEqual([true, false]);
    expect(isStrong({ ...c, level: new Float32Array([1.524, 1.8288]), interval: 0.3048 }, 0)).toBe(true);
  });

  test("words are never upside down", () => {
    for (let a = -7; a < 7; a += 0.1) expect(Math.abs(upright(a))).toBeLessThanOrEqual(Math.PI / 2 + 1e-12);
    expect(upright(Math.PI)).toBeCloseTo(0, 12);
  });
});

describe("sharp lines", () => {
  test.each([1, 1.25, 1.5, 2, 3])("at a device ratio of %d have both edges between pixels", (ratio) => {
    for (const css of [0.4, 1, 1.6, 3]) {
      const width = sharpWidth(css, ratio);
      const at = sharp(17.3 * ratio, width);
      expect(Number.isInteger(at - width / 2)).toBe(true);
      expect(Math.abs(at - 17.3 * ratio)).toBeLessThanOrEqual(1);
    }
    expect(Number.isInteger(deviceSize(333.3, ratio))).toBe(true);
  });
});

describe("heights", () => {
  // a plane is straight between nodes, so that reading between them is exact
  const z = (x: number, y: number): number => 2 + 0.5 * x - 0.25 * y;
  const h: Heights = { x0: -1, y0: 2, step: 0.5, nx: 5, ny: 4, z: Float32Array.from({ length: 20 }, (_, k) => z(-1 + (k % 5) * 0.5, 2 + Math.floor(k / 5) * 0.5)) };

  test("of a plane are exact everywhere, border included", () => {
    for (const [x, y] of [[-1, 2], [1, 3.5], [0.1, 2.7], [-0.37, 3.49]]) expect(heightAt(h, x, y)).toBeCloseTo(z(x, y), 5);
    expect(heightAt(h, 1.01, 3)).toBeNaN();
  });

  test("along a line start and end at its ends", () => {
    const p = profile(h, [-1, 2], [1, 3.5], 5);
    expect(p[0][1]).toBeCloseTo(z(-1, 2), 5);
    expect(p[4][0]).toBeCloseTo(2.5, 9);
    expect(p[4][1]).toBeCloseTo(z(1, 3.5), 5);
  });
});
