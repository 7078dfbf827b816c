import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { get, post } from "../service/client";
import type { Jobs, Made } from "../service/types";
import { failed } from "../state/failed";
import { say } from "../state/notice";
import { go } from "../state/route";
import { t } from "../words";
import { Tape } from "./tape";

const MOST = 64_000_000; // that the service takes: told before half an hour of sending [bytes]

/** From nothing to a hill: four tape measurements, a file, or an example. */
export const Start = () => {
  const found = useSignal<Jobs>({ jobs: [], examples: [] });
  const busy = useSignal(false);
  useEffect(() => {
    document.title = t("app.name");
    void get<Jobs>("/api/jobs").then((f) => (found.value = f)).catch(failed);
  }, []);
  const begin = async (body: unknown, path = "/api/jobs"): Promise<void> => {
    busy.value = true;
    try {
      const made = await post<Made>(path, body);
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
  const yours = found.value.jobs.filter((j) => !j.archived);
  return (
    <main class="start" aria-busy={busy.value}>
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
            <label
              class="drop"
              onDragOver={(e) => e.preventDefault()}
              onDrop={(e) => {
                e.preventDefault();
                files(e.dataTransfer?.files);
              }}
            >
              {t("start.file.drop")}
              <input type="file" multiple disabled={busy.value} onChange={(e) => files(e.currentTarget.files)} />
            </label>
          </section>
          <section aria-labelledby="yours">
            <h2 id="yours">{t("start.yours")}</h2>
            {!yours.length && <p class="soft">{t("start.none")}</p>}
            <ul class="plainlist">
              {yours.map((j) => (
                <li key={j.id}>
                  <a class="wide" href={`/jobs/${encodeURIComponent(j.id)}`}>
                    <b>{j.name}</b> <span class="soft">{t("start.revision", { n: j.revision, when: new Date(j.saved).toLocaleString() })}</span>
                  </a>
                </li>
              ))}
            </ul>
          </section>
        </div>
      </div>
      {busy.value && <p role="status">{t("start.busy")}</p>}
    </main>
  );
};
