import { useEffect, useRef } from "preact/hooks";
import { chosenCell, choose } from "../state/chosen";
import { plantOf, usesOf } from "../parts/model";
import { parts, units } from "../state/job";
import { shown } from "../state/shown";
import { unitOf } from "../units";
import { t, tt } from "../words";

/** Every cell by row, for the keyboard and for whoever does not see the canvas. */
export const CellTable = () => {
  const cells = parts.value.cells, s = shown.value, use = usesOf(parts.value);
  const current = useRef<HTMLTableCellElement>(null);
  // the whole table is one stop of the Tab key; arrow keys go about in it
  useEffect(() => current.current?.scrollIntoView({ block: "nearest" }), [chosenCell.value]);
  if (!cells?.n) return <p class="nothing">{t("hill.none")}</p>;
  const rows = new Map<number, number[]>();
  for (let i = 0; i < cells.n; i++) (rows.get(cells.row[i]) ?? rows.set(cells.row[i], []).get(cells.row[i])!).push(i);
  const here = chosenCell.value;
  const unit = s.values && !s.kinds ? unitOf(s.kind, units.value) : "";
  const words = (i: number): string => {
    if (s.values) return s.say(s.values[i]);
    return plantOf(parts.value, i)?.common ?? tt(`cell.use.${use[i]}`);
  };
  return (
    <div class="celltable" role="region" aria-label={t("table.title")} onKeyDown={walk}>
      <p id="table-how">{t("table.caption", { what: tt(`show.${s.name}`) + (unit && ` (${unit})`) })}</p>
      <table aria-describedby="table-how" aria-label={t("table.title")}>
        <tbody>
          {[...rows].map(([row, list]) => (
            <tr key={row}>
              <th scope="row">
                <button type="button" tabIndex={here < 0 && row === cells.row[0] ? 0 : -1} onClick={() => choose({ kind: "row", row })}>{t("chosen.row", { row })}</button>
              </th>
              {list.map((i) => (
                <td key={i} ref={i === chosenCell.value ? current : undefined} class={i === chosenCell.value ? "at" : ""}>
                  <button type="button" tabIndex={i === here ? 0 : -1} aria-label={`${t("chosen.cell", { row, number: cells.number[i] })}: ${words(i)}`} onClick={() => choose({ kind: "cell", row, number: cells.number[i] })}>
                    <span class="soft">{cells.number[i]}</span> {words(i)}
                  </button>
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
};

const walk = (e: KeyboardEvent): void => {
  const at = (e.target as Element).closest("th, td"), row = at?.parentElement as HTMLTableRowElement | null;
  if (!at || !row || e.ctrlKey || e.metaKey || e.altKey) return;
  const k = [...row.children].indexOf(at);
  const above = row.previousElementSibling?.children, below = row.nextElementSibling?.children;
  const to: Record<string, Element | null | undefined> = {
    ArrowLeft: at.previousElementSibling, ArrowRight: at.nextElementSibling, Home: row.firstElementChild, End: row.lastElementChild,
    ArrowUp: above?.[Math.min(k, above.length - 1)], ArrowDown: below?.[Math.min(k, below.length - 1)],
  };
  if (!(e.key in to)) return;
  e.preventDefault();
  to[e.key]?.querySelector("button")?.focus();
};
