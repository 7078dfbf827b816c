/** Things on the plan that can be moved: where their handles are, and what a move means for the job file.
 *
 * Each is plain functions of the parts: a drag shows `draft`, and only where it ends the job is
 * changed. A place {"local": [x, y]} is written by the service as the job writes places.
 */

import type { Parts } from "../parts/model";
import type { Change, Json, System } from "../service/types";
import { longUnit } from "../units";
import { t } from "../words";
import { edgeOf, inRing } from "./near";
import type { Point } from "./view";

export interface Moved {
  summary: string;
  patch: Change[];
}

export interface Draft {
  points: Point[];
  closed: boolean;
}

/** What a tool must know besides the plan. */
export interface At {
  parts: Parts;
  job: { [key: string]: any };
  units: System;
}

export interface Tool {
  handles(at: At): Point[];
  draft(at: At, handle: number, to: Point): Draft;
  drop(at: At, handle: number, to: Point): Moved | null;
  /** A press on no handle: adds something there, if it can. */
  press?(at: At, to: Point, reach: number): Moved | null;
  remove?(at: At, handle: number): Moved | null;
}

export type ToolName = "outline" | "exclusion" | "string" | "tap" | "entry";

const local = ([x, y]: Point): Json => ({ local: [x, y] });
const pairs = (flat: ArrayLike<number>, stride: number): Point[] =>
  Array.from({ length: flat.length / stride }, (_, i): Point => [flat[i * stride], flat[i * stride + 1]]);
const swapped = (points: Point[], i: number, to: Point): Point[] => points.map((p, k) => (k === i ? to : p));

/** As the job writes a length: to a hundredth of a foot, or to a millimetre. */
export const lengthText = (metres: number, units: System): string => {
  const { unit, per } = longUnit(units);
  return `${Number((metres / per).toFixed(units === "us" ? 2 : 3))} ${unit}`;
};

const corners = ({ parts: { ground } }: At): Point[] => (ground ? (ground.corners ?? pairs(ground.outline, 2)) : []);

/** What else a file with the outline may hold: it stays, though the file is let go. */
const keptOf = (job: At["job"], { ground }: Parts): Change[] => {
  const found: Change[] = [], keepOff = (ground?.exclusions ?? []).filter((e) => e.index === null);
  const tables = keepOff.map((e): Json => ({ name: e.name, corners: e.ring.map(local) }));
  if (job.exclusion) found.push(...tables.map((value): Change => ({ op: "add", path: "/exclusion/-", value })));
  else if (tables.length) found.push({ op: "add", path: "/exclusion", value: tables });
  if (!ground?.topString?.length || job.layout?.string) return found;
  if (!job.layout) found.push({ op: "add", path: "/layout", value: {} });
  return [...found, { op: "add", path: "/layout/string", value: ground.topString.map(local) }];
};

/** The outline as a list of corners of the job, whatever it came from. */
const rewritten = ({ job, parts }: At, points: Point[]): Change[] => {
  const places = points.map(local);
  if (!job.outline) return [{ op: "add", path: "/outline", value: { corners: places } }];
  const drop: Change[] = "file" in job.outline ? [...keptOf(job, parts), { op: "remove", path: "/outline/file" }] : [];
  return [...drop, { op: job.outline.corners ? "replace" : "add", path: "/outline/corners", value: places }];
};

const outline: Tool = {
  handles: corners,
  draft: (at, handle, to) => ({ points: swapped(corners(at), handle, to), closed: true }),
  drop: (at, handle, to) => {
    const own = at.parts.ground?.corners;
    const patch: Change[] = own
      ? [{ op: "replace", path: `/outline/corners/${handle}`, value: local(to) }]
      : rewritten(at, swapped(corners(at), handle, to));
    return { summary: t("edit.outline", { n: handle + 1 }), patch };
  },
  press: (at, to, reach) => {
    const { after, distance } = edgeOf(corners(at), to);
    if (distance > reach) return null;
    const own = at.parts.ground?.corners;
    const patch: Change[] = own
      ? [{ op: "add", path: `/outline/corners/${after + 1}`, value: local(to) }]
      : rewritten(at, corners(at).toSpliced(after + 1, 0, to));
    return { summary: t("edit.outline.add", { n: after + 2 }), patch };
  },
  remove: (at, handle) => {
    if (corners(at).length <= 3) return null;
    const own = at.parts.ground?.corners;
    const patch: Change[] = own
      ? [{ op: "remove", path: `/outline/corners/${handle}` }]
      : rewritten(at, corners(at).toSpliced(handle, 1));
    return { summary: t("edit.outline.remove", { n: handle + 1 }), patch };
  },
};

/** Handles of the places to keep off, in one list: middle and rim of a circle, corners of a ring. */
interface Grip {
  place: Point;
  exclusion: number; // in the parts
  what: "centre" | "rim" | number;
}

const grips = ({ parts: { ground } }: At): Grip[] =>
  (ground?.exclusions ?? []).flatMap((e, exclusion): Grip[] => {
    if (e.index === null) return [];
    if (!e.centre || !e.radius) return e.ring.map((place, what) => ({ place, exclusion, what }));
    const rim: Point = [e.centre[0] + e.radius, e.centre[1]];
    return [{ place: e.centre, exclusion, what: "centre" }, { place: rim, exclusion, what: "rim" }];
  });

const circle = (centre: Point, radius: number): Point[] =>
  Array.from({ length: 32 }, (_, k): Point => {
    const a = (k / 32) * 2 * Math.PI;
    return [centre[0] + radius * Math.cos(a), centre[1] + radius * Math.sin(a)];
  });

const exclusion: Tool = {
  handles: (at) => grips(at).map((g) => g.place),
  draft: (at, handle, to) => {
    const grip = grips(at)[handle], e = at.parts.ground!.exclusions[grip.exclusion];
    if (grip.what === "centre") return { points: circle(to, e.radius!), closed: true };
    if (grip.what === "rim") return { points: circle(e.centre!, Math.hypot(to[0] - e.centre![0], to[1] - e.centre![1])), closed: true };
    return { points: swapped(e.ring, grip.what, to), closed: true };
  },
  drop: (at, handle, to) => {
    const grip = grips(at)[handle], e = at.parts.ground!.exclusions[grip.exclusion], path = `/exclusion/${e.index}`;
    const summary = t("edit.exclusion", { name: e.name });
    if (grip.what === "centre") return { summary, patch: [{ op: "replace", path: `${path}/centre`, value: local(to) }] };
    if (grip.what !== "rim") return { summary, patch: [{ op: "replace", path: `${path}/corners/${grip.what}`, value: local(to) }] };
    const radius = Math.hypot(to[0] - e.centre![0], to[1] - e.centre![1]);
    return { summary, patch: [{ op: "replace", path: `${path}/radius`, value: lengthText(radius, at.units) }] };
  },
  press: (at, to) => {
    const ground = at.parts.ground;
    if (!ground || !inRing(pairs(ground.outline, 2), to) || ground.exclusions.some((e) => inRing(e.ring, to))) return null;
    const name = t("tool.new-exclusion", { n: ground.exclusions.length + 1 });
    const value: Json = { name, centre: local(to), radius: at.units === "us" ? "2 ft" : "0.6 m" };
    const add: Change = at.job.exclusion ? { op: "add", path: "/exclusion/-", value } : { op: "add", path: "/exclusion", value: [value] };
    return { summary: t("edit.exclusion.add", { name }), patch: [add] };
  },
  remove: (at, handle) => {
    const e = at.parts.ground!.exclusions[grips(at)[handle].exclusion];
    return { summary: t("edit.exclusion.remove", { name: e.name }), patch: [{ op: "remove", path: `/exclusion/${e.index}` }] };
  },
};

/** The string as the job has it, or else the ends of the line that row 1 hangs on. */
const stringOf = ({ parts: { ground, cells } }: At): Point[] => {
  if (ground?.topString?.length) return ground.topString;
  const all = cells ? pairs(cells.topString, 3) : [];
  return all.length ? [all[0], all[all.length - 1]] : [];
};

const string: Tool = {
  handles: stringOf,
  draft: (at, handle, to) => ({ points: swapped(stringOf(at), handle, to), closed: false }),
  drop: (at, handle, to) => {
    const value = swapped(stringOf(at), handle, to).map(local), patch: Change[] = [];
    if (!at.job.layout) patch.push({ op: "add", path: "/layout", value: {} });
    patch.push({ op: at.job.layout?.string ? "replace" : "add", path: "/layout/string", value });
    // whoever moves the string wants row 1 to follow it
    if (at.job.layout?.top !== "string") patch.push({ op: at.job.layout?.top ? "replace" : "add", path: "/layout/top", value: "string" });
    return { summary: t("edit.string"), patch };
  },
};

const tap: Tool = {
  handles: ({ parts: { ground, drip } }) => (ground?.tap ? [ground.tap] : drip?.line.length ? [[drip.line[0], drip.line[1]]] : []),
  draft: (_at, _handle, to) => ({ points: [to], closed: false }),
  drop: (at, _handle, to) => {
    const patch: Change[] = at.job.supply ? [] : [{ op: "add", path: "/supply", value: {} }];
    patch.push({ op: at.job.supply?.place ? "replace" : "add", path: "/supply/place", value: local(to) });
    return { summary: t("edit.tap"), patch };
  },
  press: (at, to) => tap.drop(at, 0, to),
};

/** Where the walking path comes in, and goes out where there are several. */
const entry: Tool = {
  handles: ({ parts: { ground } }) => ground?.entries ?? [],
  draft: (_at, _handle, to) => ({ points: circle(to, 0.3), closed: true }),
  drop: (_at, handle, to) => ({ summary: t("edit.entry", { n: handle + 1 }), patch: [{ op: "replace", path: `/planting/entry/${handle}`, value: local(to) }] }),
  press: (at, to) => {
    const held = (at.job.planting?.entry as unknown[] | undefined)?.length ?? 0;
    const patch: Change[] = at.job.planting ? [] : [{ op: "add", path: "/planting", value: {} }];
    patch.push(held ? { op: "add", path: "/planting/entry/-", value: local(to) } : { op: "add", path: "/planting/entry", value: [local(to)] });
    return { summary: t("edit.entry.add", { n: held + 1 }), patch };
  },
  remove: (at, handle) => {
    const last = (at.job.planting?.entry?.length ?? 0) <= 1;
    return { summary: t("edit.entry.remove", { n: handle + 1 }), patch: [{ op: "remove", path: last ? "/planting/entry" : `/planting/entry/${handle}` }] };
  },
};

export const TOOLS: Record<ToolName, Tool> = { outline, exclusion, string, tap, entry };

/** Decide what one cell is for: the plan's choice, open, a step, or a plant. */
export const decided = (job: { [key: string]: any }, row: number, number: number, to: { use: "free" | "open" | "walk" } | { plant: string }): Change[] => {
  const cell = `R${row}-${number}`, patch: Change[] = [], planting = job.planting;
  // the file's own writing of a cell may differ in case or zeros
  const same = (written: unknown): boolean => String(written).toUpperCase().replace(/^R0*/, "R").replace(/-0+(?=\d)/, "-") === cell;
  for (const key of ["walk", "open"] as const) {
    const at = (planting?.[key] ?? []).findIndex(same);
    if (at >= 0) patch.push({ op: "remove", path: `/planting/${key}/${at}` });
  }
  const pin = (job.pin ?? []).findIndex((p: any) => same(p.cell));
  if (pin >= 0) patch.push({ op: "remove", path: `/pin/${pin}` });
  if ("plant" in to) {
    const value: Json = { cell, plant: to.plant };
    const left = (job.pin?.length ?? 0) - (pin >= 0 ? 1 : 0);
    patch.push(job.pin && left > 0 ? { op: "add", path: "/pin/-", value } : { op: "add", path: "/pin", value: [value] });
  } else if (to.use !== "free") {
    if (!planting) patch.push({ op: "add", path: "/planting", value: {} });
    patch.push(planting?.[to.use] ? { op: "add", path: `/planting/${to.use}/-`, value: cell } : { op: "add", path: `/planting/${to.use}`, value: [cell] });
  }
  return patch;
};
