/** Short words to the person, read out by a screen reader as they come. */

import { signal } from "@preact/signals";

export interface Notice {
  text: string;
  grave: boolean;
  lines: string[];
  /** A thing that can be done about it. */
  act?: { words: string; run: () => void };
}

export const notice = signal<Notice | null>(null);

export const say = (text: string, more: Partial<Notice> = {}): void => {
  notice.value = { text, grave: false, lines: [], ...more };
};
