/** Names the server does not know: a slip of the pen, or a new point? A person decides. */

import type { JsonObject } from "@bufbuild/protobuf";
import type { Item } from "./outbox";
import type { Violation } from "./violations";

export interface Doubt {
  /** Field of the measurement: from, at, to or with. */
  field: string;
  /** The name as typed. */
  name: string;
  /** The nearest name there is; empty: none is near. */
  near: string;
}

const UNKNOWN = "NOTHING_THERE";
const AT = /^entries\[0\]\.measurement\.(from|at|to|with)$/;

/** Returns a question for every point the server does not know; undefined when the refusal has other reasons too. */
export function doubtsOf(violations: readonly Violation[], measurement: JsonObject): Doubt[] | undefined {
  const out: Doubt[] = [];
  for (const v of violations) {
    const field = v.reason === UNKNOWN ? AT.exec(v.field)?.[1] : undefined;
    const name = field === undefined ? undefined : measurement[field];
    if (field === undefined || typeof name !== "string") return undefined;
    out.push({ field, name, near: nearIn(v.description) });
  }
  return out.length === 0 ? undefined : out;
}

/** Returns the name the server's answer proposes; empty when it proposes none. */
export function nearIn(description: string): string {
  const quoted = /did you mean ("(?:[^"\\]|\\.)*")\?/.exec(description)?.[1];
  if (quoted === undefined) return "";
  try {
    return String(JSON.parse(quoted));
  } catch {
    return "";
  }
}

/** Whether nobody need be asked: every unknown name was typed as a new point's and resembles no other. */
export function clearlyNew(doubts: readonly Doubt[], item: Pick<Item, "fresh">): boolean {
  return doubts.every((d) => d.near === "" && item.fresh.includes(d.name));
}

/** Returns the item with the answer to one question: the name it is, or undefined for a new point. */
export function answered(item: Item, doubt: Doubt, means: string | undefined): Item {
  const { refused: _refused, doubts, ...rest } = item;
  const still = (doubts ?? []).filter((d) => (means === undefined ? d.name !== doubt.name : d.field !== doubt.field));
  const out: Item = still.length === 0 ? rest : { ...rest, doubts: still, ...(item.refused === undefined ? {} : { refused: item.refused }) };
  if (means === undefined) {
    return { ...out, fresh: [...new Set([...out.fresh, doubt.name])], sure: [...new Set([...out.sure, doubt.name])] };
  }
  const measurement = { ...out.measurement, [doubt.field]: means };
  const named = new Set(["from", "at", "to", "with"].map((f) => measurement[f]));
  return { ...out, measurement, fresh: out.fresh.filter((n) => named.has(n)) };
}
