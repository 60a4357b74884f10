/** Reads google.rpc.BadRequest out of an error's details: which field, and why. */

import { BinaryReader, WireType } from "@bufbuild/protobuf/wire";

export interface Violation {
  /** Path of the field in the request: entries[0].measurement.value. */
  field: string;
  description: string;
  /** The server's word for the kind of problem: NOTHING_THERE. */
  reason: string;
}

export const BAD_REQUEST = "google.rpc.BadRequest";

/** Returns the violations in the encoded message; none where the bytes are not readable. */
export function readBadRequest(bytes: Uint8Array): Violation[] {
  const out: Violation[] = [];
  try {
    // BadRequest: field_violations = 1.
    each(bytes, (no, value) => {
      if (no !== 1) return;
      const v: Violation = { field: "", description: "", reason: "" };
      // FieldViolation: field = 1, description = 2, reason = 3.
      each(value, (n, text) => {
        if (n === 1) v.field = new TextDecoder().decode(text);
        if (n === 2) v.description = new TextDecoder().decode(text);
        if (n === 3) v.reason = new TextDecoder().decode(text);
      });
      out.push(v);
    });
  } catch {
    return [];
  }
  return out;
}

function each(bytes: Uint8Array, take: (no: number, value: Uint8Array) => void): void {
  const reader = new BinaryReader(bytes);
  while (reader.pos < reader.len) {
    const [no, type] = reader.tag();
    if (type === WireType.LengthDelimited) take(no, reader.bytes());
    else reader.skip(type, no);
  }
}

/** Returns the description for the first violation of the field or of a part of it. */
export function violationOf(violations: readonly Violation[], field: string): string | undefined {
  return violations.find((v) => v.field === field || v.field.endsWith(`.${field}`) || v.field.includes(`.${field}.`))?.description;
}
