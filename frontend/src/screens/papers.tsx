import { useEffect } from "preact/hooks";
import { post } from "../service/client";
import type { SheetSet } from "../service/types";
import { failed } from "../state/failed";
import { job } from "../state/job";
import { making, openSet, set } from "../state/papers";
import { t } from "../words";
import { Stops } from "./stops";

/** The files of each reader together; what lies beside the folders comes first. */
const byFolder = (files: SheetSet["files"]): [string, SheetSet["files"]][] => {
  const found = new Map<string, SheetSet["files"]>([["", []]]);
  for (const f of files) {
    const folder = f.name.includes("/") ? f.name.slice(0, f.name.indexOf("/")) : "";
    found.set(folder, [...(found.get(folder) ?? []), f]);
  }
  return [...found].filter(([, some]) => some.length);
};

/** Make the set of papers, see how far it is, and download it. */
export const Papers = () => {
  const at = job.value, now = making.value, ready = set.value;
  useEffect(() => {
    if (at) void openSet(at.id).catch(() => undefined);
  }, [at?.id]);
  if (!at) return null;
  const base = `/api/jobs/${at.id}`;
  const make = async (): Promise<void> => {
    making.value = { share: 0, file: "" };
    set.value = null;
    try {
      await post(`${base}/sheets`);
    } catch (error) {
      making.value = null;
      failed(error);
    }
  };
  return (
    <>
      <h2 id="chosen-title">{t("papers.title")}</h2>
      <Stops />
      <p>{t("papers.how")}</p>
      <p>
        <button type="button" class="main" disabled={!!now} onClick={() => void make()}>{t("papers.make")}</button>
      </p>
      {now && (
        <p role="status">
          <progress value={now.share} max={1} aria-label={t("papers.making", { file: now.file })} /> {t("papers.making", { file: now.file })}
        </p>
      )}
      {ready && (
        <>
          {ready.revision < at.revision && <p class="caution">{t("papers.stale")}</p>}
          <p>
            <a class="button" href={`${base}/sheets.zip`} download>{t("papers.get")}</a>
          </p>
          {byFolder(ready.files).map(([folder, files]) => (
            <section key={folder}>
              {folder && <h3>{folder}</h3>}
              <ul class="files">
                {files.map((f) => (
                  <li key={f.number}>
                    <a href={`${base}/sheets/${f.number}`} target="_blank" rel="noopener" data-name={f.name}>{f.name.slice(folder ? folder.length + 1 : 0)}</a>
                  </li>
                ))}
              </ul>
            </section>
          ))}
        </>
      )}
      <h3>{t("papers.job")}</h3>
      <p>{t("papers.job.how")}</p>
      <p>
        <a class="button" href={`${base}/export`} download>{t("papers.job")}</a>
      </p>
    </>
  );
};
