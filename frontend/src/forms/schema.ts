/** The job file's schema as the service gives it: which keys there are, and what each may hold. */

import { signal } from "@preact/signals";
import manual from "virtual:manual";
import { get } from "../service/client";
import { shapeOf, type Shape } from "./shape";

export interface Rule {
  $ref?: string;
  anyOf?: Rule[];
  type?: string;
  enum?: (string | number)[];
  const?: string;
  title?: string;
  description?: string;
  properties?: Record<string, Rule>;
  required?: string[];
  items?: Rule;
  prefixItems?: Rule[];
  default?: unknown;
  format?: string;
  /** What the service adds: the kind of quantity, how else a value is written, words of a table. */
  quantity?: string;
  form?: string;
  known?: string[];
}

export interface Schema extends Rule {
  $defs?: Record<string, Rule>;
}

/** One key that a form can show. */
export interface Field {
  path: string;
  key: string;
  shape: Shape;
  required: boolean;
  /** What holds where it is left out, as the schema has it. */
  standard: unknown;
  help: string;
  takes: string;
  usual: string;
  example: string;
}

export const schema = signal<Schema | null>(null);
let asked = false;

export const loadSchema = (): void => {
  if (asked) return;
  asked = true;
  void get<Schema>("/api/schema/job")
    .then((found) => (schema.value = found))
    .catch(() => (asked = false));
};

/** The rule behind references and "or nothing". */
export const plain = (root: Schema, rule: Rule): Rule => {
  if (rule.$ref) {
    const named = root.$defs?.[rule.$ref.split("/").pop()!] ?? {};
    return plain(root, { ...named, ...rule, $ref: undefined });
  }
  const some = rule.anyOf?.filter((r) => r.type !== "null");
  if (some?.length === 1) return plain(root, { ...some[0], ...rule, anyOf: undefined });
  return rule;
};

/** The rule of a place of the job file; null where the schema has none. */
export const ruleAt = (root: Schema, path: string): Rule | null => {
  let at: Rule | null = root;
  for (const key of path.split("/").filter(Boolean)) {
    const rule = plain(root, at!);
    at = rule.properties?.[key] ?? (rule.type === "array" && /^(\d+|-)$/.test(key) ? (rule.items ?? null) : null);
    if (!at) return null;
  }
  return plain(root, at);
};

/** The keys of the file behind a path, without the numbers of items: ["wish", "count"]. */
const keysOf = (path: string): string[] => path.split("/").filter((step) => step && !/^\d+$/.test(step));

export const fieldOf = (root: Schema, path: string): Field | null => {
  const rule = ruleAt(root, path);
  if (!rule) return null;
  const keys = keysOf(path), key = keys[keys.length - 1];
  const told = manual[keys.slice(0, -1).join(".")]?.[key];
  const { what = "", takes = "", usual = "", example = "" } = told ?? {};
  const above = ruleAt(root, path.slice(0, path.lastIndexOf("/")));
  const required = above?.required?.includes(key) ?? false;
  return { path, key, shape: shapeOf(root, rule), required, standard: rule.default, help: what, takes, usual, example };
};

/** The value alone of what the manual says is usual: `"24 in" invented` is `24 in`. */
export const usualValue = (usual: string): string => {
  const word = /^"([^"]*)"/.exec(usual)?.[1] ?? /^(true|false)(?= |$)/.exec(usual)?.[1];
  if (word !== undefined) return word;
  const list = /^\[.*?\](?= |$)/.exec(usual)?.[0];
  if (list) return bare(list);
  return /^-?[\d.]+(?= |$)/.exec(usual)?.[0] ?? "";
};

/** What the manual writes as a job file does, without the file's marks: `["a", "b"]` is `a, b`. */
export const bare = (text: string): string =>
  text.replace(/""|\[\]/g, "").replace(/"([^"]*)"/g, "$1").replace(/\[+([^[\]]*)\]+/g, "$1").replace(/\]?, \[/g, "; ").replace(/\[|\]/g, "").trim();

/** The keys of a section, or of one table of several; the key itself where it holds one value. */
export const fieldsIn = (root: Schema, path: string): Field[] => {
  const rule = ruleAt(root, path);
  if (!rule) return [];
  if (!rule.properties) return [fieldOf(root, path)!];
  return Object.keys(rule.properties).flatMap((key) => fieldOf(root, `${path}/${key}`) ?? []).filter((f) => f.shape.kind !== "section");
};
