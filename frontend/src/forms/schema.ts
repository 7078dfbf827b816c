/** The job file's schema as the service gives it: which keys there are, and what each may hold. */

import { signal } from "@preact/signals";
import manual from "virtual:manual";
import { get } from "../service/client";

export interface Rule {
  $ref?: string;
  anyOf?: Rule[];
  type?: string;
  enum?: (string | number)[];
  const?: string;
  title?: string;
  description?: string;
  properties?: Record<string, Rule>;
  items?: Rule;
}

export interface Schema extends Rule {
  $defs?: Record<string, Rule>;
}

/** One key that a form can show. */
export interface Field {
  path: string;
  key: string;
  kind: "text" | "choice" | "flag" | "number" | "list" | "section";
  choices: string[];
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
    at = rule.properties?.[key] ?? (rule.type === "array" ? (rule.items ?? null) : null);
    if (!at) return null;
  }
  return plain(root, at);
};

export const fieldOf = (root: Schema, path: string): Field | null => {
  const rule = ruleAt(root, path);
  if (!rule) return null;
  const key = path.split("/").pop()!;
  const told = manual[path.split("/").slice(1, -1).join(".")]?.[key];
  const { what = "", takes = "", usual = "", example = "" } = told ?? {};
  return { path, key, kind: kindOf(rule), choices: (rule.enum ?? []).map(String), help: what, takes, usual, example };
};

const kindOf = (rule: Rule): Field["kind"] => {
  if (rule.properties) return "section";
  if (rule.enum) return "choice";
  if (rule.type === "boolean") return "flag";
  if (rule.type === "array") return "list";
  if (rule.type === "number" || rule.type === "integer") return "number";
  return "text";
};

/** The value alone of what the manual says is usual: `"24 in" invented` is `24 in`. */
export const usualValue = (usual: string): string => /^"([^"]*)"/.exec(usual)?.[1] ?? (/^(true|false|[-\d.]+)(?= |$)/.exec(usual)?.[1] ?? "");

/** The keys of a section, or the key itself where it holds one value. */
export const fieldsIn = (root: Schema, section: string): Field[] => {
  const path = `/${section}`, rule = ruleAt(root, path);
  if (!rule) return [];
  if (!rule.properties) return [fieldOf(root, path)!];
  return Object.keys(rule.properties).flatMap((key) => fieldOf(root, `${path}/${key}`) ?? []).filter((f) => f.kind !== "section");
};
