import { describe, expect, test } from "vitest";
import { dayOf } from "../src/field/daysheet";

describe("the day sheet opens", () => {
  const dates = ["2026-05-04", "2026-05-05", "2026-05-08"];

  test.each([["2026-05-05", 2], ["2026-05-06", 3], ["2026-01-01", 1], ["2026-06-01", 3]])("on %s at day %d", (today, day) => {
    expect(dayOf(dates, today)).toBe(day);
  });

  test("at the first day where the days have no dates", () => {
    expect(dayOf([], "2026-05-05")).toBe(1);
  });
});
