/** From packed bytes to what the page holds. */

import type { Bars, Cells, Drip, Ground, Overlays, PartName, Plants } from "./model";
import type { Packed } from "./packed";

type Reader = (p: Packed) => unknown;
// the header says what each array is; these casts say what the page takes it for
const f4 = (p: Packed, name: string): Float32Array => p.arrays[name] as Float32Array;
const i4 = (p: Packed, name: string): Int32Array => p.arrays[name] as Int32Array;
const u4 = (p: Packed, name: string): Uint32Array => p.arrays[name] as Uint32Array;
const u1 = (p: Packed, name: string): Uint8Array => p.arrays[name] as Uint8Array;
const f8 = (p: Packed, name: string): Float64Array => p.arrays[name] as Float64Array;

const ground = (p: Packed): Ground => {
  const m = p.meta as Record<string, any>;
  const [ny, nx] = p.shapes.grid;
  return {
    outline: f8(p, "outline"),
    contours: { xy: f4(p, "contour_xy"), start: u4(p, "contour_start"), level: f4(p, "contour_level"), interval: m.interval },
    heights: { ...m.grid, nx, ny, z: f4(p, "grid") },
    spots: { xy: f4(p, "spots_xy"), start: u4(p, "spots_start") },
    corners: m.corners,
    exclusions: m.exclusions,
    topString: m.top_string,
    baseLine: m.base_line,
    tap: m.tap,
    outlet: m.outlet,
    entries: m.entries ?? [],
    north: m.north,
    note: m.crs,
  };
};

const cells = (p: Packed): Cells => {
  const m = p.meta as Record<string, any>;
  return {
    n: p.shapes.row[0],
    corners: f4(p, "corners"),
    row: i4(p, "row"),
    number: i4(p, "number"),
    trimmed: u1(p, "trimmed"),
    anchored: u1(p, "anchored"),
    topString: f8(p, "top_string"),
    depth: m.cell.depth,
    count: m.count,
    bound: m.bound,
    seams: m.seams,
    leftOut: m.left_out,
  };
};

const overlays = (p: Packed): Overlays => {
  const m = p.meta as Record<string, any>;
  const steps = Object.fromEntries(Object.entries(p.shapes).map(([k, s]) => [k, s.length > 1 ? s[0] : 1]));
  return {
    values: p.arrays as Overlays["values"],
    steps,
    heldTimes: m.held_times ?? [],
    hydrozones: m.hydrozones ?? [],
    mixes: m.mixes ?? [],
  };
};

const plants = (p: Packed): Plants => {
  const m = p.meta as Record<string, any>;
  return {
    kinds: m.plants,
    use: u1(p, "use"),
    latitude: m.latitude ?? null,
    ofCell: i4(p, "cell_plant"),
    group: i4(p, "group_plant"),
    centre: f4(p, "group_centre"),
    cells: i4(p, "group_cells"),
    start: u4(p, "group_start"),
    unmet: m.unmet ?? [],
  };
};

const bars = (p: Packed): Bars => {
  const m = p.meta as Record<string, any>;
  return { place: f4(p, "place"), cell: i4(p, "cell"), bar: m.bar, length: m.length, testLoad: m.test_load, stakedRows: m.staked_rows, circles: m.circles ?? [] };
};

const drip = (p: Packed): Drip => {
  const m = p.meta as Record<string, any>;
  return {
    line: f4(p, "line"),
    part: u1(p, "part"),
    valve: i4(p, "valve"),
    flow: f4(p, "flow"),
    pressure: f4(p, "pressure"),
    emitter: f4(p, "emitter"),
    emitterCell: i4(p, "emitter_cell"),
    emitterFlow: f4(p, "emitter_flow"),
    emitterPressure: f4(p, "emitter_pressure"),
    emitterLateral: i4(p, "emitter_lateral"),
    emitterValve: i4(p, "emitter_valve"),
    emitterDistance: f4(p, "emitter_distance"),
    valves: m.valves,
    trouble: m.trouble,
  };
};

export const READERS: Partial<Record<PartName, Reader>> = { ground, cells, overlays, plants, bars, drip };

/** Parts that the page knows, in the order in which they are asked for; others are left alone. */
const KNOWN: readonly PartName[] = ["ground", "cells", "plants", "answers", "overlays", "bars", "drip", "drains", "schedule", "setout", "takeoff", "figures"];

/** The part that a named piece belongs to: overlays come in several, "overlays.sun" and so on. */
export const partOf = (name: string): PartName | null => KNOWN.find((known) => known === name.split(".")[0]) ?? null;

/** Overlays that were told before, with those of a new piece in their place. */
export const laidOver = (before: Overlays | undefined, piece: Overlays): Overlays => ({
  values: { ...before?.values, ...piece.values },
  steps: { ...before?.steps, ...piece.steps },
  heldTimes: piece.heldTimes.length ? piece.heldTimes : (before?.heldTimes ?? []),
  hydrozones: piece.hydrozones.length ? piece.hydrozones : (before?.hydrozones ?? []),
  mixes: piece.mixes.length ? piece.mixes : (before?.mixes ?? []),
});
