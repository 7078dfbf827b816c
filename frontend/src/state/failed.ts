/** Tell what went wrong with something that the person asked for; a fault of the page itself is not hidden. */

import { Gone, Refused } from "../service/client";
import type { Problem } from "../service/types";
import { t } from "../words";
import { say } from "./notice";

export const lines = (problems: readonly Problem[]): string[] =>
  problems.map((p) => `${p.where}: ${p.what}. ${t("chosen.right", { right: p.right })}`);

export const failed = (error: unknown): void => {
  if (error instanceof Refused) say(t("err.title"), { grave: true, lines: lines(error.problems) });
  else if (error instanceof Gone) say(t("gone.title"), { grave: true, lines: [t(error.anew ? "gone.anew" : "gone.what")] });
  else throw error;
};
