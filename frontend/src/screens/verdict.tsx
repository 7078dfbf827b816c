import type { Verdict } from "../parts/model";
import { tt } from "../words";

/** A verdict by shape, word and tone: ring, triangle, filled square; so that no one of them is needed. */
export const Mark = ({ verdict }: { verdict: Verdict | "wait" }) => (
  <span class={`mark ${verdict.replace(" ", "-")}`}>
    <svg viewBox="0 0 16 16" aria-hidden="true">
      {verdict === "clear" ? <circle cx="8" cy="8" r="5.5" /> : null}
      {verdict === "with measures" ? <path d="M8 2.2 14.5 13.5h-13z" /> : null}
      {verdict === "stop" ? <path d="M2 2h12v12H2z" /> : null}
      {verdict === "not yet" || verdict === "wait" ? <path d="M2.5 8h11" /> : null}
    </svg>
    <span>{tt(`verdict.${verdict}`)}</span>
  </span>
);
