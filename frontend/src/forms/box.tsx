import { savedNumbers, shownNumbers, typedNumber } from "../numbers";
import { t } from "../words";
import { useDraft } from "./draft";
import { withUnit } from "./measures";
import type { Shape } from "./shape";

/** What every box gets: what it holds, how to change it, and how it is called. */
export interface BoxProps {
  shape: Shape;
  value: unknown;
  set: (to: any) => void;
  /** Said where what was typed cannot be used as it stands. */
  wrong: (words: string) => void;
  id?: string;
  label?: string;
  unit?: string;
  usual?: string;
  dataKey?: string;
  describedBy?: string;
  invalid?: boolean;
}

const NUMERIC: readonly Shape["kind"][] = ["quantity", "number", "amount"];

/** One box to type in. What was typed stays until it is saved, also where it was refused. */
export const TextBox = ({ shape, value, set, wrong, id, label, unit = "", usual, dataKey, describedBy, invalid }: BoxProps) => {
  const numeric = NUMERIC.includes(shape.kind);
  const held = value === undefined || value === null ? "" : numeric ? shownNumbers(String(value)) : String(value);
  const typed = useDraft<string>(held);
  const done = (raw: string): void => {
    wrong("");
    if (!raw.trim()) return set(undefined);
    if (!numeric) return set(raw.trim());
    const saved = savedNumbers(raw.trim());
    if (saved === null) return wrong(t("form.unsure", { typed: raw.trim() }));
    const plain = typedNumber(raw);
    if (shape.kind === "number" || (shape.kind === "amount" && Number.isFinite(plain))) {
      if (Number.isFinite(plain)) set(plain);
      else wrong(t("form.number", { typed: raw.trim() }));
    } else set(withUnit(saved, unit));
  };
  return (
    <input
      type={(shape.kind === "date" ? "date" : "text") as "text"}
      inputMode={shape.kind === "number" ? "decimal" : undefined}
      id={id}
      aria-label={label}
      data-key={dataKey}
      aria-describedby={describedBy}
      aria-invalid={invalid ? "true" : undefined}
      placeholder={usual}
      value={typed.now ?? held}
      onInput={(e) => typed.keep(e.currentTarget.value)}
      onChange={(e) => done(e.currentTarget.value)}
    />
  );
};
