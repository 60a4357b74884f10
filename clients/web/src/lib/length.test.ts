import { describe, expect, test } from "vitest";
import { inDegrees, signed, writeIn } from "./length";

describe("writeIn", () => {
  const rows: [number, string, string][] = [
    [86 * 0.0254, "in", "86 in"],
    [86 * 0.3048, "ft", "86 ft"],
    [0.86, "cm", "86 cm"],
    [86, "m", "86 m"],
    [11 * 0.3048 + 10 * 0.0254, "ft-in", `11' 10"`],
    [-(9 * 0.3048 + 5.5 * 0.0254), "ft-in", `-9' 5.5"`],
    [12 * 0.3048, "ft-in", `12' 0"`],
    [1.234, "mm", "1234 mm"],
    [0, "in", "0 in"],
    [2.5, "cubits", "2.5 m"],
  ];
  test.each(rows)("%f as %s", (metres, as, want) => {
    expect(writeIn(metres, as)).toBe(want);
  });
});

describe("signed", () => {
  const rows: [string, boolean, string][] = [
    ["3 m", true, "-3 m"],
    ["3 m", false, "3 m"],
    [" -3 m ", true, "-3 m"],
    ["−3 m", true, "−3 m"],
    ["", true, ""],
  ];
  test.each(rows)("%s %s", (text, negative, want) => {
    expect(signed(text, negative)).toBe(want);
  });
});

describe("inDegrees", () => {
  const rows: [string, string][] = [
    ["34.5", "34.5°"],
    [" -3 ", "-3°"],
    ["12°", "12°"],
    ["12 deg", "12 deg"],
    ["45°12'34\"", "45°12'34\""],
    ["0.6 rad", "0.6 rad"],
    ["steep", "steep"],
    ["", ""],
  ];
  test.each(rows)("%s", (text, want) => {
    expect(inDegrees(text)).toBe(want);
  });
});
