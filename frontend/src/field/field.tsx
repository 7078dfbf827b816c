import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { job, parts } from "../state/job";
import { Stops } from "../screens/stops";
import { keepPapers, kept } from "../state/kept";
import { open } from "../screens/work";
import { shut } from "../service/client";
import { t } from "../words";
import { DaySheet } from "./daysheet";
import { Punching } from "./punching";
import { RowCards } from "./rowcards";
import { offline, openTicks, state, tick, ticks, waiting } from "./ticks";

const PAPERS = ["rows", "day", "punch"] as const;

/** Papers for the slope: big, few words, one tick at a time, with or without a signal. */
export const Field = ({ id }: { id: string }) => {
  const paper = useSignal<(typeof PAPERS)[number]>("rows");
  useEffect(() => {
    const stops = [openTicks(id), open(id)];
    return () => stops.forEach((stop) => stop());
  }, [id]);
  // when the papers are there to be kept, and not before
  const there = Boolean(parts.value.cells && parts.value.setout);
  useEffect(() => void (there && keepPapers()), [there]);
  const name = job.value?.name;
  useEffect(() => {
    document.title = t("app.titled", { name: name ? `${t("field.title")}: ${name}` : t("field.title") });
  }, [name]);
  const done = state(ticks.value);
  const mark = (key: string): void => tick(id, key, !done.get(key));
  return (
    <div class="field">
      <header>
        <a href={`/jobs/${encodeURIComponent(id)}`}>{t("field.back")}</a>
        <h1>{job.value?.name ?? t("field.title")}</h1>
        <p role="status" class={`sync ${offline.value || shut.value ? "grave" : ""}`} data-waiting={waiting.value.length}>{standing()}</p>
        <nav class="papers" aria-label={t("field.title")}>
          {PAPERS.map((name) => (
            <button key={name} type="button" aria-pressed={paper.value === name} onClick={() => (paper.value = name)}>{t(`field.${name}`)}</button>
          ))}
        </nav>
      </header>
      <main>
        <Stops />
        <p class="caution">{t("field.caution")}</p>
        {kept.value !== "wait" && <p class={`kept ${kept.value === "ready" ? "" : "caution"}`} data-kept={kept.value}>{t(`field.kept.${kept.value}`)}</p>}
        {!parts.value.cells && <p>{t("app.loading")}</p>}
        {paper.value === "rows" && <RowCards done={done} mark={mark} />}
        {paper.value === "day" && <DaySheet done={done} mark={mark} />}
        {paper.value === "punch" && <Punching done={done} mark={mark} />}
      </main>
    </div>
  );
};

/** Whether every tick is with the service, and if not, why not. */
const standing = (): string => {
  const n = waiting.value.length, waits = n ? t("field.waiting", { n }) : "";
  if (shut.value) return `${t("gone.anew")} ${waits}`;
  if (offline.value) return `${t("field.offline")} ${waits}`;
  return waits || t("field.sent");
};

export interface Marked {
  done: Map<string, boolean>;
  mark: (key: string) => void;
}

/** A tick as big as a thumb in a glove. */
export const Tick = ({ at, words, done, mark }: Marked & { at: string; words: string }) => (
  <button type="button" class="tick" role="checkbox" aria-checked={!!done.get(at)} data-tick={at} onClick={() => mark(at)}>
    <svg viewBox="0 0 24 24" aria-hidden="true">
      <path d="M3 3h18v18H3z" />
      {done.get(at) && <path class="check" d="m6 12.5 4.5 4.5L18.5 7" />}
    </svg>
    {words}
  </button>
);
