import { expect, test } from "vitest";
import { answered, clearlyNew, doubtsOf, nearIn, type Doubt } from "./newpoint";
import type { Item } from "./outbox";

const near = { field: "entries[0].measurement.to", description: `"B9" names no station, hanging line or level; did you mean "B8"?`, reason: "NOTHING_THERE" };
const far = { field: "entries[0].measurement.from", description: `"pew" names no station, hanging line or level`, reason: "NOTHING_THERE" };
const item: Item = { id: "i", project: "p", measurement: { from: "pew", to: "B9" }, fresh: ["pew", "B9"], sure: [], label: "pew to B9", at: 1 };
const toB9: Doubt = { field: "to", name: "B9", near: "B8" };
const fromPew: Doubt = { field: "from", name: "pew", near: "" };

test("unknown names become questions, with the server's nearest", () => {
  expect(doubtsOf([near, far], item.measurement)).toEqual([toB9, fromPew]);
  expect(nearIn(`"x" names no station; did you mean "the \\"old\\" door"?`)).toBe(`the "old" door`);
  expect(nearIn("names no station; there are none yet")).toBe("");
});

test("other refusals are no questions about names", () => {
  expect(doubtsOf([near, { field: "entries[0].measurement.value", description: "too far", reason: "OUT_OF_RANGE" }], item.measurement)).toBeUndefined();
  expect(doubtsOf([{ ...near, field: "entries[0].measurement.reference" }], item.measurement)).toBeUndefined();
  expect(doubtsOf([], item.measurement)).toBeUndefined();
});

test("nobody is asked about a name typed as new that is like no other", () => {
  expect(clearlyNew([fromPew], item)).toBe(true);
  expect(clearlyNew([fromPew, toB9], item)).toBe(false);
  expect(clearlyNew([fromPew], { fresh: [] })).toBe(false);
});

test("an answer changes the name or makes it a new point, and leaves the other questions", () => {
  const asked: Item = { ...item, refused: "no", doubts: [fromPew, toB9] };
  const one = answered(asked, toB9, "B8");
  expect(one.measurement).toEqual({ from: "pew", to: "B8" });
  expect(one.fresh).toEqual(["pew"]);
  expect(one.doubts).toEqual([fromPew]);
  const both = answered(one, fromPew, undefined);
  expect(both.sure).toEqual(["pew"]);
  expect("doubts" in both || "refused" in both).toBe(false);
});
