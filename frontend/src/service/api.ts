/** What the service takes and gives: made by `make page-types`, not written by hand. */

export type Json = string | number | boolean | null | Json[] | { [key: string]: Json };

/** One of the ten answers that is not the same; null where a revision was not worked out. */
export interface AnswerChange {
  number: number;
  question: string;
  before: string | null;
  verdict_before: string | null;
  after: string | null;
  verdict_after: string | null;
}

/** From which revision undo or redo was asked for. */
export interface Base {
  base?: number | null;
}

/** Whether there was a plan to stop. */
export interface Cancelled {
  cancelled: boolean;
}

/** One step of a JSON Patch (RFC 6902) on the job file. */
export interface Change {
  op: "add" | "remove" | "replace" | "test";
  path: string;
  /** As the job file holds it, as in "24 in". {"local": [x, y]} stands for a place in metres of the plan's frame; it is written as the job writes places. */
  value?: Json;
}

/** One key that two people changed in two ways. */
export interface Clash {
  path: string;
  base: Json;
  mine: Json;
  theirs: Json;
}

/** An edit that lost against another: kept aside as a revision of its own. */
export interface Clashes {
  problems: ProblemOut[];
  side: number;
  head: number;
  clashes: Clash[];
}

/** Two revisions side by side. */
export interface Compared {
  a: number;
  b: number;
  changes: KeyChange[];
  /** Other files that are not the same. */
  files: string[];
  answers: AnswerChange[];
}

/** A cell on a section: its base from the uphill end, along the line and height in metres. */
export interface CutCell {
  row: number;
  number: number;
  base: number[][];
}

/** A change of a job. */
export interface Edit {
  /** The revision that it was made from. */
  base: number;
  patch: Change[];
  summary?: string;
  /** The sender's own name of it: kept once if sent twice. */
  id?: string;
  by?: string;
}

/** An invented job that can be opened at once. */
export interface Example {
  key: string;
  name: string;
  about: string;
}

/** The file that the service was started with, beside the job as it stands. */
export interface FileState {
  name: string;
  folder: string;
  /** Files that are not the same on the disk. */
  differs: string[];
  /** Those of them that were changed on the disk since. */
  changed: string[];
  /** Of the job file: before on the disk, after here. */
  changes: KeyChange[];
  /** Digest of the file on the disk. */
  seen: string;
}

/** A job in the list. */
export interface JobHead {
  id: string;
  name: string;
  revision: number;
  /** When it was changed last, UTC. */
  saved: string;
  archived: boolean;
}

/** A job as it stands. */
export interface JobState {
  id: string;
  name: string;
  units: "us" | "metric";
  revision: number;
  saved: string;
  archived: boolean;
  /** What undo would take back; null: nothing. */
  undo: string | null;
  /** What redo would bring back; null: nothing. */
  redo: string | null;
  /** The job file's own keys and values, as written. */
  job: { [key: string]: Json };
  files: string[];
  /** The file that the service was started with, if this. */
  file: string | null;
  /** Of the newest plan. */
  problems: ProblemOut[];
}

/** Every job, and what to start from. */
export interface Jobs {
  jobs: JobHead[];
  examples: Example[];
}

/** One key that is not the same in two revisions; null stands for "not there". */
export interface KeyChange {
  path: string;
  before: Json;
  after: Json;
}

/** One stretch of a tape section. */
export interface Leg {
  distance: string;
  angle: string;
}

/** A job that was made. */
export interface Made {
  id: string;
  revision: number;
}

/** A name for a revision; "" takes it away. */
export interface Named {
  revision: number;
  name: string;
}

/** A job to start: from an example, from another job, or from tape sections as typed. */
export interface NewJob {
  example?: string | null;
  copy_of?: string | null;
  name?: string;
  units?: "us" | "metric";
  sections?: TapeSection[] | null;
  outline?: [string, string][] | null;
}

/** A value of a working. */
export interface NumberOut {
  name: string;
  value: number | string | boolean | null;
  unit: string;
  shown: string;
}

/** What somebody else changed meanwhile. */
export interface Other {
  number: number;
  summary: string;
  by: string;
}

/** What may be wished for: plants, and the kinds and uses that stand for several. */
export interface Palette {
  plants: PlantOut[];
  kinds: string[];
  uses: string[];
}

/** Where a part of a plan is. */
export interface PartHead {
  digest: string;
  url: string;
}

/** The newest plan, as far as it stands. */
export interface PlanHead {
  revision: number;
  units: "us" | "metric";
  state: "none" | "working" | "done" | "problems" | "cancelled";
  stages: string[];
  parts: { [key: string]: PartHead };
  problems: ProblemOut[];
  /** How long it took. */
  ms: number | null;
  /** Listen to events from after this one. */
  at: string;
}

/** A plant that a job can name. */
export interface PlantOut {
  id: string;
  common: string;
  botanical: string;
  kind: string;
}

/** The price book to fill in. */
export interface PriceBookOut {
  file: string;
  rows: PriceRow[];
}

/** One price, as the price book writes it; blank is not known. */
export interface PriceRow {
  kind?: string;
  item: string;
  unit?: string;
  pack?: string;
  low?: string;
  price?: string;
  high?: string;
  currency?: string;
  date?: string;
  good_until?: string;
  supplier?: string;
  note?: string;
}

/** One thing wrong: where it stands, what is wrong there, what would be right. */
export interface ProblemOut {
  where: string;
  what: string;
  right: string;
}

/** Why the service said no. */
export interface Problems {
  problems: ProblemOut[];
}

/** A revision of a job. */
export interface RevisionOut {
  number: number;
  parent: number | null;
  saved: string;
  by: string;
  summary: string;
  name: string | null;
  aside: boolean;
}

/** Every revision of a job, the newest first. */
export interface Revisions {
  head: number;
  revisions: RevisionOut[];
}

/** Which revision goes into the file, and over which version of it. */
export interface SaveFile {
  base: number;
  /** `seen` of the file. */
  over?: string | null;
}

/** A price book that was filled in on the page. */
export interface SavePrices {
  base: number;
  rows: PriceRow[];
}

/** A change that is on the disk. */
export interface Saved {
  revision: number;
  /** Changes of others since `base`, kept too. */
  others: Other[];
}

/** The hill along a line, in metres. */
export interface Section {
  length: number;
  distance: number[];
  ground: (number | null)[];
  graded: (number | null)[];
  cells: CutCell[];
  /** Of a cell. */
  depth: number;
}

/** One file of the set. */
export interface SheetFile {
  number: number;
  name: string;
}

/** The set of papers that was made last. */
export interface SheetSet {
  revision: number;
  files: SheetFile[];
  making: boolean;
}

/** One tape section up or down the slope. */
export interface TapeSection {
  station: string;
  height?: string;
  legs: Leg[];
}

/** One mark on a list in the field. */
export interface TickIn {
  uuid: string;
  key: string;
  done: boolean;
  at: string;
  device?: string;
}

/** One mark as it is kept. */
export interface TickOut {
  uuid: string;
  key: string;
  done: boolean;
  at: string;
  device: string;
}

/** Every mark of every device, and where each key stands by them. */
export interface Ticks {
  ticks: TickOut[];
  done: { [key: string]: boolean };
}

/** Marks that a device made. */
export interface TicksIn {
  ticks: TickIn[];
}

/** A revision to go on from. */
export interface Which {
  revision: number;
}

/** How a figure came about. */
export interface Why {
  figure: string;
  title: string;
  equation: string;
  given: NumberOut[];
  result: NumberOut;
  source: string;
  note: string;
  method: string;
  /** Where the method holds. */
  range: string;
  /** Sections of the job that drive it. */
  inputs: string[];
}
