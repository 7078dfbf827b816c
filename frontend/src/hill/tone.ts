/** One ramp from paper to the accent, in few steps, so that cells of a tone are drawn at once. */

export const STEPS = 9;

/** Least and greatest of what is known; null where nothing is. */
export const span = (values: ArrayLike<number>): readonly [number, number] | null => {
  let low = Infinity, high = -Infinity;
  for (let i = 0; i < values.length; i++) {
    const v = values[i];
    if (!Number.isFinite(v)) continue;
    if (v < low) low = v;
    if (v > high) high = v;
  }
  return low <= high ? [low, high] : null;
};

/** Which step of the ramp a value falls on, 0 to STEPS - 1; -1 where it is not known. With `low` over
 *  `high` the ramp runs the other way. */
export const step = (value: number, low: number, high: number): number => {
  if (!Number.isFinite(value)) return -1;
  if (high === low) return Math.floor(STEPS / 2);
  return Math.min(STEPS - 1, Math.max(0, Math.floor(((value - low) / (high - low)) * STEPS)));
};

type Rgb = readonly [number, number, number];
const between = (a: Rgb, b: Rgb, t: number): string =>
  `rgb(${a.map((v, i) => Math.round(v + (b[i] - v) * t)).join(" ")})`;

const PAPER: Rgb = [250, 245, 233], MIDDLE: Rgb = [216, 158, 112], DEEP: Rgb = [110, 42, 20];

/** Colour of a step. */
export const tone = (at: number): string => {
  const t = at / (STEPS - 1);
  return t < 0.5 ? between(PAPER, MIDDLE, t * 2) : between(MIDDLE, DEEP, t * 2 - 1);
};

/** From this step on a cell is too dark for dark ink. */
export const DARK = 6;

/** Ink that can be read on a step. */
export const inkOn = (at: number): string => (at >= DARK ? "#ffffff" : "#2c2721");
