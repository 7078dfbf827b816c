import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { TextBox } from "../forms/box";
import { inWords } from "../forms/inputs";
import { get, post, Refused } from "../service/client";
import type { PriceBook, PriceRow, Problem, Saved } from "../service/types";
import { choose } from "../state/chosen";
import { own } from "../state/edits";
import { failed } from "../state/failed";
import { job, openPlan, planned, refreshJob } from "../state/job";
import { say } from "../state/notice";
import { t, tt } from "../words";

const MONEY = ["low", "price", "high"] as const;
const MORE = ["supplier", "date", "good_until"] as const;

/** The price book: every item that the plan needs, to be filled in and saved as one. */
export const Prices = () => {
  const book = useSignal<PriceBook | null>(null), touched = useSignal(false), wrong = useSignal<Problem[]>([]), wait = useSignal("");
  const at = job.value, base = `/api/jobs/${at?.id}/prices`;
  const load = (): void => {
    if (!at || touched.value) return;
    void get<PriceBook>(base).then((found) => ((book.value = found), (wait.value = ""))).catch((e) => (wait.value = e instanceof Refused ? e.problems.map((p) => p.right).join(" ") : t("gone.title")));
  };
  useEffect(load, [at?.id, planned.value]);
  if (!at || !book.value) return <Head>{wait.value || t("app.loading")}</Head>;
  const rows = book.value.rows;
  const put = (to: PriceRow[]): void => {
    touched.value = true;
    book.value = { ...book.value!, rows: to };
  };
  const set = (k: number, part: keyof PriceRow, value: unknown): void => put(rows.map((row, i) => (i === k ? { ...row, [part]: value === undefined ? "" : String(value) } : row)));
  const save = async (e: Event): Promise<void> => {
    e.preventDefault();
    wrong.value = [];
    try {
      own.add((await post<Saved>(base, { base: at.revision, rows })).revision);
      touched.value = false;
      say(t("prices.saved", { file: book.value!.file }));
      await refreshJob();
      await openPlan(at.id);
    } catch (error) {
      if (error instanceof Refused && error.status === 422) wrong.value = error.problems;
      else failed(error);
    }
  };
  const of = (k: number): Problem[] => wrong.value.filter((p) => p.where.endsWith(` line ${k + 2}`));
  const kinds = [...new Set(rows.map((r) => r.kind || "material"))];
  const known = rows.filter((r) => r.price).length;
  const others = wrong.value.filter((p) => !/ line \d+$/.test(p.where));
  return (
    <form onSubmit={(e) => void save(e)}>
      <Head>{t("prices.how", { known, all: rows.length })}</Head>
      {others.map((p) => (
        <p key={p.what} class="wrong" role="alert">{inWords(p, "")}</p>
      ))}
      {kinds.map((kind, first) => (
        <details key={kind} open={first === 0 || rows.some((r, k) => (r.kind || "material") === kind && of(k).length > 0)} data-kind={kind}>
          <summary>
            {tt(`prices.kind.${kind}`)} <span class="count">{rows.filter((r) => (r.kind || "material") === kind && r.price).length} / {rows.filter((r) => (r.kind || "material") === kind).length}</span>
          </summary>
          {rows.map((row, k) => (row.kind || "material") === kind && <Row key={k} row={row} k={k} problems={of(k)} set={(part, value) => set(k, part, value)} again={() => put(rows.toSpliced(k + 1, 0, { ...row, low: "", price: "", high: "", supplier: "", date: "", good_until: "" }))} remove={rows.filter((r) => r.item === row.item && r.kind === row.kind).length > 1 ? () => put(rows.toSpliced(k, 1)) : undefined} />)}
        </details>
      ))}
      <p class="acts stay">
        <button type="submit" class="main" disabled={!touched.value}>{t("prices.save")}</button>
      </p>
    </form>
  );
};

const Head = ({ children }: { children: string }) => (
  <>
    <button type="button" class="small back" onClick={() => choose({ kind: "question", number: 9 })}>{t("chosen.back")}</button>
    <h2 id="chosen-title">{t("prices.title")}</h2>
    <p>{children}</p>
  </>
);

interface RowProps {
  row: PriceRow;
  k: number;
  problems: Problem[];
  set: (part: keyof PriceRow, value: unknown) => void;
  again: () => void;
  remove?: () => void;
}

const Row = ({ row, k, problems, set, again, remove }: RowProps) => {
  const wrong = useSignal("");
  const box = (part: keyof PriceRow, shape: "number" | "text" | "date", words: string) => (
    <label class="small-box" key={part}>
      <span class="boxname">{words}</span>
      <TextBox shape={shape === "number" ? { kind: "number", whole: false } : { kind: shape }} value={row[part] === "" ? undefined : row[part]} set={(v) => set(part, v)} wrong={(said) => (wrong.value = said)} label={`${row.item}: ${words}`} dataKey={`${k}/${part}`} invalid={problems.length > 0} />
    </label>
  );
  return (
    <fieldset class="entry" data-item={row.item}>
      <legend class="unseen">{row.item}</legend>
      <p class="item">
        <b>{row.item}</b> {row.note && <span class="soft">{row.note}</span>}
      </p>
      <div class="boxes n3">{MONEY.map((part) => box(part, "number", t(`prices.${part}`)))}</div>
      <div class="boxes n2">
        {box("pack", "number", t("prices.pack"))}
        {box("unit", "text", t("prices.unit"))}
      </div>
      {wrong.value && <p class="wrong" role="alert">{wrong.value}</p>}
      {problems.map((p) => (
        <p key={p.what} class="wrong" role="alert">{inWords(p, "")}</p>
      ))}
      <details>
        <summary>{t("prices.more")}</summary>
        <div class="boxes n2">{MORE.map((part) => box(part, part === "supplier" ? "text" : "date", t(`prices.${part}`)))}</div>
        <p class="acts">
          <button type="button" class="small" onClick={again}>{t("prices.again")}</button>
          {remove && <button type="button" class="small" onClick={remove}>{t("form.remove")}</button>}
        </p>
      </details>
    </fieldset>
  );
};
