import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { placeWords, said } from "../forms/naming";
import { get, post } from "../service/client";
import type { FileState, Saved } from "../service/types";
import { own, saving } from "../state/edits";
import { failed } from "../state/failed";
import { job, openPlan, refreshJob } from "../state/job";
import { say } from "../state/notice";
import { t } from "../words";

/** The file that Hillwright was started with, beside the job as it stands: write it, or read it in. */
export const JobFile = () => {
  const at = job.value, found = useSignal<FileState | null>(null);
  const base = `/api/jobs/${at?.id}/file`;
  const load = (): void => {
    if (at?.file && saving.value === "saved") void get<FileState>(base).then((state) => (found.value = state)).catch(failed);
  };
  useEffect(load, [at?.id, at?.revision, saving.value]);
  const state = found.value;
  if (!at || !state) return <h2 id="chosen-title">{t("file.title")}</h2>;
  const write = (over: string | null): void =>
    void post<FileState>(`${base}/save`, { base: at.revision, over })
      .then((now) => ((found.value = now), say(t("file.written", { name: now.name }))))
      .catch((error) => (failed(error), load()));
  const readIn = async (): Promise<void> => {
    try {
      own.add((await post<Saved>(`${base}/read`, { base: at.revision })).revision);
      await refreshJob();
      await openPlan(at.id);
    } catch (error) {
      failed(error);
    }
  };
  const outside = state.changed.length > 0, others = state.differs.filter((name) => name !== state.name);
  return (
    <>
      <h2 id="chosen-title">{t("file.title")}</h2>
      <p>{t("file.where", { name: state.name, folder: state.folder })}</p>
      {!state.differs.length && <p role="status">{t("file.same")}</p>}
      {outside && <p class="caution" role="alert">{t("file.changed", { files: state.changed.join(", ") })}</p>}
      {state.changes.length > 0 && (
        <table class="compared">
          <caption>{t("file.differs")}</caption>
          <thead>
            <tr>
              <td />
              <th scope="col">{t("file.there")}</th>
              <th scope="col">{t("file.here")}</th>
            </tr>
          </thead>
          <tbody>
            {state.changes.map((c) => (
              <tr key={c.path}>
                <th scope="row">{placeWords(c.path)}</th>
                <td>{said(c.before)}</td>
                <td>{said(c.after)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {others.length > 0 && <p>{t("file.others", { files: others.join(", ") })}</p>}
      {state.differs.length > 0 && (
        <p class="acts">
          <button type="button" class={outside ? "" : "main"} onClick={() => write(outside ? state.seen : null)}>{t(outside ? "file.over" : "file.write", { name: state.name })}</button>
          {outside && <button type="button" onClick={() => void readIn()}>{t("file.read")}</button>}
        </p>
      )}
    </>
  );
};
