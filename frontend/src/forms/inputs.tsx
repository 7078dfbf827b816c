import { useSignal } from "@preact/signals";
import { useEffect, useId } from "preact/hooks";
import { setKey, valueAt } from "../state/edits";
import { job } from "../state/job";
import { t } from "../words";
import { fieldsIn, loadSchema, schema, usualValue, type Field } from "./schema";

/** Forms for some sections of the job file: what is set, and what holds where nothing is. */
export const Inputs = ({ sections }: { sections: string[] }) => {
  useEffect(loadSchema, []);
  const root = schema.value;
  if (!root || !job.value) return null;
  const found = sections.map((s) => [s, fieldsIn(root, s)] as const).filter(([, fields]) => fields.length);
  return (
    <div class="inputs">
      {found.map(([section, fields], i) => (
        <details key={section} open={i === 0}>
          <summary>{words(section)}</summary>
          {fields.map((f) => (
            <Input key={f.path} field={f} />
          ))}
        </details>
      ))}
    </div>
  );
};

/** A key of the job file as words; the file's own word stays visible in the help. */
export const words = (key: string): string => {
  const name = key.split("/").pop()!.replace(/_/g, " ");
  return name[0].toUpperCase() + name.slice(1);
};

const written = (value: unknown): string =>
  value === undefined || value === null ? "" : typeof value === "object" ? JSON.stringify(value) : String(value);

const Input = ({ field }: { field: Field }) => {
  const id = useId(), value = valueAt(field.path), held = value !== undefined;
  const wrong = useSignal("");
  const said = (to: unknown): string => (to === undefined ? t("edit.left-out", { key: words(field.key) }) : t("edit.set", { key: words(field.key), value: written(to) }));
  const set = (to: any): void => {
    wrong.value = "";
    if (written(to) !== written(value) || (to === undefined) !== !held) setKey(field.path, to, said(to));
  };
  const text = (raw: string): void => {
    const to = raw.trim();
    if (!to) return set(undefined);
    if (field.kind === "list") {
      try {
        return set(JSON.parse(to));
      } catch {
        return void (wrong.value = t("form.list"));
      }
    }
    // a bare number stays a number: a price, a count, a share
    set(field.kind === "number" || (typeof value === "number" && Number.isFinite(Number(to))) ? Number(to) : to);
  };
  const usual = usualValue(field.usual) || t("form.none");
  const shared = { id, "aria-describedby": field.help ? `${id}-help` : undefined, "data-key": field.path };
  return (
    <div class={`input ${held ? "held" : ""}`}>
      <label for={id}>{words(field.key)}</label>
      {field.kind === "choice" ? (
        <select {...shared} value={held ? written(value) : ""} onChange={(e) => set(e.currentTarget.value || undefined)}>
          <option value="">{usual}</option>
          {field.choices.map((c) => (
            <option key={c} value={c}>{c}</option>
          ))}
        </select>
      ) : field.kind === "flag" ? (
        <select {...shared} value={held ? String(value) : ""} onChange={(e) => set(e.currentTarget.value ? e.currentTarget.value === "true" : undefined)}>
          <option value="">{usual}</option>
          <option value="true">{t("form.yes")}</option>
          <option value="false">{t("form.no")}</option>
        </select>
      ) : (
        <input {...shared} type="text" value={written(value)} placeholder={usual} aria-invalid={wrong.value ? "true" : undefined} onChange={(e) => text(e.currentTarget.value)} />
      )}
      {held && (
        <button type="button" class="small" aria-label={`${t("form.reset")}: ${words(field.key)}`} onClick={() => set(undefined)}>{t("form.reset")}</button>
      )}
      {wrong.value && <p class="wrong" role="alert">{wrong.value}</p>}
      {field.help && (
        <p id={`${id}-help`} class="help">
          {field.help}. {field.takes && field.kind !== "choice" && field.kind !== "flag" ? `${t("form.takes", { takes: field.takes })} ` : ""}
          {!held && field.usual ? t("form.left-out", { usual: field.usual }) : ""}
        </p>
      )}
    </div>
  );
};
