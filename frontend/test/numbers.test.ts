import { afterEach, describe, expect, test } from "vitest";
import { locale, number, savedNumbers, shownNumbers, typedNumber } from "../src/numbers";
import { show } from "../src/units";

const inLanguage = (of: string) => (locale.value = of);
afterEach(() => inLanguage("en-US"));

describe("numbers in the person's language", () => {
  test("are read and written with its decimal mark", () => {
    inLanguage("de-DE");
    expect(number(1234.5, 2)).toBe("1234,50"); // a point between thousands would be read as a decimal one
    expect(shownNumbers('24.5 in and 1,204.5 ft² of "EPSG:2227"')).toBe('24,5 in and 1204,5 ft² of "EPSG:2227"');
    expect([savedNumbers("24,5 in"), savedNumbers("1.234,5 kg"), savedNumbers("24.5 in"), savedNumbers("1.234.567 kg")]).toEqual(["24.5 in", "1234.5 kg", "24.5 in", "1234567 kg"]);
    expect([savedNumbers("1,5:1"), savedNumbers("3 1/2 in"), savedNumbers("0.125 in")]).toEqual(["1.5:1", "3 1/2 in", "0.125 in"]);
  });

  test("that could be a thousand or one and a bit are asked again", () => {
    inLanguage("de-DE");
    expect(savedNumbers("1.234 m")).toBeNull();
    expect(typedNumber("1.234")).toBeNaN();
    expect(typedNumber("1,234")).toBe(1.234);
  });

  test("keep the point and the comma between thousands in English", () => {
    expect(number(1234.5, 2)).toBe("1,234.50");
    expect(savedNumbers("1,200 ft")).toBe("1,200 ft"); // as a job file may have it
    expect(typedNumber("1,200")).toBe(1200);
    expect(typedNumber("24,5")).toBeNaN();
  });

  test("are parted by a narrow blank or an apostrophe where that is how it is done", () => {
    inLanguage("fr-FR");
    expect(number(1234.5, 1)).toBe("1\u202f234,5");
    expect(savedNumbers("1\u202f234,5 kg")).toBe("1234.5 kg");
    inLanguage("de-CH");
    expect(savedNumbers("1’234.5 kg")).toBe("1234.5 kg");
  });

  test("stand apart from their unit by a wide blank in any language", () => {
    for (const of of ["nb-NO", "ru-RU", "fr-FR", "en-US", "ar-EG"]) {
      inLanguage(of);
      expect(show(123456.7, "length", "metric").split("\u00a0")).toHaveLength(2);
      expect(show(1, "whole", "metric")).toBe("1");
    }
  });
});
