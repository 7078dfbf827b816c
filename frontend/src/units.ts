/** SI to what a person reads, in US customary or metric as the job says. The only door for units here. */

import { number } from "./numbers";
import type { System } from "./service/types";

const FOOT = 0.3048, INCH = 0.0254, GALLON = 3.785411784e-3, PSI_HEAD = 6894.757293168361 / 9806.65;

export type Kind = "length" | "small" | "area" | "soil" | "water" | "flow" | "head" | "mass" | "angle" | "hours" | "plain" | "whole" | "clock";

interface Shown {
  readonly unit: string;
  readonly per: number; // SI in one of it
  readonly digits: number;
}

const SHOWN: Record<System, Record<Exclude<Kind, "clock">, Shown>> = {
  us: {
    length: { unit: "ft", per: FOOT, digits: 2 },
    small: { unit: "in", per: INCH, digits: 2 },
    area: { unit: "ft²", per: FOOT ** 2, digits: 1 },
    soil: { unit: "ft³", per: FOOT ** 3, digits: 2 },
    water: { unit: "gal", per: GALLON, digits: 2 },
    flow: { unit: "gph", per: GALLON / 3600, digits: 2 },
    head: { unit: "psi", per: PSI_HEAD, digits: 1 },
    mass: { unit: "lb", per: 0.45359237, digits: 0 },
    angle: { unit: "°", per: Math.PI / 180, digits: 1 },
    hours: { unit: "h", per: 3600, digits: 1 },
    plain: { unit: "", per: 1, digits: 2 },
    whole: { unit: "", per: 1, digits: 0 },
  },
  metric: {
    length: { unit: "m", per: 1, digits: 2 },
    small: { unit: "mm", per: 1e-3, digits: 0 },
    area: { unit: "m²", per: 1, digits: 2 },
    soil: { unit: "l", per: 1e-3, digits: 0 },
    water: { unit: "l", per: 1e-3, digits: 1 },
    flow: { unit: "l/h", per: 1e-3 / 3600, digits: 1 },
    head: { unit: "kPa", per: 1 / 9.80665, digits: 0 },
    mass: { unit: "kg", per: 1, digits: 0 },
    angle: { unit: "°", per: Math.PI / 180, digits: 1 },
    hours: { unit: "h", per: 3600, digits: 1 },
    plain: { unit: "", per: 1, digits: 2 },
    whole: { unit: "", per: 1, digits: 0 },
  },
};

/** Metres in the unit that lengths are shown in. */
export const longUnit = (system: System): { unit: string; per: number } => SHOWN[system].length;

/** A value as words: "3.28 ft"; "not known" is a dash. */
export const show = (value: number, kind: Kind, system: System): string => {
  if (!Number.isFinite(value)) return "–";
  if (kind === "clock") return clock(value);
  const { unit, per, digits } = SHOWN[system][kind];
  const found = number(value / per, digits);
  return unit === "" ? found : unit === "°" ? found + unit : `${found}\u00a0${unit}`;
};

/** The unit of a kind, for the head of a column; "" for a plain number. */
export const unitOf = (kind: Kind, system: System): string => (kind === "clock" ? "h:min" : SHOWN[system][kind].unit);

const clock = (seconds: number): string => {
  const minutes = Math.round(seconds / 60);
  return `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}`;
};
