import { parts } from "../state/job";
import { t } from "../words";
import { Mark } from "./verdict";

/** What says stop, wherever somebody goes on to build by it. */
export const Stops = () => {
  const said = (parts.value.answers?.answers ?? []).filter((a) => a.verdict === "stop");
  if (!said.length) return null;
  return (
    <section class="caution stops" aria-label={t("stops.title")}>
      <p>
        <b>{t("stops.title")}</b>
      </p>
      {said.map((a) => (
        <p key={a.number}>
          <Mark verdict="stop" /> <b>{t("stops.of", { n: a.number })}</b> {a.short}
        </p>
      ))}
    </section>
  );
};
