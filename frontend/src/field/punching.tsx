import { parts, units } from "../state/job";
import type { Drip } from "../parts/model";
import { show } from "../units";
import { t } from "../words";
import { Tick, type Marked } from "./field";

/** Holes of each lateral, in the order in which one walks along it. */
export const laterals = (drip: Drip): { valve: number; row: number; holes: number[] }[] => {
  const found = new Map<string, { valve: number; row: number; holes: number[] }>();
  drip.emitterCell.forEach((_, i) => {
    const valve = drip.emitterValve[i], row = drip.emitterLateral[i], key = `${row} ${valve}`;
    if (!found.has(key)) found.set(key, { valve, row, holes: [] });
    found.get(key)!.holes.push(i);
  });
  for (const lateral of found.values()) lateral.holes.sort((a, b) => drip.emitterDistance[a] - drip.emitterDistance[b]);
  return [...found.values()].sort((a, b) => a.row - b.row || a.valve - b.valve);
};

export const Punching = (marked: Marked) => {
  const { drip, cells } = parts.value;
  if (!drip?.emitterCell.length || !cells || drip.emitterCell.some((i) => i >= cells.n)) return <p>{t("field.punch.none")}</p>;
  return (
    <>
      {laterals(drip).map(({ valve, row, holes }) => {
        const key = (n: number): string => `hole/${valve}/${row}/${n + 1}`;
        const finished = holes.filter((_, n) => marked.done.get(key(n))).length;
        return (
          <details class="card" key={`${valve} ${row}`}>
            <summary>
              <h2>{t("field.lateral", { row, valve })}</h2> <span class="left">{t("field.left", { n: finished, m: holes.length })}</span>
            </summary>
            <div class="ticks">
              {holes.map((i, n) => (
                <Tick key={n} at={key(n)} words={t("field.hole", { n: n + 1, at: show(drip.emitterDistance[i], "length", units.value), cell: `${cells.row[drip.emitterCell[i]]}·${cells.number[drip.emitterCell[i]]}` })} {...marked} />
              ))}
            </div>
          </details>
        );
      })}
    </>
  );
};
