import { chosen, choose } from "../state/chosen";
import { parts } from "../state/job";
import { t } from "../words";
import { Mark } from "./verdict";

/** The ten questions with their short answers and verdicts. */
export const Questions = ({ then }: { then?: () => void }) => {
  const answers = parts.value.answers?.answers ?? [];
  const at = chosen.value?.kind === "question" ? chosen.value.number : 0;
  return (
    <nav class="questions" aria-labelledby="ask-title">
      <h2 id="ask-title">{t("ask.title")}</h2>
      <ol>
        {answers.map((a) => (
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
