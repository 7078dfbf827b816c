import { number } from "../numbers";
import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { step, STEPS, tone } from "../hill/tone";
import { parts, units } from "../state/job";
import { at, shown } from "../state/shown";
import { show, unitOf } from "../units";
import { t, tt } from "../words";

/** What the tones mean, or the letters of what grows. */
export const Legend = () => {
  const s = shown.value;
  if (s.values) {
    if (s.kinds) return <Kinds name={s.name} kinds={s.kinds} />;
    const unit = unitOf(s.kind, units.value), after = unit && (unit === "°" ? unit : ` ${unit}`);
    return (
      <div class="legend" role="group" aria-label={tt(`show.${s.name}`)}>
        <span>{s.say(s.low)}{after}</span>
        <svg class="ramp" viewBox={`0 0 ${STEPS} 1`} preserveAspectRatio="none" aria-hidden="true">
          {Array.from({ length: STEPS }, (_, k) => (
            <rect key={k} x={k} width="1.02" height="1" fill={tone(k)} />
          ))}
        </svg>
        <span>{s.say(s.high)}{after}</span>
        {s.weakBelow !== undefined && <span class="note">{t("show.weak")}</span>}
      </div>
    );
  }
  const kinds = (parts.value.plants?.kinds ?? []).filter((k) => k.count > 0);
  if (s.name !== "plants" || !kinds.length) return null;
  return (
    <ul class="legend kinds">
      {kinds.map((k) => (
        <li key={k.id}>
          <b>{k.code}</b> {k.common} <span class="soft">{number(k.count, 0)}</span>
        </li>
      ))}
    </ul>
  );
};

/** A tone for each word, where what is shown is no quantity. */
const Kinds = ({ name, kinds }: { name: string; kinds: readonly string[] }) => (
  <ul class="legend kinds" aria-label={tt(`show.${name}`)}>
    {kinds.map((word, k) => (
      <li key={word}>
        <svg class="swatch" viewBox="0 0 1 1" aria-hidden="true">
          <rect width="1" height="1" fill={tone(step(k, 0, kinds.length - 1))} />
        </svg>{" "}
        {word}
      </li>
    ))}
  </ul>
);

const PACE = 220; // of one step when it is played [ms]

/** Months, or minutes of the storm, by hand or played. */
export const Player = () => {
  const playing = useSignal(false);
  const s = shown.value;
  useEffect(() => {
    if (!playing.value) return;
    const slow = s.steps <= 12 ? 4 : 1;
    const timer = setInterval(() => (at.value = (at.value + 1) % s.steps), PACE * slow);
    return () => clearInterval(timer);
  }, [playing.value, s.steps]);
  const now = Math.min(at.value, s.steps - 1);
  const name = s.stepName(now);
  const total = s.name === "held" && s.values ? Array.from(s.values as ArrayLike<number>).reduce((a, b) => a + (b || 0), 0) : null;
  return (
    <div class="player">
      <button type="button" onClick={() => (playing.value = !playing.value)}>{t(playing.value ? "hill.pause" : "hill.play")}</button>
      <input type="range" min={0} max={s.steps - 1} value={now} aria-label={tt(`show.${s.name}`)} aria-valuetext={name} onInput={(e) => (at.value = Number(e.currentTarget.value))} />
      <output>
        {name}
        {total !== null && ` · ${show(total, "water", units.value)}`}
      </output>
    </div>
  );
};
