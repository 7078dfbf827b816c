import { plantOf, usesOf, type PlantKind } from "../parts/model";
import { parts, units } from "../state/job";
import { show } from "../units";
import { t, tt } from "../words";
import { Tick, type Marked } from "./field";

export const STEPS = ["set-out", "hung", "filled", "drip", "planted"] as const;

const short = (name: string): string => name.replace(/^R0*/, "");

/** Each kind once, with the number of cells that it grows in. */
const counted = (kinds: (PlantKind | null)[]): [PlantKind, number][] => {
  const found = new Map<PlantKind, number>();
  for (const kind of kinds) if (kind) found.set(kind, (found.get(kind) ?? 0) + 1);
  return [...found];
};

/** One card a row: where it starts, how long it is, what goes in, and what is done. */
export const RowCards = (marked: Marked) => {
  const { setout, cells } = parts.value, use = usesOf(parts.value), system = units.value;
  return (
    <>
      <nav class="jump" aria-label={t("field.jump")}>
        {(setout?.lines ?? []).map((line) => (
          <a key={line.name} class="button" href={`#${line.name}`}>{short(line.name)}</a>
        ))}
      </nav>
      {(setout?.lines ?? []).map((line, k, all) => {
        // a row that is cut by a seam has a card for each piece
        const next = all[k + 1]?.row === line.row ? all[k + 1].first : Infinity;
        const here = cells ? Array.from(cells.row.keys()).filter((i) => cells.row[i] === line.row && cells.number[i] >= line.first && cells.number[i] < next) : [];
        const finished = STEPS.filter((s) => marked.done.get(`row/${line.name}/${s}`)).length;
        return (
          <article class="card" key={line.name} id={line.name}>
            <h2>{t("chosen.row", { row: short(line.name) })}</h2>
            <p class="left">{t("field.left", { n: finished, m: STEPS.length })}</p>
            <dl class="facts">
              <div>
                <dt>{t("row.cells")}</dt>
                <dd>{line.cells}</dd>
              </div>
              <div>
                <dt>{t("row.start")}</dt>
                <dd>{show(line.from_string, "length", system)}</dd>
              </div>
              <div>
                <dt>{t("row.along")}</dt>
                <dd>{show(line.along, "length", system)}</dd>
              </div>
              <div>
                <dt>{t("row.tapes")}</dt>
                <dd>{show(line.tape_a[0], "length", system)} / {show(line.tape_b[0], "length", system)}</dd>
              </div>
            </dl>
            <ol class="strip">
              {here.map((i) => {
                const kind = plantOf(parts.value, i);
                const words = kind ? kind.common : tt(`cell.use.${use[i]}`);
                return (
                  <li key={i} class={`use-${use[i]}`} title={words}>
                    <span class="soft">{cells!.number[i]}</span> <b>{kind ? kind.code : use[i] === 1 ? "≡" : "·"}</b>
                    <span class="unseen">{words}</span>
                  </li>
                );
              })}
            </ol>
            <ul class="code">
              {counted(here.map((i) => plantOf(parts.value, i))).map(([kind, n]) => (
                <li key={kind.id}>
                  <b>{kind.code}</b> {kind.common} <span class="soft">{n === 1 ? t("field.cell") : t("field.cells", { n })}</span>
                </li>
              ))}
              {here.some((i) => use[i] === 1) && (
                <li>
                  <b>≡</b> {tt("cell.use.1")}
                </li>
              )}
            </ul>
            <div class="ticks">
              {STEPS.map((s) => (
                <Tick key={s} at={`row/${line.name}/${s}`} words={t(`field.${s}`)} {...marked} />
              ))}
            </div>
          </article>
        );
      })}
    </>
  );
};
