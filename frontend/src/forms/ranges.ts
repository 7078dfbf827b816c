/** Values that take a given number of boxes: ranges and months. */

export const there = (v: unknown): boolean => v !== undefined && v !== "";

/** One value is the likeliest; two are the ends; three are all. */
export const readRange = (value: unknown): unknown[] => {
  const list = value === undefined ? [] : Array.isArray(value) ? value : [value];
  return list.length === 1 ? [undefined, list[0], undefined] : list.length === 2 ? [list[0], undefined, list[1]] : list;
};

export const writeRange = ([low, likely, high]: unknown[]): unknown => {
  if (there(low) !== there(high)) return "short";
  if (there(low)) return there(likely) ? [low, likely, high] : [low, high];
  return there(likely) ? likely : undefined;
};

export const writeMonths = (boxes: unknown[]): unknown => (boxes.every(there) ? boxes : boxes.some(there) ? "short" : undefined);
