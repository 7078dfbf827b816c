/** The service's types under the page's names; see api.ts, which is made from the service itself. */

import type { JobState as State, NumberOut, PriceBookOut, ProblemOut, RevisionOut, Why } from "./api";

export type { Change, Compared, Example, FileState, JobHead, Jobs, Json, Made, Palette, PlanHead, PriceRow, Revisions, Saved, SheetSet } from "./api";
export type JobState = State;
export type Problem = ProblemOut;
export type Revision = RevisionOut;
export type PriceBook = PriceBookOut;
export type Working = Why;
export type Shown = NumberOut;
export type System = State["units"];
