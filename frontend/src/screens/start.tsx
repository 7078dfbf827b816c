import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { get, order, post } from "../service/client";
import type { Jobs, Made } from "../service/types";
import { failed } from "../state/failed";
import { notice, say } from "../state/notice";
import { go } from "../state/route";
import { t } from "../words";
import { Tape } from "./tape";

type Job = Jobs["jobs"][number];
const MOST = 64_000_000; // that the service takes: told before half an hour of sending [bytes]

/** From nothing to a hill: four tape measurements, a file, or an example. */
export const Start = () => {
  const found = useSignal<Jobs>({ jobs: [], examples: [] });
  const away = useSignal<Job[]>([]), busy = useSignal(false);
  const load = (): Promise<void> => Promise.all([get<Jobs>("/api/jobs"), get<Jobs>("/api/jobs?archived=true")]).then(([open, archived]) => {
      found.value = open;
      away.value = archived.jobs;
    });
  useEffect(() => {
    document.title = t("app.name");
    void load().catch(failed);
  }, []);
  const putBack = (job: Job): void =>
    void order("POST", `/api/jobs/${encodeURIComponent(job.id)}/restore`).then(load).then(() => (notice.value = null)).catch(failed);
  const takeAway = (job: Job): void =>
    void order("DELETE", `/api/jobs/${encodeURIComponent(job.id)}`)
      .then(load)
      .then(() => say(t("start.away.done", { name: job.name }), { act: { words: t("start.back"), run: () => putBack(job) } }))
      .catch(failed);
  const begin = async (body: unknown, path = "/api/jobs"): Promise<void> => {
    busy.value = true;
    say(t("start.busy"));
    try {
      const made = await post<Made>(path, body);
      notice.value = null;
      go(`/jobs/${encodeURIComponent(made.id)}`);
    } catch (error) {
      failed(error);
    } finally {
      busy.value = false;
    }
  };
  const files = (list: FileList | null | undefined): void => {
    if (!list?.length) return;
    const large = [...list].find((file) => file.size > MOST);
    if (large) {
      const what = t("start.large", { name: large.name, most: MOST / 1e6 });
      return say(t("err.title"), { grave: true, lines: [`${what}. ${t("chosen.right", { right: t("start.large.right") })}`] });
    }
    const form = new FormData();
    for (const file of list) form.append("files", file, file.name);
    void begin(form, "/api/jobs/upload");
  };
  const yours = found.value.jobs;
  return (
    <main
      class="start"
      aria-busy={busy.value}
      onDragOver={(e) => e.preventDefault()}
      onDrop={(e) => {
        // a file that falls beside the box would take the place of the page
        e.preventDefault();
        if (!busy.value) files(e.dataTransfer?.files);
      }}
    >
      <header>
        <h1>{t("start.title")}</h1>
        <p class="lead">{t("start.lead")}</p>
        <p class="caution">{t("start.caution")}</p>
      </header>
      <div class="ways">
        <Tape begin={(body) => void begin(body)} busy={busy.value} />
        <div>
          <section aria-labelledby="by-example">
            <h2 id="by-example">{t("start.examples")}</h2>
            <p>{t("start.examples.how")}</p>
            <ul class="plainlist">
              {found.value.examples.map((e) => (
                <li key={e.key}>
                  <button type="button" class="wide" disabled={busy.value} onClick={() => void begin({ example: e.key })}>
                    <b>{e.name}</b> <span class="soft">{e.about}</span>
                  </button>
                </li>
              ))}
            </ul>
          </section>
          <section aria-labelledby="by-file">
            <h2 id="by-file">{t("start.file")}</h2>
            <p>{t("start.file.how")}</p>
            <label class="drop">
              {t("start.file.drop")}
              <input type="file" multiple disabled={busy.value} onChange={(e) => files(e.currentTarget.files)} />
            </label>
          </section>
          <section aria-labelledby="yours">
            <h2 id="yours">{t("start.yours")}</h2>
            {!yours.length && <p class="soft">{t("start.none")}</p>}
            <ul class="plainlist">
              {yours.map((j) => (
                <li key={j.id} class="hilled">
                  <a class="wide" href={`/jobs/${encodeURIComponent(j.id)}`}>
                    <b>{j.name}</b> <span class="soft">{t("start.revision", { n: j.revision, when: new Date(j.saved).toLocaleString() })}</span>
                  </a>
                  <button type="button" aria-label={`${t("start.away")}: ${j.name}`} onClick={() => takeAway(j)}>{t("start.away")}</button>
                </li>
              ))}
            </ul>
            {away.value.length > 0 && (
              <details>
                <summary>{t("start.taken")}</summary>
                <ul class="plainlist">
                  {away.value.map((j) => (
                    <li key={j.id} class="hilled">
                      <span class="wide">{j.name}</span>
                      <button type="button" aria-label={`${t("start.back")}: ${j.name}`} onClick={() => putBack(j)}>{t("start.back")}</button>
                    </li>
                  ))}
                </ul>
              </details>
            )}
          </section>
        </div>
      </div>
    </main>
  );
};
