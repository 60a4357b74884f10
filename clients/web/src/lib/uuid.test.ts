import { expect, test } from "vitest";
import { uuidv7 } from "./uuid";

test("carries version, variant and time", () => {
  // The time of the example in RFC 9562, appendix A.6.
  expect(uuidv7(0x017f22e279b0)).toMatch(/^017f22e2-79b0-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
});

test("sorts by time and does not repeat", () => {
  expect(uuidv7(1_000) < uuidv7(2_000)).toBe(true);
  expect(new Set(Array.from({ length: 1000 }, () => uuidv7(5))).size).toBe(1000);
});
