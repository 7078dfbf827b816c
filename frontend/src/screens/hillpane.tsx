import { number } from "../numbers";
import { signal } from "@preact/signals";
import { Plan } from "../hill/plan";
import { roundLength, turned, zoomed } from "../hill/view";
import { plantOf, usesOf } from "../parts/model";
import { chosenCell, tab } from "../state/chosen";
import { handle, hover, look, over, showAll, tool, view } from "../state/eye";
import { parts, problems, units } from "../state/job";
import { at, layers, offered, overlay, shown } from "../state/shown";
import { longUnit, show, unitOf } from "../units";
import { t, tt } from "../words";
import { CellTable } from "./celltable";
import { Legend, Player } from "./legend";
import { Lines } from "./lines";
import { Section } from "./section";
import { Solid } from "./solid";
import { ToolPanel } from "./toolpanel";

export type Look = "plan" | "section" | "solid" | "table";
export const looking = signal<Look>("plan");
const LOOKS = ["plan", "section", "solid", "table"] as const;

/** The hill in the middle: plan, section, 3D, or as a table. */
export const HillPane = () => {
  const now = looking.value;
  return (
    <section class="hill" id="hill" tabIndex={-1} aria-labelledby="hill-title">
      <h2 id="hill-title" class="unseen">{t("hill.title")}</h2>
      <div class="bar">
        <div class="looks" role="group" aria-label={t("hill.title")}>
          {LOOKS.map((name) => (
            <button key={name} type="button" aria-pressed={now === name} onClick={() => (looking.value = name)}>{tt(`hill.${name}`)}</button>
          ))}
        </div>
        {now !== "section" && now !== "solid" && <ShowSelect />}
        {now === "plan" && <ToolSelect />}
      </div>
      {now === "plan" && tool.value && <ToolPanel />}
      <div class="view">
        {!parts.value.ground && problems.value.length > 0 && <p class="nothing">{t("hill.none")}</p>}
        {now === "plan" && <PlanView />}
        {now === "section" && <Section />}
        {now === "solid" && <Solid />}
        {now === "table" && <CellTable />}
      </div>
      {(now === "plan" || now === "table") && (
        <div class="under">
          {shown.value.steps > 1 && <Player />}
          {now === "plan" && <Layers />}
          <Legend />
          {now === "plan" && <Lines />}
        </div>
      )}
    </section>
  );
};

const PlanView = () => (
  <>
    <Plan />
    <div class="eye" role="group" aria-label={t("hill.plan")}>
      <button type="button" aria-label={t("hill.in")} title={t("hill.in")} onClick={() => look(zoomed(view.value, 1.4))}>+</button>
      <button type="button" aria-label={t("hill.out")} title={t("hill.out")} onClick={() => look(zoomed(view.value, 1 / 1.4))}>−</button>
      <button type="button" aria-label={t("hill.all")} title={t("hill.all")} onClick={showAll}>⤢</button>
      <button type="button" aria-label={t("hill.turn")} title={t("hill.turn")} onClick={() => look(turned(view.value, Math.PI / 2))}>↻</button>
      <North />
    </div>
    <ScaleBar />
    <Readout />
  </>
);

/** An anchor or a pipe in a line; nothing where the plan has gone on and it is no more. */
const overWords = ({ kind, index }: { kind: "bar" | "pipe"; index: number }): string => {
  const { bars, cells, drip } = parts.value;
  if (kind === "bar") {
    const cell = bars?.cell[index] ?? -1;
    return bars && cells && cell >= 0 && cell < cells.n ? `${t("chosen.bar", { n: index + 1 })} · ${t("chosen.cell", { row: cells.row[cell], number: cells.number[cell] })}` : "";
  }
  if (!drip || index >= drip.part.length) return "";
  return [t("chosen.pipe", { valve: drip.valve[index] }), tt(`pipe.${drip.part[index]}`), show(drip.flow[index], "flow", units.value), show(drip.pressure[index], "head", units.value)].join(" · ");
};

/** What lies under the pointer, else what is chosen, in a line; on a phone it leads on to the rest. */
const Readout = () => {
  const { cells } = parts.value, i = cells && hover.value >= 0 && hover.value < cells.n ? hover.value : chosenCell.value, s = shown.value;
  const small = over.value && overWords(over.value);
  if (small) return <button type="button" class="readout" aria-hidden="true" tabIndex={-1}>{small}</button>;
  if (!cells || i < 0) return null;
  const unit = s.values && !s.kinds ? unitOf(s.kind, units.value) : "";
  const said = s.values && (s.kinds || Number.isFinite(s.values[i])) ? `${s.say(s.values[i])}${unit && (unit === "°" ? unit : ` ${unit}`)}` : t("show.unknown");
  const figure = s.values ? `${tt(`show.${s.name}`)}: ${said}` : "";
  const what = [t("chosen.cell", { row: cells.row[i], number: cells.number[i] }), plantOf(parts.value, i)?.common ?? tt(`cell.use.${usesOf(parts.value)[i]}`), figure];
  return (
    <button type="button" class="readout" aria-hidden="true" tabIndex={-1} onClick={() => (tab.value = "chosen")}>{what.filter(Boolean).join(" · ")}</button>
  );
};

/** Where north is on the screen. */
const North = () => {
  const ground = parts.value.ground;
  if (!ground || !Number.isFinite(ground.north)) return null;
  // bearing of +y is `north`; on the screen +y is turned by the view
  const angle = (-(ground.north + view.value.turn) * 180) / Math.PI;
  return (
    <svg class="north" viewBox="-16 -16 32 32" role="img" aria-label={t("hill.north")}>
      <g transform={`rotate(${angle.toFixed(1)})`}>
        <path d="M0 11V-5M-4 0 0-7 4 0" />
        <text y="-9" text-anchor="middle" transform={`rotate(${(-angle).toFixed(1)} 0 -11)`}>{t("hill.north")}</text>
      </g>
    </svg>
  );
};

const ScaleBar = () => {
  const { unit, per } = longUnit(units.value);
  const n = roundLength(view.value, 110, per);
  const px = n * per * view.value.scale;
  return (
    <svg class="scale" width={px + 60} height="18" role="img" aria-label={t("hill.scale", { n: number(n, 3, 0), unit })}>
      <path d={`M1 4v8h${px.toFixed(1)}v-8`} />
      <text x={px + 6} y="13">{t("hill.scale", { n: number(n, 3, 0), unit })}</text>
    </svg>
  );
};

const ShowSelect = () => (
  <label>
    {t("hill.show")}{" "}
    <select value={shown.value.name} onChange={(e) => ((overlay.value = e.currentTarget.value), (at.value = overlay.value === "held" || overlay.value === "day" ? 0 : 6))}>
      {offered.value.map((name) => (
        <option key={name} value={name}>{tt(`show.${name}`)}</option>
      ))}
    </select>
  </label>
);

const TOOLNAMES = ["outline", "exclusion", "string", "tap", "entry"] as const;
const ToolSelect = () => (
  <label>
    {t("hill.tool")}{" "}
    <select
      value={tool.value ?? "look"}
      onChange={(e) => {
        tool.value = TOOLNAMES.find((name) => name === e.currentTarget.value) ?? null;
        handle.value = -1;
      }}
    >
      {(["look", ...TOOLNAMES] as const).map((name) => (
        <option key={name} value={name}>{tt(`tool.${name}`)}</option>
      ))}
    </select>
  </label>
);

const LAYERS = ["drip", "bars", "spots"] as const;
const Layers = () => (
  <fieldset class="layers">
    <legend>{t("show.lines")}</legend>
    {LAYERS.map((name) => (
      <label key={name}>
        <input type="checkbox" checked={layers.value[name]} onChange={(e) => (layers.value = { ...layers.value, [name]: e.currentTarget.checked })} /> {tt(`show.${name}`)}
      </label>
    ))}
    <label>
      <input type="checkbox" checked={layers.value.crowns} onChange={(e) => (layers.value = { ...layers.value, crowns: e.currentTarget.checked })} /> {t("solid.trees")}
    </label>
  </fieldset>
);
