/** Where the eye is over the plan: metres on the hill to CSS pixels on the screen and back. */

export interface View {
  /** What lies at the middle of the screen [m]. */
  readonly x: number;
  readonly y: number;
  /** CSS pixels in a metre. */
  readonly scale: number;
  /** By how much the hill is turned counter-clockwise on the screen [rad]. */
  readonly turn: number;
  /** Of the canvas [CSS px]. */
  readonly width: number;
  readonly height: number;
}

export type Point = readonly [number, number];

/** Least and greatest x and y. */
export interface Box {
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
}

export const CLOSEST = 1200; // px in a metre: a cell fills the screen
export const FARTHEST = 0.5;

export const toScreen = (v: View, x: number, y: number): Point => {
  const c = Math.cos(v.turn), s = Math.sin(v.turn);
  const dx = (x - v.x) * v.scale, dy = (y - v.y) * v.scale;
  return [v.width / 2 + c * dx - s * dy, v.height / 2 - s * dx - c * dy];
};

export const toHill = (v: View, sx: number, sy: number): Point => {
  const c = Math.cos(v.turn), s = Math.sin(v.turn);
  const dx = (sx - v.width / 2) / v.scale, dy = (v.height / 2 - sy) / v.scale;
  return [v.x + c * dx + s * dy, v.y - s * dx + c * dy];
};

/** The six numbers of a canvas transform that draws hill metres on a canvas of `ratio` device px. */
export const matrix = (v: View, ratio: number): [number, number, number, number, number, number] => {
  const k = v.scale * ratio, c = k * Math.cos(v.turn), s = k * Math.sin(v.turn);
  const e = (v.width / 2) * ratio - c * v.x + s * v.y;
  const f = (v.height / 2) * ratio + s * v.x + c * v.y;
  return [c, -s, -s, -c, e, f];
};

/** The transform that lays a picture drawn for one view where it belongs in another. Both in device px. */
export const between = (from: View, to: View, ratio: number): [number, number, number, number, number, number] => {
  const k = to.scale / from.scale, turn = to.turn - from.turn, c = k * Math.cos(turn), s = k * Math.sin(turn);
  const [cx, cy] = toScreen(to, from.x, from.y), sx = (from.width / 2) * ratio, sy = (from.height / 2) * ratio;
  return [c, -s, s, c, cx * ratio - c * sx - s * sy, cy * ratio + s * sx - c * sy];
};

export const panned = (v: View, dx: number, dy: number): View => {
  const [x, y] = toHill(v, v.width / 2 - dx, v.height / 2 - dy);
  return { ...v, x, y };
};

/** Zoom by a factor; what lies under the given pixel stays there. */
export const zoomed = (v: View, factor: number, sx = v.width / 2, sy = v.height / 2): View => {
  const scale = Math.min(CLOSEST, Math.max(FARTHEST, v.scale * factor));
  if (scale === v.scale) return v;
  const [hx, hy] = toHill(v, sx, sy);
  const [ax, ay] = toHill({ ...v, scale }, sx, sy);
  return { ...v, scale, x: v.x + hx - ax, y: v.y + hy - ay };
};

/** Turn about the middle of the screen. */
export const turned = (v: View, by: number): View => ({ ...v, turn: wrapped(v.turn + by) });

const wrapped = (a: number): number => Math.atan2(Math.sin(a), Math.cos(a));

/** The box round some places given as x, y, x, y ... */
export const boxOf = (xy: ArrayLike<number>, stride = 2): Box => {
  let x0 = Infinity, y0 = Infinity, x1 = -Infinity, y1 = -Infinity;
  for (let i = 0; i + 1 < xy.length; i += stride) {
    const x = xy[i], y = xy[i + 1];
    if (!(Number.isFinite(x) && Number.isFinite(y))) continue;
    if (x < x0) x0 = x;
    if (x > x1) x1 = x;
    if (y < y0) y0 = y;
    if (y > y1) y1 = y;
  }
  return { x0, y0, x1, y1 };
};

/** The view that shows a box whole, turned so, with a margin of so many pixels. */
export const fitted = (box: Box, width: number, height: number, turn = 0, margin = 28): View => {
  const c = Math.abs(Math.cos(turn)), s = Math.abs(Math.sin(turn));
  const w = Math.max(box.x1 - box.x0, 0.01), h = Math.max(box.y1 - box.y0, 0.01);
  const room = (px: number): number => Math.max(px - 2 * margin, 20);
  const scale = Math.min(room(width) / (c * w + s * h), room(height) / (s * w + c * h));
  const x = (box.x0 + box.x1) / 2, y = (box.y0 + box.y1) / 2;
  return { x, y, scale: Math.min(scale, CLOSEST), turn, width, height };
};

/** The view that shows some places (x, y, x, y ...) whole, turned so, beside what lies over the right and the top edge. */
export const framed = (xy: ArrayLike<number>, width: number, height: number, turn: number, right = 0, top = 0): View => {
  const c = Math.cos(turn), s = Math.sin(turn), onScreen = new Float64Array(xy.length);
  for (let i = 0; i + 1 < xy.length; i += 2) {
    onScreen[i] = c * xy[i] - s * xy[i + 1];
    onScreen[i + 1] = s * xy[i] + c * xy[i + 1];
  }
  const found = fitted(boxOf(onScreen), width - right, height - top);
  const x = c * found.x + s * found.y, y = c * found.y - s * found.x;
  return panned({ ...found, x, y, turn, width, height }, -right / 2, top / 2);
};

/** The box of the hill that can be seen (of a turned view: the box round it). */
export const seen = (v: View): Box => {
  const corners = [toHill(v, 0, 0), toHill(v, v.width, 0), toHill(v, v.width, v.height), toHill(v, 0, v.height)];
  return boxOf(corners.flat());
};

export const meets = (a: Box, b: Box): boolean => a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1;

/** A round length that is about so many pixels long, for the scale bar: 1, 2 or 5 times ten to some power. */
export const roundLength = (v: View, pixels: number, unit: number): number => {
  const want = pixels / v.scale / unit;
  const power = 10 ** Math.floor(Math.log10(want));
  const lead = want / power;
  return (lead >= 5 ? 5 : lead >= 2 ? 2 : 1) * power;
};
