/** Quantities written for one system of units, in the other: what the manual says is usual, in the job's units. */

import type { System } from "../service/types";

interface Other {
  readonly unit: string;
  readonly per: number; // of the other unit in one of this
  readonly zero?: number; // what 0 reads there
}

const GALLON = 3.785411784, POUND = 0.45359237, LBF = 4.4482216152605, FOOT = 0.3048;
const PSF = LBF / FOOT ** 2 / 1e3, PCF = LBF / FOOT ** 3 / 1e3, PSI = PSF * 144, US_R = 17.02;

/** From US customary. */
const METRIC: Record<string, Other> = {
  in: { unit: "mm", per: 25.4 }, ft: { unit: "m", per: FOOT }, yd: { unit: "m", per: 0.9144 },
  ft2: { unit: "m2", per: FOOT ** 2 }, ac: { unit: "m2", per: 4046.8564224 },
  ft3: { unit: "L", per: FOOT ** 3 * 1e3 }, yd3: { unit: "m3", per: 0.9144 ** 3 }, gal: { unit: "L", per: GALLON },
  lb: { unit: "kg", per: POUND }, lbf: { unit: "N", per: LBF }, psi: { unit: "kPa", per: PSI }, psf: { unit: "kPa", per: PSF },
  pcf: { unit: "kN/m3", per: PCF }, "lb/ft3": { unit: "kg/m3", per: POUND / FOOT ** 3 },
  "gal/h": { unit: "L/h", per: GALLON }, "gal/min": { unit: "L/min", per: GALLON }, "in/h": { unit: "mm/h", per: 25.4 },
  degF: { unit: "degC", per: 5 / 9, zero: -32 * (5 / 9) }, us_R: { unit: "MJ mm/(ha h)", per: US_R },
};
const US: Record<string, Other> = {
  mm: { unit: "in", per: 1 / 25.4 }, cm: { unit: "in", per: 1 / 2.54 }, m: { unit: "ft", per: 1 / FOOT },
  m2: { unit: "ft2", per: 1 / FOOT ** 2 }, m3: { unit: "yd3", per: 1 / 0.9144 ** 3 }, L: { unit: "gal", per: 1 / GALLON },
  kg: { unit: "lb", per: 1 / POUND }, N: { unit: "lbf", per: 1 / LBF }, kN: { unit: "lbf", per: 1e3 / LBF },
  kPa: { unit: "psf", per: 1 / PSF }, MPa: { unit: "psi", per: 1e3 / PSI }, "kN/m3": { unit: "pcf", per: 1 / PCF },
  "kg/m3": { unit: "lb/ft3", per: FOOT ** 3 / POUND }, "L/h": { unit: "gal/h", per: 1 / GALLON }, "L/min": { unit: "gal/min", per: 1 / GALLON },
  "mm/h": { unit: "in/h", per: 1 / 25.4 }, degC: { unit: "degF", per: 9 / 5, zero: 32 }, "MJ mm/(ha h)": { unit: "us_R", per: 1 / US_R },
};
/** Written larger or smaller where the number would be long. */
const SIZES: Record<string, [most: number, unit: string, per: number]> = {
  mm: [1000, "m", 1e-3], N: [1000, "kN", 1e-3], kPa: [1000, "MPa", 1e-3],
};

const NUMBER = String.raw`-?(?:\d+ )?\d+\/\d+|-?\d{1,3}(?:,\d{3})+(?:\.\d+)?|-?\d+(?:\.\d+)?`;
const quoted = (name: string): string => name.replace(/[()/]/g, String.raw`\$&`);
const finder = (table: Record<string, Other>): RegExp => {
  const names = Object.keys(table).sort((a, b) => b.length - a.length).map((n) => (n === "in" ? String.raw`in(?=$|["'\`,.;:)\]]| to | or | at )` : quoted(n)));
  return new RegExp(String.raw`(?<![\w.,/#])(${NUMBER})( ?)(${names.join("|")})(?![\w/])`, "g");
};
const FIND: Record<System, RegExp> = { us: finder(US), metric: finder(METRIC) };

const value = (text: string): number =>
  text.replace(/,/g, "").split(" ").reduce((sum, part) => {
    const [a, b] = part.split("/").map(Number);
    return sum + (b === undefined ? a : a / b);
  }, 0);

/** To three figures, as one would write it. */
const round = (n: number): string => String(Number((n * (1 + 1e-12)).toPrecision(3)));

/** A text with every quantity in it written in the job's units; those that are stay as they are. */
export const inUnits = (text: string, system: System): string =>
  text.replace(FIND[system], (_whole, n: string, gap: string, unit: string) => {
    const other = (system === "us" ? US : METRIC)[unit];
    let [found, name] = [value(n) * other.per + (other.zero ?? 0), other.unit];
    const size = SIZES[name];
    if (size && Math.abs(found) >= size[0]) [found, name] = [found * size[2], size[1]];
    return `${round(found)}${gap}${name}`;
  });

const NUMERIC = /^[-+]?[\d\s.,/]+$/;

/** The unit of a written quantity: "in" of "24 in", "%" of "40 %"; "" for none. */
export const unitOf = (text: string): string => /^\s*[-+]?[\d\s.,/]*\d\s*([^\d\s:].*?)\s*$/.exec(text)?.[1] ?? "";

/** What was typed, with the unit of the field behind a bare number. */
export const withUnit = (typed: string, unit: string): string => (unit && NUMERIC.test(typed) ? `${typed.trim()} ${unit}` : typed.trim());
