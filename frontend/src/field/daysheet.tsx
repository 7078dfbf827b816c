import { signal } from "@preact/signals";
import { parts } from "../state/job";
import { t } from "../words";
import { Tick, type Marked } from "./field";

/** Which day is looked at; 0 until somebody turns the page: then it is today's, where the days have dates. */
const day = signal(0);

/** The day of the work that a date falls on or comes before; the first where the days have none. */
export const dayOf = (dates: readonly string[], today: string): number => {
  const at = dates.findIndex((date) => date >= today);
  return at < 0 ? Math.max(1, dates.length) : at + 1;
};

const today = (): string => {
  const now = new Date(), two = (n: number): string => String(n).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
};

/** What is to be done on one day of the work. */
export const DaySheet = (marked: Marked) => {
  const schedule = parts.value.schedule;
  if (!schedule) return <p>{t("field.none-day")}</p>;
  const now = Math.min(day.value || dayOf(schedule.dates, today()), Math.max(1, schedule.days));
  const due = schedule.tasks.filter((k) => k.day <= now && now <= k.until);
  const date = schedule.dates[now - 1];
  return (
    <section aria-labelledby="day">
      <div class="days">
        <button type="button" disabled={now <= 1} onClick={() => (day.value = now - 1)}>{t("field.prev")}</button>
        <h2 id="day" aria-live="polite">
          {t("field.day.n", { n: now })} {date && <span class="soft">{new Date(date + "T12:00").toLocaleDateString()}</span>}
        </h2>
        <button type="button" disabled={now >= schedule.days} onClick={() => (day.value = now + 1)}>{t("field.next")}</button>
      </div>
      {!due.length && <p>{t("field.none-day")}</p>}
      <div class="ticks">
        {due.map((k) => (
          <Tick key={k.id} at={`task/${k.name}`} words={`${k.name} · ${t("field.people", { n: k.people })}`} {...marked} />
        ))}
      </div>
    </section>
  );
};
