import { useSignal } from "@preact/signals";
import { useEffect, useId } from "preact/hooks";
import { shownNumbers } from "../numbers";
import type { Problem } from "../service/types";
import { setKey, valueAt } from "../state/edits";
import { job, units } from "../state/job";
import { t, tt } from "../words";
import { inUnits } from "./measures";
import { keyWords, placeWords, said, sectionWords } from "./naming";
import { Tables } from "./rows";
import { bare, fieldsIn, loadSchema, schema, usualValue, type Field } from "./schema";
import { wide } from "./shape";
import { unitFor, unitsAt } from "./unitfor";
import { Value } from "./value";

/** Forms for some sections of the job file: what is set, and what holds where nothing is. */
export const Inputs = ({ sections }: { sections: string[] }) => {
  useEffect(loadSchema, []);
  const root = schema.value;
  if (!root || !job.value) return null;
  const found = sections.map((s) => [s, fieldsIn(root, `/${s}`)] as const).filter(([, fields]) => fields.length);
  return (
    <div class="inputs">
      {found.map(([section, fields], i) => (
        <details key={section} open={i === 0} data-section={section}>
          <summary>
            {sectionWords(section)}
            {fields[0].shape.kind === "rows" && <span class="count"> {((valueAt(`/${section}`) as unknown[]) ?? []).length}</span>}
          </summary>
          {fields.map((f) => (f.shape.kind === "rows" ? <Tables key={f.path} root={root} path={f.path} /> : <JobField key={f.path} field={f} />))}
        </details>
      ))}
    </div>
  );
};

/** A field that is saved as soon as it is changed. */
export const JobField = ({ field, name = keyWords(field.key) }: { field: Field; name?: string }) => {
  const words = (to: unknown): string => (to === undefined ? t("edit.left-out", { key: name }) : t("edit.set", { key: name, value: said(to) }));
  return <FieldBox field={field} value={valueAt(field.path)} set={(to) => setKey(field.path, to, words(to))} />;
};

interface FieldProps {
  field: Field;
  value: unknown;
  /** Answers with what is wrong with it; nothing where it is well. */
  set: (to: any) => Promise<readonly Problem[]>;
  /** What is wrong with it as it stands, told by whoever saves it. */
  problems?: readonly Problem[];
}

/** Label, box, what is wrong, what it is: one key of the job. */
export const FieldBox = ({ field, value, set, problems = [] }: FieldProps) => {
  const id = useId(), held = value !== undefined, large = wide(field.shape);
  const wrong = useSignal<string[]>([]);
  const put = (to: any): void => {
    wrong.value = [];
    if (JSON.stringify(to) === JSON.stringify(value)) return;
    void set(to).then((found) => (wrong.value = found.map((p) => inWords(p, field.path))));
  };
  const system = units.value, own = (text: string): string => shownNumbers(bare(inUnits(text, system)));
  const unit = unitFor(field, value), label = keyWords(field.key);
  const usual = field.required ? "" : own(usualOf(field)) || (field.shape.kind === "quantity" ? t("form.such-as", { example: own(/"([^"]*)"/.exec(field.example)?.[1] ?? "") }) : "");
  const told = [...wrong.value, ...problems.map((p) => inWords(p, field.path))];
  const about = [field.help && `${id}-help`, told.length && `${id}-wrong`].filter(Boolean).join(" ") || undefined;
  const naming = (
    <>
      {label}
      {unit && <span class="unit"> {unit}</span>}
      {field.required && <span class="unit"> {t("form.required")}</span>}
    </>
  );
  return (
    <div class={`input ${held ? "held" : ""} ${large ? "large" : ""}`}>
      {large ? <span class="name">{naming}</span> : <label for={id}>{naming}</label>}
      <Value
        shape={field.shape} path={field.path} standard={field.standard} value={value} set={put} wrong={(words) => (wrong.value = words ? [words] : [])}
        id={id} label={large || field.shape.kind === "file" ? label : undefined} unit={unit} units={unitsAt(field)} usual={usual} dataKey={field.path} describedBy={about} invalid={told.length > 0}
      />
      {held && !field.required && (
        <button type="button" class="small reset" aria-label={`${t("form.reset")}: ${label}`} onClick={() => put(undefined)}>{t("form.reset")}</button>
      )}
      {told.length > 0 && (
        <div id={`${id}-wrong`} class="wrong" role="alert">
          {told.map((words) => (
            <p key={words}>{words}</p>
          ))}
        </div>
      )}
      {field.help && (
        <p id={`${id}-help`} class="help">
          {sentence(own(field.help))} {takesOf(field) ? `${t("form.takes", { takes: own(takesOf(field)) })} ` : ""}
          {!held && field.usual && !field.required ? t("form.left-out", { usual: own(field.usual) }) : ""}
        </p>
      )}
    </div>
  );
};

/** What is usual, as a box or a choice shows it. */
const usualOf = (field: Field): string => {
  const found = usualValue(field.usual);
  if (field.shape.kind === "flag") return found && t("form.usual", { usual: t(found === "true" ? "form.yes" : "form.no") });
  if (["choice", "known", "plant"].includes(field.shape.kind)) return found && t("form.usual", { usual: tt(`choice.${found}`) });
  return /^-?[\d.]+$/.test(found) && field.shape.kind !== "number" ? "" : found;
};

const sentence = (text: string): string => text && text[0].toUpperCase() + text.slice(1) + (/[.?!]$/.test(text) ? "" : ".");

/** What can be typed, where the box does not show it by itself. */
const takesOf = (field: Field): string => (["quantity", "number", "range", "amount"].includes(field.shape.kind) ? field.takes : field.shape.kind === "text" && field.shape.form ? field.takes : "");

/** A problem beside its own field needs no place; of another key it says which. */
export const inWords = (p: Problem, path: string): string => {
  const at = pointerOf(p.where), right = t("chosen.right", { right: shownNumbers(p.right) });
  const place = at === null || at === path || at.startsWith(`${path}/`) ? "" : `${placeWords(at)}: `;
  return `${place}${shownNumbers(p.what)}. ${right}`;
};

/** "job.toml line 12: wish[2].count" is "/wish/1/count"; null where no key is named. */
export const pointerOf = (where: string): string | null => {
  const keys = /(?:^|: )([A-Za-z_]\w*(?:\[\d+\]|\.[\w"-]+)*)$/.exec(where)?.[1];
  if (!keys || /\.toml$/.test(keys)) return null;
  return "/" + keys.replace(/\[(\d+)\]/g, (_all, n: string) => `/${Number(n) - 1}`).replace(/\./g, "/");
};
