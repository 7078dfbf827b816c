import { describe, expect, test } from "vitest";
import { readFileSync } from "node:fs";
import { readManual } from "../manual";
import { inWords, pointerOf } from "../src/forms/inputs";
import { inUnits, withUnit } from "../src/forms/measures";
import { readRange, writeMonths, writeRange } from "../src/forms/ranges";
import { bare, fieldsIn, ruleAt, usualValue, type Schema } from "../src/forms/schema";
import { SECTIONS } from "../src/forms/sections";
import { shapeOf } from "../src/forms/shape";

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

  test("has no section that no question leads to", () => {
    const led = new Set(Object.values(SECTIONS).flat());
    expect(Object.keys(told).filter((section) => section && !led.has(section))).toEqual([]);
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
    expect(fieldsIn(root, "/cell").map((f) => [f.key, f.shape.kind])).toEqual([["width", "text"], ["bond", "choice"], ["clips_per_edge", "number"], ["edge_pieces", "flag"]]);
  });

  test("ask for lists by rows, ticks, or boxes, never as they stand in the file", () => {
    const place = { type: "array", prefixItems: [{ type: "string", quantity: "length" }, { type: "string", quantity: "length" }] };
    const kinds = [
      { type: "array", items: { enum: ["Mon", "Tue"], type: "string" } }, { type: "array", items: place }, place,
      { type: "array", form: "range", items: { type: "string", quantity: "angle" } }, { type: "array", items: { type: "object", properties: {} } }, { type: "string", form: "plant, kind or use" },
    ].map((rule) => shapeOf(root, rule).kind);
    expect(kinds).toEqual(["set", "list", "tuple", "range", "rows", "plant"]);
  });

  test("show the usual value without where it comes from", () => {
    expect(['"24 in" invented', "2 invented", "true our choice", "not known"].map(usualValue)).toEqual(["24 in", "2", "true", ""]);
  });

  test("follow references and sections that may be left out", () => {
    expect(fieldsIn(root, "/soil")[0]).toMatchObject({ path: "/soil/depth", shape: { kind: "text" } });
    expect(fieldsIn(root, "/units")[0].shape).toEqual({ kind: "choice", of: ["us", "metric"] });
    expect(ruleAt(root, "/nothing/here")).toBeNull();
    expect(fieldsIn(root, "/nothing")).toEqual([]);
  });
});

describe("what is usual", () => {
  test("is written in the job's units, whatever the manual wrote", () => {
    expect(inUnits('"24 in" invented', "metric")).toBe('"610 mm" invented');
    expect(inUnits("length, 2 in to 10 ft", "metric")).toBe("length, 50.8 mm to 3.05 m");
    expect(inUnits("each 0 kPa to 500 kPa", "us")).toBe("each 0 psf to 10400 psf");
    expect(inUnits("temperature, 0 degC to 60 degC", "us")).toBe("temperature, 32 degF to 140 degF");
    expect(inUnits("1 in, an eighth of a wall below 8 in: common practice", "metric")).toBe("25.4 mm, an eighth of a wall below 203 mm: common practice");
    expect(inUnits('"1/8 in", "0.5 gal/h", "20000 lb"', "metric")).toBe('"3.18 mm", "1.89 L/h", "9070 kg"');
    expect(inUnits("up to 1 h, 2 of 3 in a row, cells 24 in the row", "metric")).toBe("up to 1 h, 2 of 3 in a row, cells 24 in the row");
    expect(inUnits('"24 in"', "us")).toBe('"24 in"');
  });

  test("is said without the marks of the file", () => {
    expect(['"" no file', '["Mon", "Tue"] our choice', '[["04:00", "09:00"]] common practice', "[] none"].map(bare)).toEqual(["no file", "Mon, Tue our choice", "04:00, 09:00 common practice", "none"]);
  });

  test("gives a bare number its unit", () => {
    expect(withUnit("24", "in")).toBe("24 in");
    expect(withUnit("3 1/2", "in")).toBe("3 1/2 in");
    expect(["2 ft", "5 ft 6 in", "1.5:1", "38 deg"].map((v) => withUnit(v, "in"))).toEqual(["2 ft", "5 ft 6 in", "1.5:1", "38 deg"]);
  });
});

describe("values of several boxes", () => {
  test("a range is one value, its ends, or its ends and the likeliest", () => {
    for (const held of [undefined, "30 deg", ["28 deg", "34 deg"], ["28 deg", "30 deg", "34 deg"]]) expect(writeRange(readRange(held))).toEqual(held);
    expect(writeRange(["28 deg", undefined, undefined])).toBe("short");
  });

  test("months are saved when all twelve are there", () => {
    expect(writeMonths(Array(12).fill("1 in"))).toHaveLength(12);
    expect(writeMonths(["1 in", ...Array(11).fill(undefined)])).toBe("short");
    expect(writeMonths(Array(12).fill(undefined))).toBeUndefined();
  });
});

describe("what the service finds wrong", () => {
  test("is told beside its key", () => {
    expect(pointerOf("job.toml line 12: wish[2].count")).toBe("/wish/1/count");
    expect(pointerOf("job.toml: cell.width")).toBe("/cell/width");
    expect(pointerOf("job.toml line 3: layout.fixed_rows[1]")).toBe("/layout/fixed_rows/0");
    expect(pointerOf("job.toml")).toBeNull();
    const found = { where: "job.toml line 9: wish[1].share", what: "there is also a count", right: "keep one" };
    expect(inWords(found, "/wish/0/share")).toBe("there is also a count. Right would be: keep one");
    expect(inWords(found, "/wish/0/count")).toBe("Wish 1, share: there is also a count. Right would be: keep one");
  });
});
