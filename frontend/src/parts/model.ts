/** What the page holds of a plan. SI throughout; NaN is "not known". n cells. */

import type { Contours } from "../hill/contours";
import type { Heights } from "../hill/heights";
import type { Point } from "../hill/view";

export type Verdict = "clear" | "with measures" | "stop" | "not yet";

export interface Answer {
  number: number;
  question: string;
  short: string;
  verdict: Verdict;
  lines: string[];
  figures: string[];
  caution: string;
}

export interface Figure {
  id: string;
  title: string;
  result: string;
}

/** A place that cells keep off: a circle, or a ring of corners. */
export interface KeepOff {
  name: string;
  /** Which [[exclusion]] of the job; null where it comes from the survey. */
  index: number | null;
  ring: Point[];
  centre?: Point;
  radius?: number;
}

export interface Ground {
  outline: Float64Array; // x, y
  contours: Contours;
  heights: Heights;
  spots: { xy: Float32Array; start: Uint32Array };
  /** Corners of the outline as the job lists them; null where it comes from elsewhere. */
  corners: Point[] | null;
  exclusions: KeepOff[];
  topString: Point[] | null;
  baseLine: Point[] | null;
  tap: Point | null;
  outlet: Point | null;
  /** Where one comes in: the walking path begins at the cell nearest to each. */
  entries: Point[];
  north: number; // compass bearing of +y [rad]
  note: string;
}

export interface Cells {
  n: number;
  corners: Float32Array; // (n, 4, 3)
  row: Int32Array;
  number: Int32Array;
  trimmed: Uint8Array;
  anchored: Uint8Array;
  topString: Float64Array; // x, y, z
  depth: number; // of the walls [m]
  count: number;
  bound: number;
  seams: { at: number[]; why: string }[];
  leftOut: { corners: number[][]; why: string }[];
}

export interface Overlays {
  values: Record<string, Float32Array | Int32Array>;
  /** How many steps (months, minutes of a storm) an overlay has. */
  steps: Record<string, number>;
  heldTimes: number[]; // [s]
  hydrozones: string[];
  mixes: string[];
}

export interface PlantKind {
  id: string;
  code: string;
  common: string;
  botanical: string;
  kind: string;
  spread: number;
  height: number;
  count: number;
  bloom: number[];
  harvest: number[];
  evergreen: boolean;
  mix: string;
}

export interface Plants {
  kinds: PlantKind[];
  /** (n,) 0 open, 1 walking, 2 planted. */
  use: Uint8Array;
  ofCell: Int32Array;
  latitude: number | null; // [rad]
  group: Int32Array;
  centre: Float32Array; // x, y, z
  cells: Int32Array;
  start: Uint32Array;
  unmet: { what: string; why: string; must: boolean }[];
}

export interface Bars {
  place: Float32Array; // x, y, z
  cell: Int32Array;
  bar: number;
  length: number;
  testLoad: number;
  stakedRows: number[];
  circles: Circle[];
}

/** The slip circle with the least factor on one section. */
export interface Circle {
  name: string;
  state: string;
  loaded: boolean;
  factor: number;
  line: number[][]; // x, y, z of the section on the ground, top to bottom
  arc: number[][]; // level distance from the start of the line, and height
  depth: number;
}

export interface Drain {
  key: string;
  name: string;
  why: string;
  line: Point[];
  lead_line: Point[];
  flow: number;
  length: number;
}

export interface Drip {
  line: Float32Array; // x, y, z to x, y, z
  part: Uint8Array; // 0 tap, 1 header, 2 lateral, 3 small
  valve: Int32Array;
  flow: Float32Array;
  pressure: Float32Array;
  emitter: Float32Array;
  emitterCell: Int32Array;
  emitterFlow: Float32Array;
  emitterPressure: Float32Array;
  emitterLateral: Int32Array;
  emitterValve: Int32Array;
  emitterDistance: Float32Array;
  valves: { number: number; zone: string; rows: [number, number]; flow: number; regulator: number; run: number; uniformity: number }[];
  trouble: { where: string; what: string; right: string }[];
}

export interface Task {
  id: number;
  name: string;
  work: string;
  rows: [number, number];
  day: number;
  until: number;
  people: number;
}

export interface Schedule {
  days: number;
  hours: number;
  tasks: Task[];
  dates: string[];
}

export interface SetOutLine {
  name: string;
  row: number;
  cells: number;
  first: number;
  from_string: number;
  along: number;
  start: number[];
  end: number[];
  tape_a: number[];
  tape_b: number[];
}

export interface Parts {
  answers?: { answers: Answer[]; warnings: string[] };
  figures?: { figures: Figure[] };
  ground?: Ground;
  cells?: Cells;
  overlays?: Overlays;
  plants?: Plants;
  bars?: Bars;
  drains?: { drains: Drain[] };
  drip?: Drip;
  schedule?: Schedule;
  setout?: { lines: SetOutLine[]; tolerance: number };
  takeoff?: { lines: { item: string; count: number; unit: string; each: string; note: string }[] };
}

export type PartName = keyof Parts;

/** What each cell is for. Until the planting of these very cells is known, all are open. */
export const usesOf = ({ cells, plants }: Parts): Uint8Array =>
  plants && plants.use.length === cells?.n ? plants.use : new Uint8Array(cells?.n ?? 0);

/** The plant of each cell, -1 for none, or while the planting is still of other cells. */
export const plantOf = ({ cells, plants }: Parts, i: number): PlantKind | null =>
  plants && plants.ofCell.length === cells?.n && plants.ofCell[i] >= 0 ? plants.kinds[plants.ofCell[i]] : null;
