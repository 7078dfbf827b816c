import { describe, expect, test } from "vitest";
import { figureName } from "../src/screens/figurename";

describe("a figure is called", () => {
  test("by what it is of, where its method serves several", () => {
    expect(figureName("stability.slope.cells.soaked", "Infinite slope", true)).toEqual({ name: "Factor of safety, with cells, soaked", more: "Infinite slope" });
    expect(figureName("stability.circle.S2.soaked.bishop", "Critical circle", true).name).toBe("Slip circle of section S2, soaked (Bishop)");
    expect(figureName("irrigation.valve3.run", "Run of the valve", true).name).toBe("Valve 3: run of the valve");
    expect(figureName("drains.toe.depth", "Ditch", true).name).toBe("Drain at the toe: depth of water");
  });

  test("by its title, where that says it", () => {
    expect(figureName("takeoff.tubing-13.2-mm-bore", "Tubing, 13.2 mm bore", false)).toEqual({ name: "Tubing, 13.2 mm bore", more: "" });
  });

  test("apart from others of the same title", () => {
    expect(figureName("crew.limit.dry-mix", "Weight limit of a lift", true).name).toBe("Weight limit of a lift: limit dry mix");
  });
});
