/** What is being typed over a value: forgotten as soon as the value itself is another one. */

import { useSignal } from "@preact/signals";

export const useDraft = <T>(over: unknown): { readonly now: T | null; keep: (draft: T) => void } => {
  const of = JSON.stringify(over) ?? "", held = useSignal<{ of: string; draft: T } | null>(null);
  return { now: held.value?.of === of ? held.value.draft : null, keep: (draft) => (held.value = { of, draft }) };
};
