/** Which sections of the job file drive the answer to each of the ten questions. */
export const SECTIONS: Record<number, string[]> = {
  1: ["units", "soil", "checklist", "grading", "survey", "site"],
  2: ["cell", "layout", "outline", "exclusion", "grading", "base_line", "benchmarks"],
  3: ["soil", "holding", "cell", "checklist"],
  4: ["rain", "drains", "fill"],
  5: ["fill", "mix", "cell", "carry"],
  6: ["planting", "wish", "pin", "shade", "weights", "site"],
  7: ["supply", "irrigation", "emitter", "tubing", "watering", "climate"],
  8: ["crew", "person", "measured", "carry"],
  9: ["estimate", "waste", "choice", "watering", "fill"],
  10: ["units", "site", "sheets", "built"],
};
