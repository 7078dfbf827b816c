/** What is laid over the cells: which figure, which month or minute, and between which ends it is toned. */

import { computed, signal } from "@preact/signals";
import { span } from "../hill/tone";
import type { Overlays, Parts } from "../parts/model";
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
  emitter_flow: "flow", pressure: "head", settled: "soil", saturated: "mass", day: "whole",
};
export const ORDER = ["gap", "hump", "run_slope", "cross_slope", "safety", "sun", "held", "emitter_flow", "pressure", "litres", "settled", "saturated", "day"];
export const SAFE = 1.5; // what the checks of the slope ask for: local ordinances, EM 1110-2-1902 practice

export const overlay = signal("plants");
export const at = signal(6); // step of an overlay that has several
export const layers = signal({ drip: false, bars: true, spots: false, crowns: false });

export const layersNow = computed<Layers>(() => ({ ...layers.value, unit: longUnit(units.value).per }));

/** Overlays that this plan has. */
export const offered = computed(() => {
  const have = parts.value.overlays?.values ?? {};
  const months = parts.value.plants ? ["month"] : [];
  return ["plants", "plain", ...ORDER.filter((name) => name in have), ...months];
});

export const shown = computed<Shown>(() => {
  const p = parts.value, name = offered.value.includes(overlay.value) ? overlay.value : "plants";
  if (name === "month" && p.plants && p.plants.ofCell.length === p.cells?.n) return months(p);
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
  // the darkest is what asks for attention: the least safety, the most of everything else
  const [low, high] = name === "safety" ? [Math.min(most, 3), least] : [least, most];
  return {
    name, kind, values, low, high, steps,
    weakBelow: name === "safety" ? SAFE : undefined,
    say: (v) => (name === "day" ? (v > 0 ? t("show.day.n", { n: v }) : "–") : show(v, kind, system).replace(/\u00a0.*$/, "")),
    stepName: (s) => (name === "held" ? t("show.after", { time: show(o.heldTimes[s] ?? 0, "clock", system) }) : tt(`month.${s + 1}`)),
  };
};

/** 0 at rest, 1 in flower, 2 to pick, 3 both. */
const SAID = ["show.rests", "show.blooms", "show.picked", "show.both"] as const;
const months = (p: Parts): Shown => {
  const m = Math.min(at.value, 11) + 1, plants = p.plants!;
  const of = plants.kinds.map((k) => (k.bloom.includes(m) ? 1 : 0) + (k.harvest.includes(m) ? 2 : 0));
  const values = Float32Array.from(plants.ofCell, (k) => (k < 0 ? NaN : of[k]));
  return { name: "month", kind: "whole", values, low: 0, high: 3, steps: 12, say: (v) => (Number.isFinite(v) ? t(SAID[v]) : "–"), stepName: (s) => tt(`month.${s + 1}`) };
};
