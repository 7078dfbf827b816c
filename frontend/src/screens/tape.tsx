import { number, typedNumber } from "../numbers";
import { useSignal } from "@preact/signals";
import type { System } from "../service/types";
import { longUnit } from "../units";
import { t } from "../words";

interface Row {
  at: string;
  up: string;
  angle: string;
}

const APART: Record<System, number> = { us: 8, metric: 2.5 };
const along = (k: number, units: System): string => number(k * APART[units], 1, 0);
const first = (units: System): Row[] => [0, 1, 2, 3].map((k) => ({ at: along(k, units), up: "", angle: "" }));

/** Told by the browser beside the box, where it asks to be filled in too. */
const check = (box: HTMLInputElement, least: number, most: number): void => {
  const found = typedNumber(box.value);
  box.setCustomValidity(!box.value || (found >= least && found <= most) ? "" : t("form.between", { least: number(least, 0), most: number(most, 0) }));
};

/** Four tapes up the slope, typed in: the whole survey. */
export const Tape = ({ begin, busy }: { begin: (body: unknown) => void; busy: boolean }) => {
  const units = useSignal<System>("us"), name = useSignal(""), rows = useSignal(first("us"));
  const unit = longUnit(units.value).unit;
  const set = (k: number, part: keyof Row, value: string): void => {
    rows.value = rows.value.map((r, i) => (i === k ? { ...r, [part]: value } : r));
  };
  const lay = (e: Event): void => {
    e.preventDefault();
    const sections = rows.value.map((r) => ({ station: `${typedNumber(r.at)} ${unit}`, legs: [{ distance: `${typedNumber(r.up)} ${unit}`, angle: `${typedNumber(r.angle)} deg` }] }));
    begin({ name: name.value.trim() || t("start.tape.name.value"), units: units.value, sections });
  };
  const cell = (k: number, part: keyof Row, words: string, of: string, most: number) => (
    <td>
      <label>
        <span class="unseen">{t("start.tape.section", { n: k + 1 })}, {words}</span>
        <input type="text" inputMode="decimal" required name={`${part}-${k + 1}`} value={rows.value[k][part]} onInput={(e) => (check(e.currentTarget, part === "angle" ? -89 : 0, most), set(k, part, e.currentTarget.value))} />
        <span aria-hidden="true"> {of}</span>
      </label>
    </td>
  );
  return (
    <section class="tape" aria-labelledby="by-tape">
      <h2 id="by-tape">{t("start.tape")}</h2>
      <p>{t("start.tape.how")}</p>
      <Sketch />
      <form onSubmit={lay}>
        <label class="named">
          {t("start.tape.name")}
          <input type="text" maxLength={80} name="name" value={name.value} placeholder={t("start.tape.name.value")} onInput={(e) => (name.value = e.currentTarget.value)} />
        </label>
        <fieldset class="choices">
          <legend>{t("start.tape.units")}</legend>
          {(["us", "metric"] as const).map((u) => (
            <label key={u}>
              <input
                type="radio"
                name="units"
                checked={units.value === u}
                onChange={() => {
                  units.value = u;
                  rows.value = rows.value.map((r, k) => ({ ...r, at: along(k, u) }));
                }}
              />{" "}
              {t(u === "us" ? "start.tape.us" : "start.tape.metric")}
            </label>
          ))}
        </fieldset>
        <table>
          <thead>
            <tr>
              <td />
              <th scope="col">{t("start.tape.at")}</th>
              <th scope="col">{t("start.tape.up")}</th>
              <th scope="col">{t("start.tape.angle")}</th>
            </tr>
          </thead>
          <tbody>
            {rows.value.map((_, k) => (
              <tr key={k}>
                <th scope="row">{k + 1}</th>
                {cell(k, "at", t("start.tape.at"), unit, 5000)}
                {cell(k, "up", t("start.tape.up"), unit, 5000)}
                {cell(k, "angle", t("start.tape.angle"), "°", 89)}
              </tr>
            ))}
          </tbody>
        </table>
        <p class="acts">
          <button type="submit" class="main" disabled={busy}>{t("start.tape.go")}</button>
          <button type="button" class="small" onClick={() => (rows.value = [...rows.value, { at: along(rows.value.length, units.value), up: "", angle: "" }])}>{t("start.tape.more")}</button>
          {rows.value.length > 2 && (
            <button type="button" class="small" onClick={() => (rows.value = rows.value.slice(0, -1))}>{t("start.tape.less")}</button>
          )}
        </p>
      </form>
    </section>
  );
};

/** What is measured, as one would sketch it on a plank. */
const Sketch = () => (
  <svg class="sketch" viewBox="0 0 300 112" aria-hidden="true">
    <path class="ground" d="M8 92h28L236 24h56" />
    <path class="line" d="M36 84 232 17" />
    <path class="thin" d="M36 92h70M78 92a42 42 0 0 0-2.4-14" />
    <circle cx="36" cy="92" r="3.5" />
    <text x="84" y="87">{t("start.tape.angle")}</text>
    <text x="112" y="42" transform="rotate(-18.8 112 42)">{t("start.tape.up")}</text>
    <text x="8" y="108">{t("start.tape.at")}</text>
  </svg>
);
