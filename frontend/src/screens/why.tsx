import { shownNumbers } from "../numbers";
import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { Inputs } from "../forms/inputs";
import { get, Gone, Refused } from "../service/client";
import type { Working } from "../service/types";
import { asked } from "../state/chosen";
import { job, parts, planned } from "../state/job";
import { t } from "../words";

/** The working of a figure: equation, numbers, result, source, and the inputs that drive it. */
export const Why = ({ figure }: { figure: string }) => {
  const found = useSignal<Working | null>(null), trouble = useSignal("");
  const id = job.value?.id;
  useEffect(() => {
    let left = false;
    void get<Working>(`/api/jobs/${id}/why/${encodeURIComponent(figure)}`)
      .then((w) => !left && ((found.value = w), (trouble.value = "")))
      .catch((e) => !left && (trouble.value = e instanceof Gone ? t(e.anew ? "gone.anew" : "gone.what") : e instanceof Refused ? e.message : String(e)));
    return () => void (left = true);
  }, [figure, planned.value, parts.value.figures]);
  const w = found.value?.figure === figure ? found.value : null;
  return (
    <>
      <button type="button" class="small back" onClick={() => (asked.value = null)}>{t("chosen.back")}</button>
      <h2 id="chosen-title">{t("chosen.why")} {w?.title ?? figure}</h2>
      {trouble.value && <p class="wrong" role="alert">{trouble.value}</p>}
      {w && (
        <>
          <h3>{t("chosen.equation")}</h3>
          <p class="equation">{w.equation}</p>
          <h3>{t("chosen.numbers")}</h3>
          <dl class="facts">
            {w.given.map((n) => (
              <div key={n.name}>
                <dt>{n.name}</dt>
                <dd>{shownNumbers(n.shown)}</dd>
              </div>
            ))}
          </dl>
          <h3>{t("chosen.result")}</h3>
          <p class="result">{shownNumbers(w.result.shown)}</p>
          {w.note && (
            <p>
              <b>{t("chosen.note")}:</b> {w.note}
            </p>
          )}
          {w.range && (
            <p>
              <b>{t("chosen.range")}:</b> {w.range}
            </p>
          )}
          <p class="source">
            <b>{t("chosen.source")}:</b> {w.source}
          </p>
          {w.inputs?.length ? (
            <>
              <h3>{t("chosen.inputs")}</h3>
              <Inputs sections={w.inputs.map((path) => path.replace(/^\//, ""))} />
            </>
          ) : null}
        </>
      )}
    </>
  );
};
