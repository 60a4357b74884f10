import { expect, test } from "vitest";
import { FindingOwnerSchema, SeveritySchema } from "../gen/roodbeam/v1/finding_pb";
import { RoleSchema } from "../gen/roodbeam/v1/access_service_pb";
import { PacketStatusSchema } from "../gen/roodbeam/v1/packet_service_pb";
import { InstrumentSchema, MeasurementKind, MeasurementKindSchema } from "../gen/roodbeam/v1/survey_pb";
import { instrumentWord, kindForms, ownerWord, roleWord, severityWord, statusWord, whatIsMeasured } from "./words";

test("every value of every enum has a word of its own", () => {
  for (const [schema, words] of [
    [FindingOwnerSchema, ownerWord], [SeveritySchema, severityWord], [RoleSchema, roleWord],
    [PacketStatusSchema, statusWord], [InstrumentSchema, instrumentWord],
  ] as const) {
    const found = schema.values.map((v) => (words as Record<number, string>)[v.number]);
    expect(found.every((w) => w !== undefined && w !== ""), schema.typeName).toBe(true);
    expect(new Set(found).size, schema.typeName).toBe(schema.values.length);
  }
});

test("every kind of measurement has a form, and a value unless it is an observation", () => {
  const kinds = MeasurementKindSchema.values.map((v) => v.number as MeasurementKind).filter((n) => n !== MeasurementKind.UNSPECIFIED);
  expect(kindForms.map((f) => f.kind).toSorted()).toEqual(kinds.toSorted());
  const without = kindForms.filter((f) => f.value === undefined && f.angle === undefined).map((f) => f.kind);
  expect(without).toEqual([MeasurementKind.SQUARE, MeasurementKind.PARALLEL, MeasurementKind.SAME_HEIGHT]);
  // As the rules of the message have it: a length for all but observations and the angle, an angle for two kinds.
  expect(kindForms.filter((f) => f.angle !== undefined).map((f) => f.kind)).toEqual([MeasurementKind.SLOPE, MeasurementKind.ANGLE]);
  for (const f of kindForms) expect(f.help, f.title).toMatch(/\.$/);
});

test("says what was measured", () => {
  const m = { from: "A", at: "B", to: "C", with: "D", reference: "" };
  expect(whatIsMeasured({ ...m, kind: MeasurementKind.HEIGHT })).toContain("not said");
  expect(whatIsMeasured({ ...m, kind: MeasurementKind.HEIGHT, reference: "hall floor" })).toBe("Height of C above hall floor");
  expect(whatIsMeasured({ ...m, kind: MeasurementKind.SQUARE })).toBe("Corner B is square, between A and C");
  expect(whatIsMeasured({ ...m, kind: MeasurementKind.PARALLEL })).toBe("The wall A to B runs parallel to the wall C to D");
  // Two kinds between the same points must not read alike.
  const said = kindForms.map((f) => whatIsMeasured({ ...m, kind: f.kind }));
  expect(new Set(said).size).toBe(said.length);
});
