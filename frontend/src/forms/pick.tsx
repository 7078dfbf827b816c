import { signal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { get, post } from "../service/client";
import type { Palette, Saved } from "../service/types";
import { own } from "../state/edits";
import { failed } from "../state/failed";
import { job, refreshJob } from "../state/job";
import { t, tt } from "../words";
import type { BoxProps } from "./box";

/** What the job can name, for the revision that it was asked for. */
const palette = signal<{ of: string; found: Palette } | null>(null);

const usePalette = (): Palette | null => {
  const at = job.value, of = at ? `${at.id} ${at.files.join()} ${String((at.job.planting as any)?.palette)}` : "";
  useEffect(() => {
    if (at && palette.peek()?.of !== of) void get<Palette>(`/api/jobs/${at.id}/palette`).then((found) => (palette.value = { of, found })).catch(() => undefined);
  }, [of]);
  return palette.value?.found ?? null;
};

export interface Choice {
  value: string;
  words: string;
  group?: string;
}

/** One of several: what is usual stands first. */
export const Pick = ({ value, set, id, label, usual, dataKey, describedBy, invalid, choices }: BoxProps & { choices: Choice[] }) => {
  const now = value === undefined || value === null ? "" : String(value);
  const groups = [...new Set(choices.map((c) => c.group ?? ""))];
  const option = (c: Choice) => <option key={c.value} value={c.value}>{c.words}</option>;
  return (
    <select id={id} aria-label={label} data-key={dataKey} aria-describedby={describedBy} aria-invalid={invalid ? "true" : undefined} value={now} onChange={(e) => set(e.currentTarget.value || undefined)}>
      <option value="">{usual || t("form.none")}</option>
      {now && !choices.some((c) => c.value === now) && <option value={now}>{now}</option>}
      {groups.map((g) => (g ? <optgroup key={g} label={g}>{choices.filter((c) => c.group === g).map(option)}</optgroup> : choices.filter((c) => !c.group).map(option)))}
    </select>
  );
};

/** A plant of the palette; where the key takes them, kinds and uses too. */
export const PlantPick = (props: BoxProps & { kinds: boolean }) => {
  const found = usePalette();
  const tags = props.kinds && found ? [...new Set([...found.kinds, ...found.uses])] : [];
  const choices: Choice[] = tags.map((value) => ({ value, words: t("form.any", { kind: value }), group: t("form.kinds") }));
  for (const kind of found?.kinds ?? [])
    for (const p of found!.plants) if (p.kind === kind) choices.push({ value: p.id, words: p.common, group: tt(`form.kind.${kind}`) });
  return <Pick {...props} choices={choices} />;
};

/** A row of one of the program's tables; mixes may be the job's own. */
export const KnownPick = (props: BoxProps & { of: string[]; mixes: boolean }) => {
  const mine = props.mixes ? ((job.value?.job.mix ?? []) as any[]).map((m) => String(m.name)) : [];
  return <Pick {...props} choices={[...new Set([...mine, ...props.of])].map((value) => ({ value, words: value }))} />;
};

/** A file beside the job: one that is there, or another from this machine. */
export const FilePick = (props: BoxProps) => {
  const at = job.value, chooser = useRef<HTMLInputElement>(null);
  const bring = async (file: File | undefined): Promise<void> => {
    if (!file || !at) return;
    const form = new FormData();
    form.append("file", file);
    form.append("base", String(job.value!.revision));
    try {
      own.add((await post<Saved>(`/api/jobs/${at.id}/files`, form)).revision);
      await refreshJob();
      if (props.value !== file.name) props.set(file.name);
    } catch (error) {
      failed(error);
    }
  };
  const choices = (at?.files ?? []).filter((name) => name !== "job.toml").map((value) => ({ value, words: value }));
  return (
    <span class="filepick">
      <Pick {...props} choices={choices} />
      <button type="button" class="small" aria-label={`${t("form.bring")}: ${props.label ?? ""}`} onClick={() => chooser.current?.click()}>{t("form.bring")}</button>
      <input ref={chooser} type="file" hidden onChange={(e) => (void bring(e.currentTarget.files?.[0]), (e.currentTarget.value = ""))} />
    </span>
  );
};
