/** How a value of the job file is held, as far as a form must know to ask for it. */

import { plain, type Rule, type Schema } from "./schema";

export type Shape =
  | { kind: "text"; form?: string }
  | { kind: "quantity"; quantity: string }
  | { kind: "number"; whole: boolean }
  | { kind: "amount" } // a count, or a quantity
  | { kind: "date" }
  | { kind: "time" }
  | { kind: "flag" }
  | { kind: "choice"; of: string[] }
  | { kind: "known"; of: string[]; mixes: boolean } // a row of one of the program's tables
  | { kind: "plant"; kinds: boolean }
  | { kind: "file" }
  | { kind: "set"; of: string[] }
  | { kind: "tuple"; of: Shape[] }
  | { kind: "list"; of: Shape }
  | { kind: "range"; of: Shape }
  | { kind: "months"; of: Shape }
  | { kind: "options" }
  | { kind: "rows" } // tables, one below the other
  | { kind: "section" };

export const shapeOf = (root: Schema, given: Rule): Shape => {
  const rule = plain(root, given);
  if (rule.properties) return { kind: "section" };
  if (rule.type === "array") return listShape(root, rule);
  if (rule.enum) return { kind: "choice", of: rule.enum.map(String) };
  if (rule.type === "boolean") return { kind: "flag" };
  if (rule.type === "number" || rule.type === "integer") return { kind: "number", whole: rule.type === "integer" };
  if (rule.quantity) return { kind: "quantity", quantity: rule.quantity };
  if (rule.format === "date") return { kind: "date" };
  if (rule.format === "time") return { kind: "time" };
  if (rule.known) return { kind: "known", of: rule.known, mixes: rule.form === "mix" };
  if (rule.form === "amount") return { kind: "amount" };
  if (rule.form === "file") return { kind: "file" };
  if (rule.form?.startsWith("plant")) return { kind: "plant", kinds: rule.form !== "plant" };
  return { kind: "text", form: rule.form };
};

const listShape = (root: Schema, rule: Rule): Shape => {
  if (rule.form === "options") return { kind: "options" };
  if (rule.prefixItems) return { kind: "tuple", of: rule.prefixItems.map((each) => shapeOf(root, each)) };
  const of = shapeOf(root, rule.items ?? {});
  if (of.kind === "section") return { kind: "rows" };
  if (of.kind === "choice") return { kind: "set", of: of.of };
  if (rule.form === "range") return { kind: "range", of };
  return rule.form === "months" ? { kind: "months", of } : { kind: "list", of };
};

/** Shapes that take more than one box, and so a line of their own. */
export const wide = (s: Shape): boolean => ["set", "tuple", "list", "range", "months", "options", "rows"].includes(s.kind);

/** How a row's boxes are called, by what they hold: ["along", "across"] of a place. */
export const boxNames = (s: Shape, path: string): string[] => {
  const key = path.split("/").filter((step) => step && !/^\d+$/.test(step)).slice(0, 2).join(".");
  if (s.kind !== "tuple") return [""];
  if (NAMED[key]) return NAMED[key];
  if (s.of.length === 2 && s.of.every((b) => b.kind === "time")) return ["from", "to"];
  return ["along", "across", "share"].slice(0, s.of.length);
};

const NAMED: Record<string, string[]> = {
  "mix.parts": ["component", "share"],
  "rain.depths": ["return-period", "duration", "depth"],
  "planting.horizon": ["bearing", "height"],
};
