import { nearestPiece } from "../hill/near";
import { decided } from "../hill/tools";
import { choose, chosenCell } from "../state/chosen";
import { submit } from "../state/edits";
import { plantOf, usesOf } from "../parts/model";
import { job, parts, units } from "../state/job";
import { ORDER } from "../state/shown";
import { show, type Kind } from "../units";
import { t, tt } from "../words";
import { Back } from "./chosenpanel";

const KIND: Record<string, Kind> = {
  gap: "small", hump: "small", run_slope: "angle", cross_slope: "angle", safety: "plain", litres: "water",
  emitter_flow: "flow", pressure: "head", settled: "soil", saturated: "mass",
};

const Fact = ({ name, value }: { name: string; value: string }) => (
  <div>
    <dt>{name}</dt>
    <dd>{value}</dd>
  </div>
);

export const CellFacts = ({ row, number }: { row: number; number: number }) => {
  const i = chosenCell.value, { cells, overlays } = parts.value, system = units.value;
  const kind = i >= 0 ? plantOf(parts.value, i) : null;
  // a figure of another number of cells is of the plan before
  const each = i < 0 || !overlays ? [] : ORDER.filter((name) => name in KIND && overlays.values[name]?.length === overlays.steps[name] * cells!.n);
  const value = (name: string): number => {
    const n = cells!.n, all = overlays!.values[name];
    // of a figure by month the greatest: what the cell must be able to get
    return overlays!.steps[name] > 1 ? Math.max(...Array.from({ length: overlays!.steps[name] }, (_, k) => all[k * n + i])) : all[i];
  };
  return (
    <>
      <Back />
      <h2 id="chosen-title" aria-live="polite">{t("chosen.cell", { row, number })}</h2>
      {i < 0 || !cells ? (
        <p>{t("show.unknown")}</p>
      ) : (
        <>
          <dl class="facts">
            <Fact name={t("cell.use")} value={tt(`cell.use.${usesOf(parts.value)[i]}`)} />
            {kind && <Fact name={t("cell.plant")} value={`${kind.common} (${kind.botanical})`} />}
            <Fact name={t("cell.kind")} value={t(cells.trimmed[i] ? "cell.trimmed" : "cell.whole")} />
            <Fact name={t("cell.holds")} value={t(cells.anchored[i] ? "cell.anchored" : "cell.clipped")} />
            {each.map((name) => (
              <Fact key={name} name={tt(`show.${name}`)} value={show(value(name), KIND[name], system)} />
            ))}
          </dl>
          <p class="links">
            <button type="button" class="small" onClick={() => choose({ kind: "row", row })}>{t("chosen.row", { row })}</button>
            {barsOf(i).map((index) => (
              <button key={index} type="button" class="small" onClick={() => choose({ kind: "bar", index })}>{t("chosen.its-bar", { n: index + 1 })}</button>
            ))}
            {pipeOf(i) >= 0 && (
              <button type="button" class="small" onClick={() => choose({ kind: "pipe", index: pipeOf(i) })}>{t("chosen.its-pipe")}</button>
            )}
          </p>
          <Decide row={row} number={number} />
        </>
      )}
    </>
  );
};

const barsOf = (cell: number): number[] => Array.from(parts.value.bars?.cell ?? []).flatMap((c, k) => (c === cell ? [k] : []));

/** The piece of pipe that is nearest to an emitter of the cell; -1 where it has none. */
const pipeOf = (cell: number): number => {
  const drip = parts.value.drip, k = drip ? drip.emitterCell.indexOf(cell) : -1;
  return drip && k >= 0 ? nearestPiece(drip.line, [drip.emitter[k * 3], drip.emitter[k * 3 + 1]], Infinity) : -1;
};

/** One after the other, for whoever cannot point at them. */
const Along = ({ kind, index, n }: { kind: "pipe" | "bar"; index: number; n: number }) => (
  <p class="links">
    <button type="button" class="small" disabled={index <= 0} onClick={() => choose({ kind, index: index - 1 })}>{t("chosen.before")}</button>
    <button type="button" class="small" disabled={index + 1 >= n} onClick={() => choose({ kind, index: index + 1 })}>{t("chosen.next")}</button>
  </p>
);

/** Open, step, plant, or whatever the plan finds best. */
const Decide = ({ row, number }: { row: number; number: number }) => {
  const at = job.value?.job ?? {};
  const cell = `R${row}-${number}`;
  const list = (key: string): unknown[] => ((at.planting as any)?.[key] ?? []) as unknown[];
  const pin = ((at.pin ?? []) as any[]).find((p) => p.cell === cell);
  const now = pin ? `plant:${pin.plant}` : list("open").includes(cell) ? "open" : list("walk").includes(cell) ? "walk" : "free";
  const known = parts.value.plants?.kinds ?? [];
  const set = (to: string): void => {
    const choice = to.startsWith("plant:") ? { plant: to.slice(6) } : { use: to as "free" | "open" | "walk" };
    const name = known.find((k) => `plant:${k.id}` === to)?.common ?? to.slice(6);
    const what = to.startsWith("plant:") ? t("cell.pin", { plant: name }) : tt(`cell.${to}`);
    submit(t("edit.cell", { row, number, what }), decided(at as any, row, number, choice));
  };
  return (
    <label class="decide">
      {t("cell.decide")}
      <select value={now} onChange={(e) => set(e.currentTarget.value)}>
        <option value="free">{t("cell.free")}</option>
        <option value="open">{t("cell.open")}</option>
        <option value="walk">{t("cell.walk")}</option>
        {known.map((p) => (
          <option key={p.id} value={`plant:${p.id}`}>{t("cell.pin", { plant: p.common })}</option>
        ))}
      </select>
    </label>
  );
};

export const RowFacts = ({ row }: { row: number }) => {
  const { setout, cells, schedule } = parts.value, system = units.value;
  const lines = (setout?.lines ?? []).filter((l) => l.row === row);
  const count = new Map<string, number>();
  for (let i = 0; cells && i < cells.n; i++) {
    const name = cells.row[i] === row && plantOf(parts.value, i)?.common;
    if (name) count.set(name, (count.get(name) ?? 0) + 1);
  }
  const days = [...new Set((schedule?.tasks ?? []).filter((k) => k.rows[0] <= row && row <= k.rows[1] && k.rows[0]).map((k) => k.day))].sort((a, b) => a - b);
  return (
    <>
      <Back />
      <h2 id="chosen-title" aria-live="polite">{t("chosen.row", { row })}</h2>
      {lines.map((l) => (
        <dl class="facts" key={l.name}>
          <Fact name={t("row.cells")} value={String(l.cells)} />
          <Fact name={t("row.start")} value={show(l.from_string, "length", system)} />
          <Fact name={t("row.along")} value={show(l.along, "length", system)} />
          <Fact name={t("row.tapes")} value={`${show(l.tape_a[0], "length", system)} / ${show(l.tape_b[0], "length", system)}`} />
        </dl>
      ))}
      <dl class="facts">
        <Fact name={t("row.plants")} value={[...count].map(([name, n]) => `${n} ${name}`).join(", ") || "–"} />
        <Fact name={t("row.days")} value={days.map((n) => t("show.day.n", { n })).join(", ") || "–"} />
      </dl>
    </>
  );
};

export const PipeFacts = ({ index }: { index: number }) => {
  const drip = parts.value.drip, system = units.value;
  if (!drip || index >= drip.part.length) return <Back />;
  const valve = drip.valves.find((v) => v.number === drip.valve[index]);
  return (
    <>
      <Back />
      <h2 id="chosen-title" aria-live="polite">{t("chosen.pipe", { valve: drip.valve[index] })}</h2>
      <dl class="facts">
        <Fact name={t("cell.kind")} value={tt(`pipe.${drip.part[index]}`)} />
        <Fact name={t("pipe.flow")} value={show(drip.flow[index], "flow", system)} />
        <Fact name={t("pipe.pressure")} value={show(drip.pressure[index], "head", system)} />
        {valve && <Fact name={t("pipe.zone")} value={valve.zone} />}
      </dl>
      <Along kind="pipe" index={index} n={drip.part.length} />
    </>
  );
};

export const BarFacts = ({ index }: { index: number }) => {
  const { bars, cells } = parts.value, system = units.value;
  if (!bars || !cells || index >= bars.cell.length || bars.cell[index] >= cells.n) return <Back />;
  const i = bars.cell[index];
  return (
    <>
      <Back />
      <h2 id="chosen-title" aria-live="polite">{t("chosen.bar", { n: index + 1 })}</h2>
      <dl class="facts">
        <Fact name={t("cell.kind")} value={`No. ${bars.bar}, ${show(bars.length, "length", system)}`} />
        <Fact name={t("chosen.row", { row: cells.row[i] })} value={t("chosen.cell", { row: cells.row[i], number: cells.number[i] })} />
      </dl>
      <Along kind="bar" index={index} n={bars.cell.length} />
      <p class="caution">
        <b>{t("chosen.caution")}.</b> {parts.value.answers?.answers.find((a) => a.number === 3)?.caution}
      </p>
    </>
  );
};
