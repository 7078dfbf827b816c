/** Keys and values of the job file in words. */

import { shownNumbers } from "../numbers";
import { t, tt } from "../words";

/** A key as words: "max_tilt" is "Max tilt", "cell.depth" is "Cell, depth". */
export const keyWords = (key: string): string => {
  const own = tt(`key.${key}`);
  if (own !== key) return own;
  const name = key.split(/[./]/).filter(Boolean).join(", ").replace(/_/g, " ");
  return name[0].toUpperCase() + name.slice(1);
};

/** "/wish/2/count" is "Wish 3, count". */
export const placeWords = (path: string): string => keyWords(path.replace(/\/(\d+)(?=\/|$)/g, (_all, n: string) => ` ${Number(n) + 1}`));

/** A section as words; some have a name of their own. */
export const sectionWords = (section: string): string => {
  const own = tt(`head.${section}`);
  return own === section ? keyWords(section) : own;
};

/** A value as a person would say it: "12 ft, 20 ft"; tables by what they hold. */
export const said = (value: unknown): string => {
  if (value === undefined || value === null) return "–";
  if (typeof value === "boolean") return t(value ? "form.yes" : "form.no");
  if (Array.isArray(value)) return value.map((v) => said(v)).join(value.some((v) => typeof v === "object") ? "; " : ", ") || t("form.none");
  if (typeof value === "object") return Object.entries(value).map(([k, v]) => `${k.replace(/_/g, " ")} ${said(v)}`).join(", ");
  return shownNumbers(String(value));
};

/** What a table of several is called in its list: what it is of, or its name. */
export const titleOf = (item: Record<string, unknown>): string =>
  [item.cell, item.name ?? item.plant ?? item.task, item.count ?? item.share ?? item.done].filter((v) => v !== undefined).map(said).join(", ") || t("form.none");
