import { describe, expect, test } from "vitest";
import { readFileSync } from "node:fs";
import { readManual } from "../manual";
import { fieldsIn, ruleAt, usualValue, type Schema } from "../src/forms/schema";

describe("the manual", () => {
  const told = readManual(readFileSync("../docs/job.md", "utf8"));

  test("says of a cell's width what it is, what it takes and what is usual", () => {
    expect(told.cell.width.what).toContain("along the row");
    expect(told.cell.width.takes).toContain("length");
    expect(told.cell.width.usual).toContain("in");
  });

  test("knows every section that a question is driven by", () => {
    for (const section of ["soil", "holding", "rain", "fill", "planting", "supply", "crew"]) expect(Object.keys(told[section]).length).toBeGreaterThan(2);
  });

  test("keeps a bar inside a cell of its tables", () => {
    expect(readManual("## `[x]`\n| `k` | a \\| b | text | d | e |").x.k).toMatchObject({ what: "a \\| b", takes: "text", usual: "d" });
  });
});

describe("forms", () => {
  const root: Schema = {
    properties: { cell: { $ref: "#/$defs/Cell" }, units: { enum: ["us", "metric"], type: "string" }, soil: { anyOf: [{ $ref: "#/$defs/Soil" }, { type: "null" }] } },
    $defs: {
      Cell: { type: "object", properties: { width: { type: "string" }, bond: { enum: ["stacked", "half-offset"], type: "string" }, clips_per_edge: { type: "integer" }, edge_pieces: { type: "boolean" } } },
      Soil: { type: "object", properties: { depth: { anyOf: [{ type: "string" }, { type: "null" }] } } },
    },
  };

  test("ask for each key as the schema says it is held", () => {
    expect(fieldsIn(root, "cell").map((f) => [f.key, f.kind])).toEqual([["width", "text"], ["bond", "choice"], ["clips_per_edge", "number"], ["edge_pieces", "flag"]]);
  });

  test("show the usual value without where it comes from", () => {
    expect(['"24 in" invented', "2 invented", "true our choice", "not known"].map(usualValue)).toEqual(["24 in", "2", "true", ""]);
  });

  test("follow references and sections that may be left out", () => {
    expect(fieldsIn(root, "soil")[0]).toMatchObject({ path: "/soil/depth", kind: "text" });
    expect(fieldsIn(root, "units")[0].choices).toEqual(["us", "metric"]);
    expect(ruleAt(root, "/nothing/here")).toBeNull();
    expect(fieldsIn(root, "nothing")).toEqual([]);
  });
});
