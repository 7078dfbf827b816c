/** The unit that a bare number typed into a field is given: what the value has, else what is usual, in the job's units. */

import { units } from "../state/job";
import { inUnits, unitOf } from "./measures";
import { usualValue, type Field } from "./schema";
import type { Shape } from "./shape";

/** The quantity that all boxes of a value are of; "" where they differ, or are none. */
const quantityOf = (s: Shape): string => {
  if (s.kind === "quantity") return s.quantity;
  if (s.kind === "range" || s.kind === "months" || s.kind === "list") return quantityOf(s.of);
  if (s.kind !== "tuple") return "";
  const all = new Set(s.of.map(quantityOf));
  return all.size === 1 ? [...all][0] : "";
};

const first = (value: unknown): string => (Array.isArray(value) ? first(value[0]) : typeof value === "string" ? value : "");

export const unitFor = (field: Field, value: unknown): string => {
  if (!quantityOf(field.shape)) return "";
  const held = unitOf(first(value));
  if (held) return held;
  const texts = [usualValue(field.usual), /"([^"]*)"/.exec(field.usual)?.[1] ?? "", /"([^"]*)"/.exec(field.example)?.[1] ?? ""];
  for (const text of texts) if (unitOf(text)) return unitOf(inUnits(text, units.value));
  return "";
};

/** The units of the boxes of a row whose boxes differ, by the manual's example: ["", "%"] of a part of a mix. */
export const unitsAt = ({ shape, example }: Field): string[] | undefined => {
  if ((shape.kind === "list" ? shape.of : shape).kind !== "tuple") return undefined;
  const rows = /^\[\[.*?\]/.exec(example)?.[0].slice(1) ?? /^\[.*?\]/.exec(example)?.[0] ?? "[]";
  const found = [...rows.matchAll(/"([^"]*)"/g)].map((m) => unitOf(inUnits(m[1], units.value)));
  return new Set(found).size > 1 ? found : undefined;
};
