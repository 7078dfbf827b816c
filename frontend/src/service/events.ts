/** What the service tells while a plan is worked out. */

import { job, openPlan, planned, problems, refining, refreshJob, running, slow, stopped, take } from "../state/job";
import { busy, own } from "../state/edits";
import { failed } from "../state/failed";
import { say } from "../state/notice";
import { made, type Told } from "../state/papers";
import { heard } from "../field/ticks";
import { t } from "../words";
import { Gone, shut } from "./client";
import type { Problem } from "./types";

/** Listen until the returned function is called. The browser comes back by itself when cut off. A tab that nobody
 *  looks at does not listen: a browser has six lines to a service, and a seventh hill would wait for ever. */
export const listen = (id: string): (() => void) => {
  const deaf = (): void => undefined;
  let stop = document.hidden ? deaf : hear(id, false);
  const turn = (): void => {
    stop();
    stop = document.hidden ? deaf : hear(id, true);
  };
  document.addEventListener("visibilitychange", turn);
  return () => {
    document.removeEventListener("visibilitychange", turn);
    stop();
  };
};

/** @param again after a break: what was told meanwhile is asked for. */
const hear = (id: string, again: boolean): (() => void) => {
  const source = new EventSource(`/api/jobs/${id}/events`);
  const on = <T>(name: string, hear: (data: T) => void): void =>
    source.addEventListener(name, (event) => {
      if (job.value?.id === id) hear(JSON.parse((event as MessageEvent<string>).data));
    });
  let opened = again;
  source.addEventListener("open", () => {
    if (opened) void refreshJob().then(() => openPlan(id)).catch(() => undefined);
    opened = true;
  });
  source.addEventListener("error", () => {
    // refused, not merely cut off: the browser does not come back by itself, and the person must know
    if (source.readyState === EventSource.CLOSED) void refreshJob().then(() => shut.value && failed(new Gone(true))).catch(failed);
  });
  on<{ number: number; by?: string; summary: string }>("revision", ({ number, summary }) => {
    const at = job.value!.revision;
    if (number === at) return;
    void refreshJob().catch(() => undefined);
    // what this page did comes back as an event too, sometimes before its own answer
    if (!busy() && !own.has(number) && number > at) say(t("save.changed", { what: summary }));
  });
  on<{ revision: number; stage: string; share: number; parts?: Record<string, string>; refining?: boolean }>("stage", (e) => {
    if (e.refining) refining.value = e.stage;
    else if (e.stage === refining.value && Object.keys(e.parts ?? {}).length) refining.value = "";
    stopped.value = false;
    running.value = { stage: e.stage, share: e.share };
    if (e.parts) void take(id, e.parts);
  });
  on<{ revision: number; parts?: Record<string, string> }>("plan", (e) => {
    running.value = null;
    slow.value = false;
    refining.value = "";
    planned.value = e.revision;
    problems.value = [];
    if (e.parts) void take(id, e.parts);
    else void openPlan(id).catch(() => undefined);
  });
  on<{ problems: Problem[] }>("problems", (e) => {
    running.value = null;
    problems.value = e.problems;
  });
  on("cancelled", () => {
    running.value = null;
    slow.value = false;
    refining.value = "";
    stopped.value = true;
    say(t("app.stopped"));
  });
  on("slow", () => (slow.value = true));
  on("ticks", () => void heard(id));
  on<Told>("sheets", (e) => made(e));
  on("again", () => void openPlan(id).catch(() => undefined));
  return () => source.close();
};
