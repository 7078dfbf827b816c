import { readFileSync } from "node:fs";
import type { Plugin } from "vite";

/** What the manual says of a key of the job file. */
export interface Told {
  what: string;
  takes: string;
  usual: string;
  example: string;
}

const plain = (cell: string): string => cell.replace(/`/g, "").replace(/\*\*/g, "").replace(/\[([^\]]*)\]\([^)]*\)/g, "$1").trim();

/** Read the tables of docs/job.md: section, key, what it is. The manual is held to the model by its own tests. */
export const readManual = (text: string): Record<string, Record<string, Told>> => {
  const found: Record<string, Record<string, Told>> = {};
  let section = "";
  for (const line of text.split("\n")) {
    const head = /^## (?:`\[+(\w+)\]+`|At the top of the file)/.exec(line);
    if (line.startsWith("## ")) section = head ? (head[1] ?? "") : "-";
    const row = /^\| `(\w+)` \|/.exec(line);
    if (!row || section === "-") continue;
    const [what, takes, usual, example] = line.split(/(?<!\\)\|/).slice(2, 6);
    (found[section] ??= {})[row[1]] = { what: plain(what), takes: plain(takes), usual: plain(usual), example: plain(example) };
  }
  return found;
};

/** The manual's tables as a module, so that forms say what the manual says. */
export const manual = (file: string): Plugin => ({
  name: "manual",
  resolveId: (id) => (id === "virtual:manual" ? "\0manual" : undefined),
  load(id) {
    if (id !== "\0manual") return undefined;
    this.addWatchFile(file);
    return `export default ${JSON.stringify(readManual(readFileSync(file, "utf8")))}`;
  },
});
