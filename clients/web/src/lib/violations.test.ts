import { BinaryWriter, WireType } from "@bufbuild/protobuf/wire";
import { expect, test } from "vitest";
import { readBadRequest, violationOf } from "./violations";

function violation(field: string, description: string): Uint8Array {
  return new BinaryWriter()
    .tag(1, WireType.LengthDelimited).string(field)
    .tag(2, WireType.LengthDelimited).string(description)
    .tag(3, WireType.LengthDelimited).string("OUT_OF_RANGE")
    .tag(9, WireType.Varint).int32(7)
    .finish();
}

test("reads fields and descriptions, and passes over the rest", () => {
  const bytes = new BinaryWriter()
    .tag(1, WireType.LengthDelimited).bytes(violation("entries[0].measurement.value", "900 m is out of range: at most 200 m"))
    .tag(1, WireType.LengthDelimited).bytes(violation("project_id", "not a UUID"))
    .finish();
  const got = readBadRequest(bytes);
  expect(got).toEqual([
    { field: "entries[0].measurement.value", description: "900 m is out of range: at most 200 m", reason: "OUT_OF_RANGE" },
    { field: "project_id", description: "not a UUID", reason: "OUT_OF_RANGE" },
  ]);
  expect(violationOf(got, "value")).toBe("900 m is out of range: at most 200 m");
  expect(violationOf(got, "project_id")).toBe("not a UUID");
  expect(violationOf(got, "note")).toBeUndefined();
});

test("bytes that are no message give nothing", () => {
  expect(readBadRequest(new Uint8Array([0x0a, 0x7f, 1]))).toEqual([]);
  expect(readBadRequest(new Uint8Array())).toEqual([]);
});
