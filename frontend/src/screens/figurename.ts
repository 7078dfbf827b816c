/** What a figure is called: by what it is of, where the title of its method does not say so. */

import { t, tt, type Key } from "../words";

const KNOWN = [
  "terrain.slope.mean", "terrain.slope.steepest", "terrain.aspect", "terrain.area.slope", "terrain.error",
  "stability.slope.bare.found", "stability.slope.bare.soaked", "stability.slope.cells.soaked", "stability.slope.chance",
  "stability.slope.p10", "stability.slope.p50", "stability.slope.p90",
  "stability.pull.empty.metre", "stability.pull.dry.metre", "stability.pull.soaked.metre", "stability.bars.at_cell", "stability.wall.pressure",
  "runoff.depth.bare", "runoff.depth.built", "runoff.depth.grown", "runoff.peak.bare", "runoff.peak.built", "runoff.peak.grown",
  "runoff.soil.bare", "runoff.soil.built", "runoff.soil.grown",
] as const;
const WORDS = new Map<string, Key>(KNOWN.map((id) => [id, `figure.${id}`]));

/** @param of what follows the room in a figure's id, as words. */
const spelled = (id: string): string => id.slice(id.indexOf(".") + 1).replace(/[._-]/g, " ");

/** Name of a figure, and the title of its method where that says more. `alike`: other figures have the same title. */
export const figureName = (id: string, title: string, alike: boolean): { name: string; more: string } => {
  const known = WORDS.get(id);
  if (known) return { name: t(known), more: title };
  const circle = /^stability\.circle\.(\w+)\.(\w+)\.(\w+)$/.exec(id);
  if (circle) return { name: t("figure.circle", { section: circle[1], state: circle[2], method: circle[3][0].toUpperCase() + circle[3].slice(1) }), more: title };
  const valve = /^irrigation\.valve(\d+)\./.exec(id);
  if (valve) return { name: t("figure.valve", { n: valve[1], title: title[0].toLowerCase() + title.slice(1) }), more: "" };
  const ditch = /^drains\.([\w-]+)\.(depth|velocity)$/.exec(id);
  if (ditch) return { name: tt(`figure.ditch.${ditch[2]}`, { drain: ditch[1] }), more: title };
  return alike ? { name: `${title}: ${spelled(id)}`, more: "" } : { name: title, more: "" };
};
