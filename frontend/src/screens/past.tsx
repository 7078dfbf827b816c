import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { placeWords, said } from "../forms/naming";
import { get, post } from "../service/client";
import type { Compared, Revision, Revisions } from "../service/types";
import { goTo } from "../state/edits";
import { failed } from "../state/failed";
import { job } from "../state/job";
import type { Verdict } from "../parts/model";
import { t } from "../words";
import { Mark } from "./verdict";

/** Every revision: name one, compare one with now. */
export const Past = () => {
  const found = useSignal<Revision[]>([]), compared = useSignal<{ number: number; with: Compared } | null>(null);
  const name = useSignal("");
  const at = job.value;
  const load = (): void => {
    if (at) void get<Revisions>(`/api/jobs/${at.id}/revisions`).then((r) => (found.value = r.revisions)).catch(failed);
  };
  useEffect(load, [at?.id, at?.revision]);
  if (!at) return null;
  const keep = (e: Event): void => {
    e.preventDefault();
    if (name.value.trim()) void post(`/api/jobs/${at.id}/name`, { revision: at.revision, name: name.value.trim() }).then(load).catch(failed);
  };
  const compare = (number: number): void =>
    void get<Compared>(`/api/jobs/${at.id}/compare?a=${number}&b=${at.revision}`).then((w) => (compared.value = { number, with: w })).catch(failed);
  return (
    <>
      <h2 id="chosen-title">{t("past.title")}</h2>
      <form class="namer" onSubmit={keep}>
        <label>
          {t("past.name")} <input type="text" maxLength={80} value={name.value} onInput={(e) => (name.value = e.currentTarget.value)} />
        </label>
        <button type="submit">{t("past.keep")}</button>
      </form>
      {compared.value && <Difference number={compared.value.number} found={compared.value.with} />}
      <ol class="past">
        {[...found.value].sort((a, b) => b.number - a.number).map((r) => (
          <li key={r.number} class={r.number === at.revision ? "at" : ""}>
            <b>{r.name || t("past.number", { n: r.number })}</b>
            {r.number === at.revision && <span class="now">{t("past.now")}</span>}
            <span class="soft">{new Date(r.saved).toLocaleString()}</span>
            <span>{r.summary}</span>
            {r.aside && <span class="now">{t("past.aside")}</span>}
            {r.number !== at.revision && (
              <button type="button" class="small" aria-label={`${t("past.compare")}: ${r.name || t("past.number", { n: r.number })}`} onClick={() => compare(r.number)}>{t("past.compare")}</button>
            )}
            {r.number !== at.revision && (
              <button type="button" class="small" aria-label={`${t("past.open")}: ${r.name || t("past.number", { n: r.number })}`} onClick={() => void goTo(at.id, r.number).catch(failed)}>{t("past.open")}</button>
            )}
          </li>
        ))}
      </ol>
    </>
  );
};

/** One side's answer; a revision that nobody had worked out has none. */
const Came = ({ of, verdict, short }: { of: string; verdict: string | null; short: string | null }) => (
  <p>
    {of}: {verdict ? <Mark verdict={verdict as Verdict} /> : null} {short ?? "–"}
  </p>
);

const Difference = ({ number, found }: { number: number; found: Compared }) => (
  <section class="compared" aria-live="polite">
    <h3>{t("past.number", { n: number })} {t("past.with")}</h3>
    {!found.changes.length && !found.files.length && !found.answers.length && <p>{t("past.same")}</p>}
    {found.changes.length > 0 && (
      <table>
        <caption>{t("past.keys")}</caption>
        <thead>
          <tr>
            <td />
            <th scope="col">{t("past.was")}</th>
            <th scope="col">{t("past.is")}</th>
          </tr>
        </thead>
        <tbody>
          {found.changes.map((k) => (
            <tr key={k.path}>
              <th scope="row">{placeWords(k.path)}</th>
              <td>{said(k.before)}</td>
              <td>{said(k.after)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    )}
    {found.answers.length > 0 && <h4>{t("past.answers")}</h4>}
    {found.answers.map((x) => (
      <div key={x.number} class="pair">
        <p>
          <span class="n">{x.number}</span> {x.question}
        </p>
        <Came of={t("past.was")} verdict={x.verdict_before} short={x.before} />
        <Came of={t("past.is")} verdict={x.verdict_after} short={x.after} />
      </div>
    ))}
    {found.files.length > 0 && <p>{t("past.files", { files: found.files.join(", ") })}</p>}
  </section>
);
