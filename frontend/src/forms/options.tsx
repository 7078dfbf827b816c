import { t } from "../words";
import { useDraft } from "./draft";
import { keyWords, sectionWords } from "./naming";
import { fieldOf, fieldsIn, schema } from "./schema";
import { unitFor, unitsAt } from "./unitfor";
import { RowActs, Value, type ValueProps } from "./value";

type Option = Record<string, unknown>;

/** What could be done otherwise: options with a name each, and the keys that they change. */
export const OptionsBox = (p: ValueProps) => {
  const draft = useDraft<Option[]>(p.value);
  const options = draft.now ?? ((Array.isArray(p.value) ? p.value : []) as Option[]);
  const full = (o: Option): boolean => Boolean(o.name) && Object.values(o).every((v) => v !== undefined);
  const change = (to: Option[]): void => {
    draft.keep(to);
    if (to.every(full)) p.set(to.length ? to : undefined);
  };
  const put = (k: number, o: Option): void => change(options.map((old, i) => (i === k ? o : old)));
  const swap = (k: number, by: number): void => change(options.map((o, i) => (i === k ? options[k + by] : i === k + by ? options[k] : o)));
  return (
    <div class="rowset" role="group" aria-label={p.label}>
      {options.map((o, k) => (
        <fieldset class="entry" key={k}>
          <legend class="unseen">{t("form.option", { n: k + 1 })}</legend>
          <div class="rowline">
            <label class="small-box">
              <span class="boxname">{t("form.option.name")}</span>
              <Value {...p} id={undefined} shape={{ kind: "text" }} value={o.name} set={(v) => put(k, { ...o, name: v })} usual="" label={`${t("form.option", { n: k + 1 })} ${t("form.option.name")}`} dataKey={`${p.path}/${k}/name`} />
            </label>
            <RowActs name={t("form.option", { n: k + 1 })} first={k === 0} last={k === options.length - 1} move={(by) => swap(k, by)} remove={() => change(options.filter((_, i) => i !== k))} />
          </div>
          <Changes {...p} path={`${p.path}/${k}`} option={o} put={(to) => put(k, to)} />
        </fieldset>
      ))}
      {!options.every(full) && <p class="help">{t("form.short")}</p>}
      <button type="button" class="small" aria-label={`${t("form.add")}: ${p.label ?? ""}`} onClick={() => draft.keep([...options, { name: undefined }])}>{t("form.add")}</button>
    </div>
  );
};

/** Keys of the job that an option changes, each with the box that the key itself has. */
const Changes = ({ option, put, ...p }: ValueProps & { option: Option; put: (o: Option) => void }) => {
  const root = schema.value!;
  const without = (key: string): Option => Object.fromEntries(Object.entries(option).filter(([k]) => k !== key));
  const keys = Object.keys(option).filter((k) => k !== "name");
  const sections = Object.keys(root.properties ?? {}).filter((s) => !["choice", "survey", "units"].includes(s));
  const offered = sections.map((s) => [s, fieldsIn(root, `/${s}`).filter((f) => f.shape.kind !== "rows" && !(`${s}.${f.key}` in option))] as const);
  return (
    <>
      {keys.map((key) => {
        const field = fieldOf(root, `/${key.replace(/\./g, "/")}`), label = keyWords(key);
        return (
          <div class="rowline" key={key}>
            <label class="small-box">
              <span class="boxname">{label}</span>
              <Value {...p} id={undefined} path={`/${key.replace(/\./g, "/")}`} shape={field?.shape ?? { kind: "text" }} value={option[key]} set={(v) => put({ ...option, [key]: v })} unit={field ? unitFor(field, option[key]) : ""} units={field ? unitsAt(field) : undefined} standard={field?.standard} usual="" label={label} dataKey={`${p.path}/${key}`} />
            </label>
            <button type="button" class="small" title={t("form.remove")} aria-label={`${t("form.remove")}: ${label}`} onClick={() => put(without(key))}>×</button>
          </div>
        );
      })}
      <label class="small-box">
        <span class="unseen">{t("form.option.change")}</span>
        <select value="" data-key={`${p.path}/+`} onChange={(e) => e.currentTarget.value && put({ ...option, [e.currentTarget.value]: undefined })}>
          <option value="">{t("form.option.change")}</option>
          {offered.map(([s, fields]) => (
            <optgroup key={s} label={sectionWords(s)}>
              {fields.map((f) => (
                <option key={f.key} value={f.path.slice(1).replace(/\//g, ".")}>{keyWords(f.key)}</option>
              ))}
            </optgroup>
          ))}
        </select>
      </label>
    </>
  );
};
