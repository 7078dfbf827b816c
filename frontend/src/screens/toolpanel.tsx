import { number, typedNumber } from "../numbers";
import { TOOLS, type At, type Moved } from "../hill/tools";
import { middle } from "../hill/quads";
import { edgeOf } from "../hill/near";
import type { Point } from "../hill/view";
import { submit } from "../state/edits";
import { handle, tool, whole } from "../state/eye";
import { job, parts, units } from "../state/job";
import { longUnit } from "../units";
import { t, tt } from "../words";

/** The tool in the hand: how it is used, and the same by numbers. */
export const ToolPanel = () => {
  const name = tool.value!, hand = TOOLS[name];
  const at: At = { parts: parts.value, job: job.value?.job ?? {}, units: units.value };
  const points = hand.handles(at), { unit, per } = longUnit(units.value);
  const send = (made: Moved | null | undefined): void => void (made && submit(made.summary, made.patch));
  const moved = (i: number, axis: 0 | 1, text: string): void => {
    const value = typedNumber(text) * per, to: Point = axis ? [points[i][0], value] : [value, points[i][1]];
    if (Number.isFinite(value) && Math.abs(value - points[i][axis]) > 1e-6) send(hand.drop(at, i, to));
  };
  const fromFile = name === "outline" && at.parts.ground && !at.parts.ground.corners;
  return (
    <div class="toolpanel">
      <p>{tt(`tool.${name}.how`)}</p>
      {fromFile && <p class="soft">{t("tool.from-file")}</p>}
      <details>
        <summary>{t("tool.points")}</summary>
        <ol>
          {points.slice(0, 60).map((p, i) => (
            <li key={i} class={i === handle.value ? "at" : ""}>
              <fieldset>
                <legend class="unseen">{t("tool.point", { n: i + 1 })}</legend>
                <span aria-hidden="true">{i + 1}</span>
                {([0, 1] as const).map((axis) => (
                  <label key={axis}>
                    <span class="soft">{t(axis ? "tool.y" : "tool.x")}</span>
                    <input type="text" inputMode="decimal" value={number(p[axis] / per, 2)} onFocus={() => (handle.value = i)} onChange={(e) => moved(i, axis, e.currentTarget.value)} /> {unit}
                  </label>
                ))}
                {hand.remove && (
                  <button type="button" class="small" onClick={() => send(hand.remove!(at, i))}>{t("tool.remove")}</button>
                )}
                {name === "outline" && (
                  <button type="button" class="small" onClick={() => send(behind(at, points, i))}>{t("tool.add-corner")}</button>
                )}
              </fieldset>
            </li>
          ))}
        </ol>
        {name === "entry" && (
          <button type="button" class="small" onClick={() => send(TOOLS.entry.press!(at, foot(), 0))}>{t("tool.add-entry")}</button>
        )}
        {name === "exclusion" && (
          <button type="button" class="small" onClick={() => send(inMiddle(at))}>{t("tool.add-exclusion")}</button>
        )}
      </details>
    </div>
  );
};

/** A corner half way to the next one. */
const behind = (at: At, points: Point[], i: number): Moved | null => {
  const next = points[(i + 1) % points.length], mid: Point = [(points[i][0] + next[0]) / 2, (points[i][1] + next[1]) / 2];
  return edgeOf(points, mid).after >= 0 ? TOOLS.outline.press!(at, mid, Infinity) : null;
};

/** The middle of the last row, where one most often comes in. */
const foot = (): Point => {
  const cells = parts.value.cells, { x0, y0, x1 } = whole();
  if (!cells?.n) return [(x0 + x1) / 2, y0];
  const last = Array.from(cells.row.keys()).filter((i) => cells.row[i] === cells.row[cells.n - 1]);
  return middle(cells.corners, last[Math.floor(last.length / 2)]);
};

const inMiddle = (at: At): Moved | null => {
  const { x0, y0, x1, y1 } = whole();
  for (const [u, v] of [[0.5, 0.5], [0.35, 0.5], [0.65, 0.5], [0.5, 0.3], [0.5, 0.7], [0.25, 0.3], [0.75, 0.7]]) {
    const made = TOOLS.exclusion.press!(at, [x0 + u * (x1 - x0), y0 + v * (y1 - y0)], 0);
    if (made) return made;
  }
  return null;
};
