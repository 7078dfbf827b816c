/** Which sections of the job file drive the answer to each of the ten questions. */
export const SECTIONS: Record<number, string[]> = {
  1: ["soil", "checklist", "grading", "site"],
  2: ["cell", "layout", "outline", "grading"],
  3: ["soil", "holding", "cell", "checklist"],
  4: ["rain", "drains", "fill"],
  5: ["fill", "cell", "carry"],
  6: ["planting", "weights", "site"],
  7: ["supply", "irrigation", "watering", "climate"],
  8: ["crew", "carry"],
  9: ["estimate", "waste", "watering", "fill"],
  10: ["site", "sheets"],
};
