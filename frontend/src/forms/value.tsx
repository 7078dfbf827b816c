import { t, tt } from "../words";
import { TextBox, type BoxProps } from "./box";
import { useDraft } from "./draft";
import { OptionsBox } from "./options";
import { FilePick, KnownPick, Pick, PlantPick } from "./pick";
import { readRange, there, writeMonths, writeRange } from "./ranges";
import { boxNames, type Shape } from "./shape";

/** What a whole value needs besides a box: where it is, so that its boxes can be named. */
export interface ValueProps extends BoxProps {
  path: string;
  /** What holds where nothing is set: the schema's own default. */
  standard?: unknown;
  /** Of the boxes of a row, where they differ. */
  units?: string[];
}

/** The box, or the boxes, for a value of any shape. */
export const Value = (p: ValueProps) => {
  const s = p.shape;
  switch (s.kind) {
    case "choice":
      return <Pick {...p} choices={s.of.map((value) => ({ value, words: tt(`choice.${value}`) }))} />;
    case "flag":
      return <Pick {...p} value={p.value === undefined ? undefined : String(p.value)} set={(to) => p.set(to === undefined ? undefined : to === "true")} choices={[{ value: "true", words: t("form.yes") }, { value: "false", words: t("form.no") }]} />;
    case "known":
      return <KnownPick {...p} of={s.of} mixes={s.mixes} />;
    case "plant":
      return <PlantPick {...p} kinds={s.kinds} />;
    case "file":
      return <FilePick {...p} />;
    case "set":
      return <SetBox {...p} of={s.of} />;
    case "tuple":
      return <RowsOfBoxes {...p} of={s} single />;
    case "list":
      return <RowsOfBoxes {...p} of={s.of} />;
    case "range":
      return <FixedBoxes {...p} of={s.of} names={["lowest", "likeliest", "highest"]} read={readRange} write={writeRange} />;
    case "months":
      return <FixedBoxes {...p} of={s.of} names={MONTHS} read={(v) => (Array.isArray(v) ? v : [])} write={writeMonths} />;
    case "options":
      return <OptionsBox {...p} />;
    default:
      return <TextBox {...p} />;
  }
};

/** Any of a few words: a tick for each. */
const SetBox = ({ value, set, standard, of, path, label, describedBy }: ValueProps & { of: string[] }) => {
  const held = Array.isArray(value), now = (held ? value : Array.isArray(standard) ? standard : []) as string[];
  const flip = (word: string): void => {
    const to = of.filter((w) => (w === word ? !now.includes(w) : now.includes(w)));
    set(to.length ? to : undefined);
  };
  return (
    <div class={`anyof ${held ? "" : "soft"}`} role="group" aria-label={label} aria-describedby={describedBy}>
      {of.map((word) => (
        <label key={word}>
          <input type="checkbox" data-key={`${path}/${word}`} checked={now.includes(word)} onChange={() => flip(word)} /> {word}
        </label>
      ))}
    </div>
  );
};

type Row = unknown[];
const whole = (row: Row, n: number): boolean => row.length >= n && row.slice(0, n).every(there);
const rowOf = (item: unknown, of: Shape): Row => (of.kind === "tuple" ? (Array.isArray(item) ? [...item] : []) : [item]);
const itemOf = (row: Row, of: Shape): unknown => (of.kind === "tuple" ? row.slice(0, of.of.length) : row[0]);

/** A list of values or of groups of them, each on a row that can be moved and taken away. A row that
 *  is not full yet is kept here, and the list is saved when all are. */
const RowsOfBoxes = ({ of, single, ...p }: ValueProps & { of: Shape; single?: boolean }) => {
  const boxes = of.kind === "tuple" ? of.of : [of], names = boxNames(of, p.path);
  const given: Row[] = p.value === undefined ? [] : single ? [rowOf(p.value, of)] : (Array.isArray(p.value) ? p.value : [p.value]).map((v) => rowOf(v, of));
  const draft = useDraft<Row[]>(p.value);
  const rows = draft.now ?? (given.length || !single ? given : [[]]);
  const change = (to: Row[]): void => {
    draft.keep(to);
    if (single && !to[0].some(there)) return p.set(undefined);
    if (!to.every((row) => whole(row, boxes.length))) return;
    const all = to.map((row) => itemOf(row, of));
    p.set(single ? all[0] : all.length ? all : undefined);
  };
  const put = (r: number, k: number, v: unknown): void =>
    change(rows.map((row, i) => (i === r ? boxes.map((_, j) => (j === k ? v : row[j])) : row)));
  const swap = (r: number, by: number): void => change(rows.map((row, i) => (i === r ? rows[r + by] : i === r + by ? rows[r] : row)));
  const short = rows.some((row) => !whole(row, boxes.length) && (!single || row.some(there)));
  return (
    <div class="rowset" role="group" aria-label={p.label} aria-describedby={p.describedBy}>
      {rows.map((row, r) => (
        <div class="rowline" key={r}>
          {boxes.map((box, k) => (
            <label key={k} class="small-box">
              {names[k] && <span class="boxname">{tt(`box.${names[k]}`)} {p.units?.[k]}</span>}
              <Value {...p} id={undefined} describedBy={undefined} path={`${p.path}/${r}`} shape={box} unit={p.units?.[k] ?? p.unit} value={row[k]} set={(v) => put(r, k, v)} usual="" label={boxLabel(p.label, single ? 0 : r + 1, names[k])} dataKey={dataKey(p.path, single, r, boxes.length > 1 ? k : -1)} />
            </label>
          ))}
          {!single && <RowActs name={`${p.label ?? ""} ${r + 1}`} first={r === 0} last={r === rows.length - 1} move={(by) => swap(r, by)} remove={() => change(rows.filter((_, i) => i !== r))} />}
        </div>
      ))}
      {short && <p class="help">{t("form.short")}</p>}
      {!single && <button type="button" class="small" aria-label={`${t("form.add")}: ${p.label ?? ""}`} onClick={() => draft.keep([...rows, []])}>{t("form.add")}</button>}
    </div>
  );
};

const dataKey = (path: string, single: boolean | undefined, r: number, k: number): string => path + (single ? "" : `/${r}`) + (k < 0 ? "" : `/${k}`);
const boxLabel = (label: string | undefined, row: number, name: string): string => [label, row || "", name && tt(`box.${name}`)].filter(Boolean).join(" ");

/** Move and take away, for a row of any kind. */
export const RowActs = ({ name, first, last, move, remove }: { name: string; first: boolean; last: boolean; move: (by: number) => void; remove: () => void }) => (
  <span class="rowacts">
    <button type="button" class="small" disabled={first} title={t("form.up")} aria-label={`${t("form.up")}: ${name}`} onClick={() => move(-1)}>↑</button>
    <button type="button" class="small" disabled={last} title={t("form.down")} aria-label={`${t("form.down")}: ${name}`} onClick={() => move(1)}>↓</button>
    <button type="button" class="small" title={t("form.remove")} aria-label={`${t("form.remove")}: ${name}`} onClick={remove}>×</button>
  </span>
);

interface Fixed {
  of: Shape;
  names: readonly string[];
  read: (value: unknown) => unknown[];
  /** The value, or nothing; "short" where more must be typed first. */
  write: (boxes: unknown[]) => unknown;
}

/** A given number of boxes that make one value together. */
const FixedBoxes = ({ of, names, read, write, ...p }: ValueProps & Fixed) => {
  const draft = useDraft<unknown[]>(p.value);
  const boxes = draft.now ?? read(p.value);
  const put = (k: number, v: unknown): void => {
    const to = names.map((_, i) => (i === k ? v : boxes[i]));
    draft.keep(to);
    const made = write(to);
    if (made !== "short") p.set(made);
  };
  return (
    <div class={`boxes n${names.length}`} role="group" aria-label={p.label} aria-describedby={p.describedBy}>
      {names.map((name, k) => (
        <label key={name} class="small-box">
          <span class="boxname">{tt(name.startsWith("month.") ? name : `box.${name}`)}</span>
          <Value {...p} id={undefined} describedBy={undefined} shape={of} value={boxes[k]} set={(v) => put(k, v)} usual="" label={`${p.label ?? ""} ${tt(name.startsWith("month.") ? name : `box.${name}`)}`} dataKey={`${p.path}/${k}`} />
        </label>
      ))}
      {draft.now && write(boxes) === "short" && <p class="help">{t("form.short")}</p>}
    </div>
  );
};

const MONTHS = Array.from({ length: 12 }, (_, k) => `month.${k + 1}`);
