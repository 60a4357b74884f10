import { expect, test } from "vitest";
import { namer } from "./naming";

const list = [
  { id: "m1", to: "W1", at: "", by: "a volunteer", value: { typed: "19 ft 8 in" } },
  { id: "m12", to: "W2", at: "", by: "", value: { typed: "3.81 m" } },
  { id: "01a21243-360c-7945-8f7f-ba748dcc1d03", to: "W1", at: "", by: "Anna", value: { typed: `12' 6"` } },
  { id: "corner", to: "x", at: "y", by: "", value: undefined },
  { id: "sq.1", to: "rear left", at: "front left", by: "", value: undefined },
];

test("ids become what was written and by whom", () => {
  const say = namer(list);
  expect(say("One of these is wrong: 01a21243-360c-7945-8f7f-ba748dcc1d03, m12."))
    .toBe(`One of these is wrong: “12' 6"” of W1 by Anna, “3.81 m” of W2.`);
  expect(say("Measurement m1 (m12)")).toBe("Measurement “19 ft 8 in” of W1 by a volunteer (“3.81 m” of W2)");
  expect(say("sq.1 and sqx1")).toBe("“front left” and sqx1");
});

test("words and parts of words stay", () => {
  const say = namer(list);
  expect(say("at the corner of room m123, m1-a, am1")).toBe("at the corner of room m123, m1-a, am1");
  expect(namer([])("m1")).toBe("m1");
});
