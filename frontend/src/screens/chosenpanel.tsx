import { shownNumbers } from "../numbers";
import { useEffect, useRef } from "preact/hooks";
import { SECTIONS } from "../forms/sections";
import { Inputs } from "../forms/inputs";
import { asked, chosen, choose } from "../state/chosen";
import { parts, problems } from "../state/job";
import { t, tt } from "../words";
import { BarFacts, CellFacts, PipeFacts, RowFacts } from "./facts";
import { figureName } from "./figurename";
import { JobFile } from "./jobfile";
import { Papers } from "./papers";
import { Past } from "./past";
import { Prices } from "./prices";
import { Mark } from "./verdict";
import { Why } from "./why";

/** What is chosen: its figures, its why, and the inputs that drive it. */
export const ChosenPanel = () => {
  const c = chosen.value, figure = asked.value;
  const top = useRef<HTMLElement>(null);
  const before = useRef<string | null>(null), shown = useRef(false);
  useEffect(() => {
    top.current?.scrollTo?.(0, 0);
    // what had the focus is gone, or on a narrow screen hidden: go on from what came in its place
    const at = document.activeElement as HTMLElement | null;
    if (shown.current && (!at || at === document.body || !at.isConnected || at.offsetParent === null)) {
      const asker = before.current && top.current?.querySelector<HTMLElement>(`[data-figure="${CSS.escape(before.current)}"]`);
      (asker || top.current)?.focus();
    }
    before.current = figure;
    shown.current = true;
  }, [c, figure]);
  return (
    <aside class="chosen" aria-labelledby="chosen-title" ref={top} tabIndex={-1}>
      <Wrong />
      {figure ? (
        <Why figure={figure} />
      ) : c?.kind === "question" ? (
        <Question number={c.number} />
      ) : c?.kind === "cell" ? (
        <CellFacts row={c.row} number={c.number} />
      ) : c?.kind === "row" ? (
        <RowFacts row={c.row} />
      ) : c?.kind === "pipe" ? (
        <PipeFacts index={c.index} />
      ) : c?.kind === "bar" ? (
        <BarFacts index={c.index} />
      ) : c?.kind === "prices" ? (
        <Prices />
      ) : c?.kind === "file" ? (
        <JobFile />
      ) : c?.kind === "papers" ? (
        <Papers />
      ) : c?.kind === "past" ? (
        <Past />
      ) : (
        <>
          <h2 id="chosen-title">{t("chosen.title")}</h2>
          <p>{t("chosen.nothing")}</p>
        </>
      )}
    </aside>
  );
};

/** What keeps the plan from being worked out. */
const Wrong = () =>
  problems.value.length ? (
    <section class="wrong" role="alert">
      <h3>{t("chosen.problems")}</h3>
      <ul>
        {problems.value.map((p) => (
          <li key={p.where + p.what}>
            <b>{p.where}</b> {p.what}. {t("chosen.right", { right: p.right })}
          </li>
        ))}
      </ul>
    </section>
  ) : null;

const Question = ({ number }: { number: number }) => {
  const a = parts.value.answers?.answers.find((answer) => answer.number === number);
  return (
    <>
      <h2 id="chosen-title">
        <span class="n">{number}</span> {a?.question ?? tt(`ask.${number}`)}
      </h2>
      <Mark verdict={a?.verdict ?? (problems.value.length ? "not yet" : "wait")} />
      {a && <p class="lead">{a.short}</p>}
      {a?.caution && (
        <p class="caution">
          <b>{t("chosen.caution")}.</b> {a.caution}
        </p>
      )}
      {a && (
        <details open={a.lines.length < 8}>
          <summary>{t("chosen.all")}</summary>
          {a.lines.map((line, i) => (
            <p key={i} class={line.startsWith(" ") ? "inset" : ""}>{line}</p>
          ))}
        </details>
      )}
      {a && <Figures ids={a.figures} />}
      <h3>{t("chosen.inputs")}</h3>
      {number === 9 && (
        <p>
          <button type="button" onClick={() => choose({ kind: "prices" })}>{t("prices.open")}</button>
        </p>
      )}
      <Inputs sections={SECTIONS[number] ?? []} />
    </>
  );
};

const Figures = ({ ids }: { ids: string[] }) => {
  const known = new Map((parts.value.figures?.figures ?? []).map((f) => [f.id, f]));
  const some = ids.flatMap((id) => known.get(id) ?? []);
  if (!some.length) return null;
  const found = some.map((f) => ({ ...f, ...figureName(f.id, f.title, some.some((o) => o.title === f.title && o.id !== f.id)) }));
  return (
    <>
      <h3>{t("chosen.figures")}</h3>
      <ul class="figures">
        {found.map((f) => (
          <li key={f.id}>
            <span>
              {f.name} {f.more && <span class="soft">{f.more}</span>}
            </span>
            <b>{shownNumbers(f.result)}</b>
            <button type="button" class="small" data-figure={f.id} aria-label={`${t("chosen.why")} ${f.name}`} onClick={() => (asked.value = f.id)}>{t("chosen.why")}</button>
          </li>
        ))}
      </ul>
    </>
  );
};

export const Back = () => (
  <button type="button" class="small back" onClick={() => (asked.value ? (asked.value = null) : choose(null))}>{t("chosen.back")}</button>
);
