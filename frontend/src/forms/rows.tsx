import { useSignal } from "@preact/signals";
import type { Change, Json, Problem } from "../service/types";
import { submitted, valueAt } from "../state/edits";
import { t, tt } from "../words";
import { FieldBox, inWords, JobField, pointerOf } from "./inputs";
import { keyWords, titleOf } from "./naming";
import { fieldsIn, ruleAt, type Schema } from "./schema";
import { RowActs } from "./value";

type Item = Record<string, unknown>;

/** Tables of which a job may hold several (wishes, people, mixes): one below the other. */
export const Tables = ({ root, path }: { root: Schema; path: string }) => {
  const items = (valueAt(path) as Item[] | undefined) ?? [], section = path.slice(1);
  const draft = useSignal<Item | null>(null), wrong = useSignal<Problem[]>([]);
  const name = (k: number): string => `${one(section)} ${k + 1}`;
  const send = (words: string, patch: Change[]): Promise<Problem[]> => submitted(words, patch).then((found) => (wrong.value = found));
  const remove = (k: number): void =>
    void send(t("edit.removed", { what: titleOf(items[k]) }), [{ op: "remove", path: items.length === 1 ? path : `${path}/${k}` }]);
  const move = (k: number, by: number): void =>
    void send(t("edit.moved", { what: titleOf(items[k]) }), [{ op: "remove", path: `${path}/${k}` }, { op: "add", path: `${path}/${k + by}`, value: items[k] as Json }]);
  return (
    <div class="tables">
      {about(section) && <p class="help">{about(section)}</p>}
      {items.map((item, k) => (
        <div class="table-row" key={`${k} ${titleOf(item)}`}>
          <details data-item={`${path}/${k}`}>
            <summary>{titleOf(item)}</summary>
            {fieldsIn(root, `${path}/${k}`).map((f) => (
              <JobField key={f.path} field={f} name={`${one(section)} ${titleOf(item)}, ${keyWords(f.key)}`} />
            ))}
          </details>
          <RowActs name={`${name(k)}, ${titleOf(item)}`} first={k === 0} last={k === items.length - 1} move={(by) => move(k, by)} remove={() => remove(k)} />
        </div>
      ))}
      {!draft.value && wrong.value.length > 0 && (
        <div class="wrong" role="alert">
          {wrong.value.map((p) => (
            <p key={p.where + p.what}>{inWords(p, path)}</p>
          ))}
        </div>
      )}
      {draft.value ? (
        <NewTable root={root} path={path} at={items.length} item={draft.value} put={(to) => (draft.value = to)} send={send} />
      ) : (
        <button type="button" class="small" data-add={section} onClick={() => ((draft.value = {}), (wrong.value = []))}>{t("form.add-one", { what: one(section) })}</button>
      )}
    </div>
  );
};

interface NewProps {
  root: Schema;
  path: string;
  at: number;
  item: Item;
  put: (item: Item | null) => void;
  send: (words: string, patch: Change[]) => Promise<Problem[]>;
}

/** One that is being typed: it goes into the job when all that it must have is there. */
const NewTable = ({ root, path, at, item, put, send }: NewProps) => {
  const section = path.slice(1), wrong = useSignal<Problem[]>([]);
  const place = `${path}/${at}`, needed = ruleAt(root, `${path}/-`)?.required ?? [];
  const fields = fieldsIn(root, place).map((f) => ({ ...f, path: place + f.path.slice(place.length) }));
  const ordered = [...fields.filter((f) => f.required), ...fields.filter((f) => !f.required)];
  const missing = needed.filter((key) => item[key] === undefined);
  const set = (key: string) => (to: unknown): Promise<Problem[]> => {
    const { [key]: _old, ...rest } = item;
    put(to === undefined ? rest : { ...rest, [key]: to });
    wrong.value = wrong.value.filter((p) => pointerOf(p.where) !== `${place}/${key}`);
    return Promise.resolve([]);
  };
  const add = (e: Event): void => {
    e.preventDefault();
    if (missing.length) return;
    const value = item as Json, held = valueAt(path) as unknown[] | undefined;
    const patch: Change = held?.length ? { op: "add", path: `${path}/-`, value } : { op: held ? "replace" : "add", path, value: [value] };
    void send(t("edit.added", { what: `${one(section)} ${titleOf(item)}` }), [patch]).then((found) => (found.length ? (wrong.value = found) : put(null)));
  };
  const mine = (p: Problem, key: string): boolean => pointerOf(p.where)?.startsWith(`${place}/${key}`) ?? false;
  const other = wrong.value.filter((p) => !ordered.some((f) => mine(p, f.key)));
  return (
    <form class="entry" data-new={section} onSubmit={add}>
      <h4>{t("form.new", { what: one(section) })}</h4>
      {ordered.map((f) => (
        <FieldBox key={f.key} field={f} value={item[f.key]} set={set(f.key)} problems={wrong.value.filter((p) => mine(p, f.key))} />
      ))}
      {other.map((p) => (
        <p key={p.where + p.what} class="wrong" role="alert">{inWords(p, place)}</p>
      ))}
      {missing.length > 0 && <p class="help">{t("form.missing", { what: missing.map((k) => keyWords(k)).join(", ") })}</p>}
      <p class="acts">
        <button type="submit" class="main" disabled={missing.length > 0}>{t("form.put-in")}</button>
        <button type="button" class="small" onClick={() => put(null)}>{t("form.leave")}</button>
      </p>
    </form>
  );
};

/** What one of several is called: "wish". */
const one = (section: string): string => tt(`one.${section}`);
const about = (section: string): string => {
  const found = tt(`about.${section}`);
  return found === section ? "" : found;
};
