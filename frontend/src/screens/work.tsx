import { useEffect } from "preact/hooks";
import { Gone, post } from "../service/client";
import { listen } from "../service/events";
import { asked, chosen, choose, tab } from "../state/chosen";
import { gone, openQueue, queue, saving, step } from "../state/edits";
import { failed } from "../state/failed";
import { fresh } from "../state/eye";
import { forget, job, openJob, openPlan, planned, refining, running, slow, stopped } from "../state/job";
import { t, tt } from "../words";
import { ChosenPanel } from "./chosenpanel";
import { HillPane } from "./hillpane";
import { Questions } from "./questions";

export const open = (id: string): (() => void) => {
  let stop = (): void => undefined, left = false;
  fresh.value = true;
  const begin = async (): Promise<void> => {
    try {
      await openJob(id);
      if (left) return;
      openQueue(id);
      stop = listen(id);
      await openPlan(id);
    } catch (error) {
      if (error instanceof Gone) setTimeout(() => !left && void begin(), 2000);
      failed(error);
    }
  };
  void begin();
  return () => {
    left = true;
    stop();
    forget();
  };
};

export const Work = ({ id }: { id: string }) => {
  useEffect(() => open(id), [id]);
  const name = job.value?.name;
  useEffect(() => {
    document.title = name ? t("app.titled", { name }) : t("app.name");
  }, [name]);
  useEffect(() => {
    addEventListener("keydown", shortcuts);
    return () => removeEventListener("keydown", shortcuts);
  }, []);
  // on a narrow screen what was chosen is what one wants to read next
  const at = tab.value;
  return (
    <div class={`work show-${at}`}>
      <Head />
      <main class="columns">
        {job.value ? <Questions then={() => (tab.value = "chosen")} /> : <Waiting />}
        <HillPane />
        <ChosenPanel />
      </main>
      <nav class="tabs" aria-label={t("app.name")}>
        <a class="button" href={`/jobs/${encodeURIComponent(id)}/field`}>{t("field.title")}</a>
        {(["ask", "hill", "chosen"] as const).map((name) => (
          <button key={name} type="button" aria-pressed={at === name} onClick={() => (tab.value = name)}>
            {t(name === "ask" ? "ask.title" : name === "hill" ? "hill.title" : "chosen.title")}
          </button>
        ))}
      </nav>
    </div>
  );
};

const Waiting = () => (
  <section class="questions" aria-busy="true">
    <h2>{t("ask.title")}</h2>
    <p>{t("app.loading")}</p>
  </section>
);

const Head = () => {
  const at = job.value;
  return (
    <header class="head">
      <a class="skip" href="#hill" onClick={toHill}>{t("app.skip")}</a>
      <a href="/" class="home">{t("app.home")}</a>
      <h1>{at?.name ?? t("app.name")}</h1>
      <State />
      <span class="acts">
        <button type="button" disabled={!at?.undo} title={at?.undo ? t("edit.undo.what", { what: at.undo }) : t("edit.nothing-undo")} onClick={() => void step("undo")}>{t("edit.undo")}</button>
        <button type="button" disabled={!at?.redo} title={at?.redo ? t("edit.redo.what", { what: at.redo }) : t("edit.nothing-redo")} onClick={() => void step("redo")}>{t("edit.redo")}</button>
        <button type="button" aria-pressed={chosen.value?.kind === "past"} onClick={() => (choose({ kind: "past" }), (tab.value = "chosen"))}>{t("past.title")}</button>
        {at?.file && <button type="button" aria-pressed={chosen.value?.kind === "file"} onClick={() => (choose({ kind: "file" }), (tab.value = "chosen"))}>{t("file.save")}</button>}
        <button type="button" aria-pressed={chosen.value?.kind === "papers"} onClick={() => (choose({ kind: "papers" }), (tab.value = "chosen"))}>{t("papers.title")}</button>
        <a class="button to-field" href={`/jobs/${encodeURIComponent(at?.id ?? "")}/field`}>{t("field.title")}</a>
      </span>
    </header>
  );
};

/** Past the head and the questions: to the drawing, or to the hill's own column where there is none. */
const toHill = (e: Event): void => {
  e.preventDefault();
  tab.value = "hill";
  const there = (): void => (document.getElementById("plan") ?? document.getElementById("hill"))?.focus();
  there();
  requestAnimationFrame(there); // on a narrow screen it is shown only now
};

/** Whether everything is saved, and what is being worked out. */
const State = () => {
  const kept = saving.value === "kept";
  const now = running.value;
  return (
    <p class={`state ${gone.value ? "grave" : ""}`} role="status" data-revision={job.value?.revision} data-planned={planned.value} data-running={now ? "true" : undefined}>
      <span class="saving" data-saving={saving.value}>{kept ? t("save.kept", { n: queue.value.length }) : t(saving.value === "saving" ? "save.saving" : "save.saved")}</span>
      {now ? (
        <span class="running">
          <progress value={now.share} max={1} aria-label={t("app.planning", { stage: tt(`stage.${now.stage}`) })} />
          {t("app.planning", { stage: tt(`stage.${now.stage}`) })}
          {refining.value && <span class="refining">{t("app.refining", { stage: tt(`stage.${refining.value}`) })}</span>}
          {slow.value && <span class="slow">{t("app.slow")}</span>}
          <button type="button" class="small" onClick={() => void post(`/api/jobs/${job.value!.id}/cancel`).catch(failed)}>{t("app.cancel")}</button>
        </span>
      ) : (
        <span class="running">
          {stopped.value && (
            <button type="button" class="small" onClick={() => ((stopped.value = false), void openPlan(job.value!.id).catch(failed))}>{t("app.again")}</button>
          )}
          {planned.value && planned.value === job.value?.revision ? t("app.planned") : ""}
        </span>
      )}
    </p>
  );
};

const shortcuts = (e: KeyboardEvent): void => {
  if (!(e.ctrlKey || e.metaKey) || e.altKey || (e.target as Element).matches?.("input, textarea")) return;
  const key = e.key.toLowerCase();
  if (key === "z") void step(e.shiftKey ? "redo" : "undo");
  else if (key === "y") void step("redo");
  else return;
  asked.value = null;
  e.preventDefault();
};
