import { describe, expect, test } from "vitest";
import { widened } from "../src/hill/layer";
import { between, boxOf, fitted, framed, matrix, panned, roundLength, seen, toHill, toScreen, turned, type View, zoomed } from "../src/hill/view";

const VIEWS: View[] = [0, 0.4, -2.2, Math.PI].map((turn) => ({ x: 3, y: -7, scale: 40, turn, width: 900, height: 600 }));

describe.each(VIEWS)("a view turned by $turn", (v) => {
  test("a pixel leads to a place that leads back to the pixel", () => {
    for (const [sx, sy] of [[0, 0], [123, 456], [900, 600]]) {
      const [x, y] = toHill(v, sx, sy);
      const back = toScreen(v, x, y);
      expect(back[0]).toBeCloseTo(sx, 9);
      expect(back[1]).toBeCloseTo(sy, 9);
    }
  });

  test("the canvas transform puts a place where the pixel is, times the device ratio", () => {
    const [a, b, c, d, e, f] = matrix(v, 2);
    const [sx, sy] = toScreen(v, 5, -4);
    expect(a * 5 + c * -4 + e).toBeCloseTo(2 * sx, 9);
    expect(b * 5 + d * -4 + f).toBeCloseTo(2 * sy, 9);
  });

  test("zooming keeps what is under the pointer", () => {
    const before = toHill(v, 700, 90);
    const after = toHill(zoomed(v, 2.5, 700, 90), 700, 90);
    expect(after[0]).toBeCloseTo(before[0], 9);
    expect(after[1]).toBeCloseTo(before[1], 9);
  });

  test("panning moves every place by the pixels that the hand moved", () => {
    const [sx, sy] = toScreen(panned(v, 30, -12), 1, 2);
    const [ox, oy] = toScreen(v, 1, 2);
    expect(sx - ox).toBeCloseTo(30, 9);
    expect(sy - oy).toBeCloseTo(-12, 9);
  });

  test("places that are framed fill what is left beside the buttons, however they are turned", () => {
    const slanted = [0, 0, 30, 8, 28, 14, -2, 6];
    for (const turn of [0, -0.27, 1.2]) {
      const made = framed(slanted, 640, 480, turn, 52, 10);
      const spots = [0, 2, 4, 6].map((i) => toScreen(made, slanted[i], slanted[i + 1]));
      const xs = spots.map((p) => p[0]), ys = spots.map((p) => p[1]);
      expect(Math.min(...xs)).toBeGreaterThan(27);
      expect(Math.max(...xs)).toBeLessThan(640 - 52 - 27);
      expect(Math.min(...ys)).toBeGreaterThan(10 + 27);
      expect(Math.max(...ys)).toBeLessThan(480 - 27);
      // one way or the other nothing is left over
      const left = Math.min(640 - 52 - 56 - (Math.max(...xs) - Math.min(...xs)), 480 - 10 - 56 - (Math.max(...ys) - Math.min(...ys)));
      expect(left).toBeCloseTo(0, 6);
    }
  });

  test("a box that is fitted is seen whole", () => {
    const box = { x0: -4, y0: 2, x1: 30, y1: 9 };
    const whole = fitted(box, 640, 480, v.turn);
    for (const [x, y] of [[-4, 2], [30, 2], [30, 9], [-4, 9]]) {
      const [sx, sy] = toScreen(whole, x, y);
      expect(sx).toBeGreaterThanOrEqual(27);
      expect(sx).toBeLessThanOrEqual(613);
      expect(sy).toBeGreaterThanOrEqual(27);
      expect(sy).toBeLessThanOrEqual(453);
    }
  });
});

test("up on the screen is up on the map where nothing is turned", () => {
  const v = VIEWS[0];
  expect(toScreen(v, 3, -6)[1]).toBeLessThan(toScreen(v, 3, -7)[1]);
});

test("zoom stops at both ends and does not drift there", () => {
  let v = VIEWS[0];
  for (let i = 0; i < 60; i++) v = zoomed(v, 2, 10, 10);
  const end = zoomed(v, 2, 10, 10);
  expect(end).toEqual(v);
});

test("turning all the way round comes back", () => {
  expect(turned(turned(VIEWS[1], Math.PI), Math.PI).turn).toBeCloseTo(0.4, 9);
});

test("what is seen of an unturned view is its own rectangle", () => {
  expect(seen(VIEWS[0])).toEqual({ x0: 3 - 11.25, y0: -7 - 7.5, x1: 3 + 11.25, y1: -7 + 7.5 });
});

test("places that are not known do not stretch a box", () => {
  expect(boxOf([1, 2, NaN, 5, 3, 4])).toEqual({ x0: 1, y0: 2, x1: 3, y1: 4 });
});

test("the scale bar is 1, 2 or 5 of a unit times ten to some power", () => {
  expect(roundLength(VIEWS[0], 100, 1)).toBe(2); // 2.5 m
  expect(roundLength(VIEWS[0], 100, 0.3048)).toBe(5); // 8.2 ft
  expect(roundLength({ ...VIEWS[0], scale: 500 }, 100, 1)).toBeCloseTo(0.2, 12);
});

describe("a picture of one view in another", () => {
  const from: View = { x: 3, y: -2, scale: 40, turn: 0.3, width: 900, height: 500 };

  test("lies where what it shows lies", () => {
    for (const to of [{ ...from, x: 4, y: 1 }, { ...from, scale: 73 }, { ...from, turn: -0.9, x: 2.5 }, { ...from, width: 700, height: 420, scale: 31 }]) {
      const [a, b, c, d, e, f] = between(from, to, 1.5);
      for (const [x, y] of [[3, -2], [5.5, 0.25], [-4, 7]] as const) {
        const [px, py] = toScreen(from, x, y).map((v) => v * 1.5), [qx, qy] = toScreen(to, x, y).map((v) => v * 1.5);
        expect(a * px + c * py + e).toBeCloseTo(qx, 6);
        expect(b * px + d * py + f).toBeCloseTo(qy, 6);
      }
    }
  });

  test("has a rim of whole device pixels, so that it is as sharp as what is drawn in place", () => {
    for (const ratio of [1, 1.25, 1.5, 2, 2.625]) {
      const rim = ((widened(from, ratio).width - from.width) / 2) * ratio;
      expect(rim).toBeCloseTo(Math.round(rim), 9);
    }
  });
});
