/** What is laid over the cells: which figure, which month or minute, and between which ends it is toned. */

import { computed, signal } from "@preact/signals";
import { span } from "../hill/tone";
import type { Cells, Overlays, Parts, Schedule } from "../parts/model";
import { show, type Kind } from "../units";
import { t, tt } from "../words";
import { longUnit } from "../units";
import { parts, units } from "./job";

export interface Shown {
  readonly name: string;
  readonly kind: Kind;
  /** (n,) of the cells; null where cells are told apart by what grows. */
  readonly values: ArrayLike<number> | null;
  readonly low: number;
  readonly high: number;
  readonly weakBelow?: number;
  /** What each value from 0 on stands for, where it is no quantity. */
  readonly kinds?: readonly string[];
  readonly say: (value: number) => string;
  /** Steps that can be played: months, or minutes of the storm. */
  readonly steps: number;
  readonly stepName: (k: number) => string;
}

export interface Layers {
  readonly drip: boolean;
  readonly bars: boolean;
  readonly spots: boolean;
  readonly crowns: boolean;
  /** Metres in the unit that heights are written in. */
  readonly unit: number;
}

const KINDS: Record<string, Kind> = {
  gap: "small", hump: "small", run_slope: "angle", cross_slope: "angle", safety: "plain", sun: "hours", held: "water", litres: "water",
  emitter_flow: "flow", pressure: "head", settled: "soil", saturated: "mass",
};
export const ORDER = ["gap", "hump", "run_slope", "cross_slope", "safety", "sun", "held", "emitter_flow", "pressure", "litres", "settled", "saturated"];
export const SAFE = 1.5; // what the checks of the slope ask for: local ordinances, EM 1110-2-1902 practice

export const overlay = signal("plants");
export const at = signal(6); // step of an overlay that has several
export const layers = signal({ drip: false, bars: true, spots: false, crowns: false });

export const layersNow = computed<Layers>(() => ({ ...layers.value, unit: longUnit(units.value).per }));

/** Overlays that this plan has. */
export const offered = computed(() => {
  const have = parts.value.overlays?.values ?? {};
  const months = parts.value.plants ? ["month"] : [], days = parts.value.schedule?.days ? ["day"] : [];
  return ["plants", "plain", ...ORDER.filter((name) => name in have), ...months, ...days];
});

export const shown = computed<Shown>(() => {
  const p = parts.value, name = offered.value.includes(overlay.value) ? overlay.value : "plants";
  if (name === "month" && p.plants && p.plants.ofCell.length === p.cells?.n) return months(p);
  if (name === "day" && p.schedule && p.cells) return days(p.schedule, p.cells);
  const values = p.overlays?.values[name];
  // figures of another number of cells are of the plan before: they come in a moment
  if (!values || !p.cells || values.length !== p.overlays!.steps[name] * p.cells.n) return still(name);
  return valued(name, p.overlays!, values, p.cells.n);
});

const still = (name: string): Shown => ({ name, kind: "plain", values: null, low: 0, high: 0, say: () => "", steps: 1, stepName: () => "" });

const valued = (name: string, o: Overlays, all: Float32Array | Int32Array, n: number): Shown => {
  const steps = o.steps[name], k = Math.min(at.value, steps - 1), kind = KINDS[name] ?? "plain", system = units.value;
  const values = steps > 1 ? all.subarray(k * n, k * n + n) : all;
  // a step is toned between the ends of all steps, so that playing shows a rise and fall
  const [least, most] = span(all) ?? [0, 1];
  // the darkest is what asks for attention: the least safety, the deepest shade, the most of everything else
  const [low, high] = name === "safety" ? [Math.min(most, 3), least] : name === "sun" ? [most, least] : [least, most];
  return {
    name, kind, values, low, high, steps,
    weakBelow: name === "safety" ? SAFE : undefined,
    say: (v) => show(v, kind, system).replace(/(\u00a0.*|°)$/, ""),
    stepName: (s) => (name === "held" ? t("show.after", { time: show(o.heldTimes[s] ?? 0, "clock", system) }) : tt(`month.${s + 1}`)),
  };
};

/** 0 at rest, 1 in flower, 2 to pick, 3 both. */
const SAID = ["show.rests", "show.blooms", "show.picked", "show.both"] as const;
const months = (p: Parts): Shown => {
  const m = Math.min(at.value, 11) + 1, plants = p.plants!;
  const of = plants.kinds.map((k) => (k.bloom.includes(m) ? 1 : 0) + (k.harvest.includes(m) ? 2 : 0));
  const values = Float32Array.from(plants.ofCell, (k) => (k < 0 ? NaN : of[k]));
  return { ...inWords("month", SAID.map((key) => t(key)), values), steps: 12, stepName: (s) => tt(`month.${s + 1}`) };
};

const inWords = (name: string, kinds: readonly string[], values: ArrayLike<number>): Omit<Shown, "steps" | "stepName"> => ({
  name, kind: "whole", values, kinds, low: 0, high: kinds.length - 1, say: (v) => kinds[v] ?? "–",
});

const NAMED = 3; // tasks of a day that are named beside it
/** How far each row is on a day of the work: 0 not begun, 1 begun, 2 done, 3 worked on that day. */
const days = (schedule: Schedule, cells: Cells): Shown => {
  const day = Math.min(at.value + 1, schedule.days);
  const rows = new Map<number, number>();
  for (const row of new Set(cells.row)) {
    const own = schedule.tasks.filter((k) => k.rows[0] > 0 && k.rows[0] <= row && row <= k.rows[1]);
    const now = own.some((k) => k.day <= day && day <= k.until), begun = own.some((k) => k.day < day);
    rows.set(row, now ? 3 : own.length && own.every((k) => k.until < day) ? 2 : begun ? 1 : 0);
  }
  const stepName = (s: number): string => {
    const names = [...new Set(schedule.tasks.filter((k) => k.day <= s + 1 && s + 1 <= k.until).map((k) => k.name))];
    return `${t("field.day.n", { n: s + 1 })}: ${names.slice(0, NAMED).join(", ")}${names.length > NAMED ? " …" : ""}`;
  };
  const kinds = (["waits", "begun", "done", "now"] as const).map((key) => t(`show.day.${key}`));
  return { ...inWords("day", kinds, Float32Array.from(cells.row, (row) => rows.get(row)!)), steps: schedule.days, stepName };
};
