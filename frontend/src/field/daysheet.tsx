import { signal } from "@preact/signals";
import { parts } from "../state/job";
import { t } from "../words";
import { Tick, type Marked } from "./field";

const day = signal(1);

/** What is to be done on one day of the work. */
export const DaySheet = (marked: Marked) => {
  const schedule = parts.value.schedule;
  if (!schedule) return <p>{t("field.none-day")}</p>;
  const now = Math.min(Math.max(1, day.value), Math.max(1, schedule.days));
  const today = schedule.tasks.filter((k) => k.day <= now && now <= k.until);
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
      {!today.length && <p>{t("field.none-day")}</p>}
      <div class="ticks">
        {today.map((k) => (
          <Tick key={k.id} at={`task/${k.name}`} words={`${k.name} · ${t("field.people", { n: k.people })}`} {...marked} />
        ))}
      </div>
    </section>
  );
};
