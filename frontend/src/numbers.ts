/** Numbers as the person writes them, and as a job file holds them: with a decimal point.
 *
 * Only the decimal mark and the parting of thousands follow the person's language. What is saved
 * never does.
 */

import { signal } from "@preact/signals";

/** The language that numbers are written in: the browser's own. */
export const locale = signal(globalThis.navigator?.language || "en");

interface Marks {
  readonly decimal: string;
  /** "" where thousands are not parted, because the mark would be read as a decimal one. */
  readonly group: string;
}

const known = new Map<string, Marks>();

export const marks = (of = locale.value): Marks => {
  let found = known.get(of);
  if (!found) {
    const parts = new Intl.NumberFormat(of, { numberingSystem: "latn" }).formatToParts(1234567.5);
    const decimal = parts.find((p) => p.type === "decimal")?.value ?? ".";
    const group = parts.find((p) => p.type === "group")?.value.replace("\u00a0", "\u202f") ?? "";
    // "1.234" beside the answers' "1.234" would be a thousand times as much
    known.set(of, (found = { decimal, group: group === "." || (group === "," && decimal !== ".") ? "" : group }));
  }
  return found;
};

/** A number with so many decimals. */
export const number = (value: number, digits: number, least = digits): string =>
  value.toLocaleString(locale.value, {
    numberingSystem: "latn",
    minimumFractionDigits: least,
    maximumFractionDigits: digits,
    useGrouping: marks().group !== "",
  } as Intl.NumberFormatOptions).replace(/\u00a0/g, "\u202f"); // a wide blank parts a number from its unit

const WRITTEN = /\d{1,3}(?:,\d{3})+(?:\.\d+)?(?![\d,])|\d+\.\d+|\.\d+/g;

/** Numbers in a text of the job file, or in a figure of the plan, as the person writes them. */
export const shownNumbers = (text: string): string => {
  const { decimal, group } = marks();
  if (decimal === "." && group === ",") return text;
  return text.replace(WRITTEN, (found) => found.replace(/[.,]/g, (m) => (m === "." ? decimal : group)));
};

/** Numbers of a typed text as a job file holds them; null where one can be read in two ways. */
export const savedNumbers = (typed: string): string | null => {
  const { decimal } = marks();
  // blanks and apostrophes between digits part thousands: "1 234,5"; "3 1/2" keeps its blank
  const close = typed.replace(/(\d)[\u00a0\u202f'’](?=\d{3}(?!\d))/g, "$1").replace(/(\d) (?=\d{3}(?!\d|\s*\/))/g, "$1");
  if (decimal !== ",") return close;
  let unsure = false;
  const found = close.replace(/\d+(?:[.,]\d+)*/g, (n) => {
    if (n.includes(",")) return n.replace(/\./g, "").replace(/,(?=[^,]*$)/, ".").replace(/,/g, "");
    if (/^\d{1,3}(\.\d{3}){2,}$/.test(n)) return n.replace(/\./g, "");
    unsure ||= /^[1-9]\d{0,2}\.\d{3}$/.test(n); // 1.234: a thousand, or one and a bit?
    return n;
  });
  return unsure ? null : found;
};

/** A typed number; NaN where it is none, or can be read in two ways. */
export const typedNumber = (typed: string): number => {
  const text = savedNumbers(typed.trim())?.replace(/(\d),(?=\d{3}(?!\d))/g, "$1");
  return text ? Number(text) : NaN;
};
