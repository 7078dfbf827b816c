import { LOOK } from "../hill/look";
import { parts } from "../state/job";
import { layers } from "../state/shown";
import { t } from "../words";

/** What the lines and marks of the drawing mean; only those that are on it. */
export const Lines = () => {
  const { ground, cells, drains, drip, bars, plants } = parts.value, on = layers.value;
  if (!ground) return null;
  return (
    <details class="lines">
      <summary>{t("lines.title")}</summary>
      <ul class="legend kinds">
        <Line words={t("lines.outline")} colour={LOOK.ink} width={1.8} />
        {cells && <Line words={t("lines.string")} colour={LOOK.accent} width={2.2} />}
        <Line words={t("lines.contour")} colour={LOOK.strong} width={1.4} />
        {ground.exclusions.length > 0 && <Line words={t("lines.keep-off")} colour={LOOK.ink} width={1.2} dash="6 3" />}
        {plants && <Sign words={t("lines.walking")} path="M1 3h18M1 7h18M1 11h18" colour={LOOK.soft} behind={LOOK.tread} />}
        {ground.entries.length > 0 && <Sign words={t("lines.entry")} path="M5 12h10L10 2z" colour={LOOK.ink} />}
        {drains?.drains.length ? <Line words={t("lines.drain")} colour={LOOK.water} width={2.4} dash="10 3 2 3" /> : null}
        {on.bars && bars && <Sign words={t("lines.bar")} path="m6 3 8 8m0-8-8 8" colour={LOOK.ink} />}
        {on.drip && drip && <Line words={t("lines.pipe")} colour={LOOK.water} width={2.6} />}
        {on.spots && <Line words={t("show.spots")} colour={LOOK.accent} width={1.2} dash="3 3" />}
      </ul>
    </details>
  );
};

const Line = ({ words, colour, width, dash }: { words: string; colour: string; width: number; dash?: string }) => (
  <li>
    <svg class="sign" viewBox="0 0 34 14" aria-hidden="true">
      <path d="M1 7h32" fill="none" stroke={colour} stroke-width={width} stroke-dasharray={dash} />
    </svg>{" "}
    {words}
  </li>
);

const Sign = ({ words, path, colour, behind = "none" }: { words: string; path: string; colour: string; behind?: string }) => (
  <li>
    <svg class="sign" viewBox="0 0 20 14" aria-hidden="true">
      <path d="M1 0h18v14H1z" fill={behind} />
      <path d={path} fill="none" stroke={colour} stroke-width="1.5" />
    </svg>{" "}
    {words}
  </li>
);
