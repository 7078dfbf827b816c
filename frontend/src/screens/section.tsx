import { signal, useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { number } from "../numbers";
import { cutCells } from "../hill/cut";
import { profile } from "../hill/heights";
import { uphill } from "../hill/quads";
import type { Point } from "../hill/view";
import { choose, chosenCell } from "../state/chosen";
import { view, whole } from "../state/eye";
import type { Circle } from "../parts/model";
import { parts, units } from "../state/job";
import { longUnit, show } from "../units";
import { t } from "../words";

/** Where the hill is cut: a share of its width, and by how much the cut is turned off the fall [deg]. */
const share = signal(0.5);
const turn = signal(0);
/** The section of a slip circle that is looked at: which of them, or -1 for a cut of one's own. */
const which = signal(0);

/** Ends of the cut, foot first. */
const ends = (): [Point, Point] | null => {
  const { cells, ground } = parts.value;
  if (!ground) return null;
  const up = ((cells && uphill(cells.corners)) ?? Math.PI / 2) + (turn.value * Math.PI) / 180;
  const [ux, uy] = [Math.cos(up), Math.sin(up)], box = whole(), o = ground.outline;
  const mid: Point = [(box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2];
  let [least, most, low, high] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let i = 0; i < o.length; i += 2) {
    const dx = o[i] - mid[0], dy = o[i + 1] - mid[1], along = dx * ux + dy * uy, across = dx * uy - dy * ux;
    least = Math.min(least, across);
    most = Math.max(most, across);
    low = Math.min(low, along);
    high = Math.max(high, along);
  }
  const w = least + share.value * (most - least), over = 0.12 * (high - low);
  const at = (s: number): Point => [mid[0] + s * ux + w * uy, mid[1] + s * uy - w * ux];
  return [at(low - over), at(high + over)];
};

/** Any line through the hill: ground, cells cut, and the circle that is nearest to sliding. */
export const Section = () => {
  const { ground, cells, bars } = parts.value, circles = (bars?.circles ?? []).filter((c) => c.line.length > 1);
  const circle = circles[which.value] ?? null, line = circle ? along(circle) : ends();
  if (!line || !ground) return <p class="nothing">{t("hill.none")}</p>;
  const places = profile(ground.heights, ...line).filter((p) => Number.isFinite(p[1]));
  const slices = cells ? cutCells(cells, ...line) : [];
  const long = Math.hypot(line[1][0] - line[0][0], line[1][1] - line[0][1]);
  // arcs are told from the top of their line; the drawing starts at the foot
  const arc = (circle?.arc ?? []).map(([d, h]): Point => [long - d, h]);
  return (
    <div class="section">
      <Drawing places={places} slices={slices} arc={arc} />
      <div class="player">
        <label>
          {t("section.which")}
          <select value={circle ? which.value : -1} onChange={(e) => (which.value = Number(e.currentTarget.value))}>
            {circles.map((c, k) => (
              <option key={k} value={k}>{t("section.critical", { name: c.name, factor: number(c.factor, 2), state: c.state })}</option>
            ))}
            <option value={-1}>{t("section.free")}</option>
          </select>
        </label>
        {!circle && <Cut />}
        <Where line={line} />
      </div>
      <SectionTable places={places} />
    </div>
  );
};

/** The ends of a circle's line, foot first. */
const along = ({ line }: Circle): [Point, Point] => {
  const [top, foot] = [line[0], line[line.length - 1]];
  return [[foot[0], foot[1]], [top[0], top[1]]];
};

const Cut = () => (
  <>
    <label>
      {t("section.at")}
      <input type="range" min={0.02} max={0.98} step={0.01} value={share.value} aria-valuetext={`${Math.round(share.value * 100)} %`} onInput={(e) => (share.value = Number(e.currentTarget.value))} />
    </label>
    <label>
      {t("section.turn")}
      <input type="range" min={-90} max={90} step={1} value={turn.value} aria-valuetext={`${turn.value}°`} onInput={(e) => (turn.value = Number(e.currentTarget.value))} />
    </label>
  </>
);

const LEFT = 52, FOOT = 40;

const KEY = 120, RIM = 8; // of the small plan [px]

/** Where the cut lies: the outline as the plan shows it, and the cut from its foot to its head. */
const Where = ({ line }: { line: [Point, Point] }) => {
  const o = parts.value.ground!.outline, c = Math.cos(view.value.turn), s = Math.sin(view.value.turn);
  const turned = ([x, y]: Point): Point => [c * x - s * y, -s * x - c * y];
  const ring = Array.from({ length: o.length / 2 }, (_, i) => turned([o[2 * i], o[2 * i + 1]]));
  const cut = line.map(turned), all = [...ring, ...cut];
  const x0 = Math.min(...all.map((p) => p[0])), y0 = Math.min(...all.map((p) => p[1]));
  const wide = Math.max(...all.map((p) => p[0])) - x0, high = Math.max(...all.map((p) => p[1])) - y0;
  const k = (KEY - 2 * RIM) / Math.max(wide, high, 1e-6);
  const at = ([x, y]: Point): string => `${(RIM + (x - x0) * k).toFixed(1)} ${(RIM + (y - y0) * k).toFixed(1)}`;
  return (
    <svg class="where" width={2 * RIM + wide * k} height={2 * RIM + high * k} role="img" aria-label={t("section.where")}>
      <path class="ring" d={`M${ring.map(at).join("L")}Z`} />
      <path class="cut" d={`M${cut.map(at).join("L")}`} />
      <circle cx={at(cut[0]).split(" ")[0]} cy={at(cut[0]).split(" ")[1]} r="3" />
    </svg>
  );
};

const Drawing = ({ places, slices, arc }: { places: Point[]; slices: ReturnType<typeof cutCells>; arc: Point[] }) => {
  const { unit, per } = longUnit(units.value), cells = parts.value.cells!;
  const room = useRef<HTMLDivElement>(null), size = useSignal({ wide: 720, high: 480 });
  useEffect(() => {
    const watch = new ResizeObserver(([e]) => {
      if (e.contentRect.width) size.value = { wide: Math.max(280, e.contentRect.width), high: Math.max(200, e.contentRect.height) };
    });
    watch.observe(room.current!);
    return () => watch.disconnect();
  }, []);
  const { wide: WIDE, high: MOST } = size.value;
  if (places.length < 2) return <p class="nothing" ref={room}>{t("hill.none")}</p>;
  const s0 = places[0][0], s1 = places[places.length - 1][0];
  const z = [...places, ...arc].map((p) => p[1]), z0 = Math.min(...z), z1 = Math.max(...z);
  // heights and lengths to one scale: a slope must look as steep as it is
  const k = Math.min((WIDE - LEFT - 20) / (s1 - s0), (MOST - FOOT - 60) / (z1 - z0));
  const TALL = FOOT + 60 + (z1 - z0) * k;
  const x = (s: number): number => LEFT + (s - s0) * k, y = (h: number): number => TALL - FOOT - (h - z0) * k;
  const path = (p: Point[]): string => p.map(([s, h], i) => `${i ? "L" : "M"}${x(s).toFixed(1)} ${y(h).toFixed(1)}`).join("");
  const every = tick((s1 - s0) / per / 8) * per;
  const ticks = (from: number, to: number): number[] => Array.from({ length: Math.floor(to / every) - Math.ceil(from / every) + 1 }, (_, i) => (Math.ceil(from / every) + i) * every);
  const depth = cells?.depth ?? 0;
  return (
    <div class="room" ref={room}>
      <svg class="drawing" viewBox={`0 0 ${WIDE} ${TALL}`} role="img" aria-label={t("section.label")}>
        <path class="earth" d={`${path(places)}L${x(s1)} ${TALL - FOOT}L${x(s0)} ${TALL - FOOT}Z`} />
        {ticks(z0, z1).map((h) => (
          <g key={h}>
            <path class="grid" d={`M${LEFT} ${y(h)}H${WIDE - 20}`} />
            <text x={LEFT - 8} y={y(h) + 4} text-anchor="end">{round(h / per)}</text>
          </g>
        ))}
        {ticks(s0, s1).map((s) => (
          <text key={s} x={x(s)} y={TALL - FOOT + 18} text-anchor="middle">{round(s / per)}</text>
        ))}
        <text x={LEFT} y={14}>{t("section.up")}, {unit}</text>
        <text x={WIDE - 20} y={TALL - 6} text-anchor="end">{t("section.along")}, {unit}</text>
        <path class="top" d={path(places)} />
        {slices.map((c) => {
          const steep = Math.atan2(c.to[1] - c.from[1], c.to[0] - c.from[0]);
          const up = ([s, h]: Point): Point => [s - depth * Math.sin(steep), h + depth * Math.cos(steep)];
          return (
            <path key={c.cell} class={`box ${c.cell === chosenCell.value ? "at" : ""}`} d={`${path([up(c.from), c.from, c.to, up(c.to)])}`} onClick={() => choose({ kind: "cell", row: cells.row[c.cell], number: cells.number[c.cell] })} />
          );
        })}
        {arc.length > 1 && <path class="circle" d={path(arc)} />}
      </svg>
    </div>
  );
};

const tick = (want: number): number => {
  const power = 10 ** Math.floor(Math.log10(want)), lead = want / power;
  return (lead > 5 ? 10 : lead > 2 ? 5 : lead > 1 ? 2 : 1) * power;
};
const round = (v: number): string => String(Math.round(v * 100) / 100);

const SectionTable = ({ places }: { places: Point[] }) => {
  const some = places.filter((_, i) => i % Math.ceil(places.length / 12) === 0);
  return (
    <details>
      <summary>{t("section.table")}</summary>
      <table>
        <thead>
          <tr>
            <th scope="col">{t("section.along")}</th>
            <th scope="col">{t("section.up")}</th>
          </tr>
        </thead>
        <tbody>
          {some.map(([s, h]) => (
            <tr key={s}>
              <td>{show(s - places[0][0], "length", units.value)}</td>
              <td>{show(h, "length", units.value)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </details>
  );
};
