import { describe, expect, test } from "vitest";
import { decided, lengthText, TOOLS, type At } from "../src/hill/tools";
import type { Ground } from "../src/parts/model";

const ground = (more: Partial<Ground>): Ground =>
  ({ outline: new Float64Array([0, 0, 10, 0, 10, 5, 0, 5]), corners: null, exclusions: [], topString: null, tap: null, ...more }) as Ground;
const at = (more: Partial<Ground>, job: At["job"] = {}): At => ({ parts: { ground: ground(more) }, job, units: "us" });

describe("the outline", () => {
  const own = at({ corners: [[0, 0], [10, 0], [10, 5], [0, 5]] }, { outline: { corners: [] } });

  test("of the job changes by the one corner that is dragged", () => {
    expect(TOOLS.outline.drop(own, 2, [11, 6])!.patch).toEqual([{ op: "replace", path: "/outline/corners/2", value: { local: [11, 6] } }]);
  });

  test("of a file becomes corners of the job, and the file is let go", () => {
    const patch = TOOLS.outline.drop(at({}, { outline: { file: "o.geojson" } }), 0, [-1, 0])!.patch;
    expect(patch[0]).toEqual({ op: "remove", path: "/outline/file" });
    expect(patch[1]).toEqual({ op: "add", path: "/outline/corners", value: [[-1, 0], [10, 0], [10, 5], [0, 5]].map((local) => ({ local })) });
  });

  test("of a file that is let go leaves the places to keep off and the string that stood in it too", () => {
    const filed = at({ exclusions: [{ name: "oak", index: null, ring: [[1, 1], [2, 1], [2, 2]] }], topString: [[0, 5], [10, 5]] }, { outline: { file: "o.geojson" } });
    const patch = TOOLS.outline.drop(filed, 0, [-1, 0])!.patch;
    expect(patch.map((p) => p.path)).toEqual(["/exclusion", "/layout", "/layout/string", "/outline/file", "/outline/corners"]);
    expect(patch[0].value).toEqual([{ name: "oak", corners: [{ local: [1, 1] }, { local: [2, 1] }, { local: [2, 2] }] }]);
  });

  test("that the job does not have is added whole", () => {
    expect(TOOLS.outline.drop(at({}), 0, [-1, 0])!.patch[0]).toMatchObject({ op: "add", path: "/outline" });
  });

  test("takes a new corner on the edge that is pressed, and none far from it", () => {
    expect(TOOLS.outline.press!(own, [10.2, 2], 0.5)!.patch[0].path).toBe("/outline/corners/2");
    expect(TOOLS.outline.press!(own, [-0.2, 2], 0.5)!.patch[0].path).toBe("/outline/corners/4");
    expect(TOOLS.outline.press!(own, [5, 2], 0.5)).toBeNull();
  });

  test("keeps three corners whatever is taken away", () => {
    expect(TOOLS.outline.remove!(own, 1)!.patch).toEqual([{ op: "remove", path: "/outline/corners/1" }]);
    expect(TOOLS.outline.remove!(at({ corners: [[0, 0], [1, 0], [0, 1]] }), 1)).toBeNull();
  });
});

describe("places to keep off", () => {
  const stump = { name: "stump", index: 1, ring: [[4, 2], [5, 2], [5, 3]] as [number, number][], centre: [4.5, 2.5] as [number, number], radius: 0.3048 };
  const both = at({ exclusions: [{ name: "shot", index: null, ring: [[1, 1], [2, 1], [2, 2]] }, stump] });

  test("that come from the survey have no handles", () => {
    expect(TOOLS.exclusion.handles(both)).toEqual([[4.5, 2.5], [4.8048, 2.5]]);
  });

  test("are moved by the middle and widened by the rim, in the job's unit", () => {
    expect(TOOLS.exclusion.drop(both, 0, [6, 1])!.patch).toEqual([{ op: "replace", path: "/exclusion/1/centre", value: { local: [6, 1] } }]);
    expect(TOOLS.exclusion.drop(both, 1, [4.5, 2.5 + 0.6096])!.patch[0].value).toBe("2 ft");
  });

  test("are added on bare ground inside the outline only", () => {
    expect(TOOLS.exclusion.press!(both, [8, 1], 0)!.patch[0].path).toBe("/exclusion");
    expect(TOOLS.exclusion.press!(both, [4.7, 2.1], 0)).toBeNull();
    expect(TOOLS.exclusion.press!(both, [50, 1], 0)).toBeNull();
  });
});

describe("where one comes in", () => {
  test("is put where one presses, moved, and taken away with its list when it was the only one", () => {
    expect(TOOLS.entry.press!(at({ entries: [] }), [5, 0], 0)!.patch.map((p) => p.path)).toEqual(["/planting", "/planting/entry"]);
    const one = at({ entries: [[5, 0]] }, { planting: { entry: [["5 m", "0 m"]] } });
    expect(TOOLS.entry.handles(one)).toEqual([[5, 0]]);
    expect(TOOLS.entry.drop(one, 0, [6, 0])!.patch).toEqual([{ op: "replace", path: "/planting/entry/0", value: { local: [6, 0] } }]);
    expect(TOOLS.entry.press!(one, [9, 0], 0)!.patch[0].path).toBe("/planting/entry/-");
    expect(TOOLS.entry.remove!(one, 0)!.patch).toEqual([{ op: "remove", path: "/planting/entry" }]);
  });
});

test("the top string that is moved is the one that row 1 follows", () => {
  const moved = TOOLS.string.drop(at({ topString: [[0, 5], [10, 5]] }, { layout: { string: [], top: "best" } }), 1, [10, 4])!;
  expect(moved.patch).toEqual([
    { op: "replace", path: "/layout/string", value: [{ local: [0, 5] }, { local: [10, 4] }] },
    { op: "replace", path: "/layout/top", value: "string" },
  ]);
});

test("the tap is written where the job has no supply yet", () => {
  expect(TOOLS.tap.press!(at({}), [1, 2], 0)!.patch.map((c) => c.path)).toEqual(["/supply", "/supply/place"]);
});

describe("a cell", () => {
  test("that is planted is no longer a step, and its pin stands once", () => {
    const job = { planting: { walk: ["R1-2", "r03-04"] }, pin: [{ cell: "R3-4", plant: "mint" }] };
    expect(decided(job, 3, 4, { plant: "thyme" })).toEqual([
      { op: "remove", path: "/planting/walk/1" },
      { op: "remove", path: "/pin/0" },
      { op: "add", path: "/pin", value: [{ cell: "R3-4", plant: "thyme" }] },
    ]);
  });

  test("that is let free leaves nothing behind, and R1-2 is not R1-22", () => {
    expect(decided({ planting: { open: ["R1-22", "R1-2"] } }, 1, 2, { use: "free" })).toEqual([{ op: "remove", path: "/planting/open/1" }]);
  });

  test("that becomes a step in a job without planting adds the section first", () => {
    expect(decided({}, 1, 2, { use: "walk" }).map((c) => c.path)).toEqual(["/planting", "/planting/walk"]);
  });
});

test("lengths are written as the job writes them", () => {
  expect(lengthText(0.6096, "us")).toBe("2 ft");
  expect(lengthText(1.23456, "metric")).toBe("1.235 m");
});
