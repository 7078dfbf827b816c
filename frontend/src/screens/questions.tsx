import { chosen, choose } from "../state/chosen";
import type { Answer } from "../parts/model";
import { parts, problems } from "../state/job";
import { t, tt } from "../words";
import { Mark } from "./verdict";

const QUESTIONS = 10;

/** A question that has no answer yet: what drives it can be seen and changed all the same. */
const open = (number: number): Pick<Answer, "number" | "question" | "short"> & { verdict: Answer["verdict"] | "wait" } => ({
  number, question: tt(`ask.${number}`), short: "", verdict: problems.value.length ? "not yet" : "wait",
});

/** The ten questions with their short answers and verdicts. */
export const Questions = ({ then }: { then?: () => void }) => {
  const known = parts.value.answers?.answers ?? [], wrong = problems.value[0];
  const at = chosen.value?.kind === "question" ? chosen.value.number : 0;
  return (
    <nav class="questions" aria-labelledby="ask-title">
      <h2 id="ask-title">{t("ask.title")}</h2>
      {wrong && (
        <p class="wrong narrow">
          <b>{wrong.where}</b> {wrong.what}. {t("chosen.right", { right: wrong.right })}
        </p>
      )}
      <ol>
        {Array.from({ length: QUESTIONS }, (_, k) => known.find((a) => a.number === k + 1) ?? open(k + 1)).map((a) => (
          <li key={a.number}>
            <button
              type="button"
              class="question"
              aria-current={a.number === at ? "true" : undefined}
              onClick={() => {
                choose({ kind: "question", number: a.number });
                then?.();
              }}
            >
              <span class="ask">
                <span class="n">{a.number}</span> {a.question}
              </span>
              <Mark verdict={a.verdict} />
              <span class="short">{a.short}</span>
            </button>
          </li>
        ))}
      </ol>
    </nav>
  );
};
