import { beforeEach, describe, expect, test } from "vitest";
import type { Parts, Task } from "../src/parts/model";
import { parts } from "../src/state/job";
import { at, offered, overlay, shown } from "../src/state/shown";

const cells = { n: 3, row: Int32Array.of(1, 1, 2), number: Int32Array.of(1, 2, 1) };
const task = (name: string, rows: [number, number], day: number, until = day): Partial<Task> => ({ name, rows, day, until });
const plan = (more: object): Parts => ({ cells, ...more }) as unknown as Parts;
const numbers = (): number[] => Array.from(shown.value.values ?? []);

beforeEach(() => {
  overlay.value = "plants";
  at.value = 0;
  parts.value = {};
});

describe("work by day", () => {
  beforeEach(() => {
    const tasks = [task("set pegs", [0, 0], 1), task("hang row 1", [1, 1], 1), task("fill row 1", [1, 1], 3), task("hang row 2", [2, 2], 2)];
    parts.value = plan({ schedule: { days: 3, tasks, dates: [] } });
    overlay.value = "day";
  });

  test("says of each row how far it is: not begun, begun, done, worked on", () => {
    const words = (): string[] => numbers().map((v) => shown.value.say(v));
    expect(words()).toEqual(["worked on", "worked on", "not begun"]);
    at.value = 1;
    expect(words()).toEqual(["begun", "begun", "worked on"]);
    at.value = 2;
    expect(words()).toEqual(["worked on", "worked on", "done"]);
  });

  test("is played through every day, each with what is done on it", () => {
    expect(shown.value.steps).toBe(3);
    expect(shown.value.stepName(0)).toBe("Day 1: set pegs, hang row 1");
    expect(shown.value.stepName(2)).toBe("Day 3: fill row 1");
  });

  test("is offered only where there is work", () => {
    expect(offered.value).toContain("day");
    parts.value = plan({ schedule: { days: 0, tasks: [], dates: [] } });
    expect(offered.value).not.toContain("day");
  });
});

describe("a figure over the cells", () => {
  const laid = (name: string, values: number[]): void => {
    parts.value = plan({ overlays: { values: { [name]: Float32Array.from(values) }, steps: { [name]: 1 }, heldTimes: [] } });
    overlay.value = name;
  };

  test("of an angle is written without its degree sign, which the legend adds", () => {
    laid("run_slope", [0.4, 0.5, 0.6]);
    expect(shown.value.say(0.5)).toBe("28.6");
  });

  test("of sun is the darker the deeper the shade", () => {
    laid("sun", [3600, 7200, 36000]);
    expect(shown.value.low).toBeGreaterThan(shown.value.high);
  });
});
