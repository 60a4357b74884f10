/** Which findings are shown. */

import { type FindingOwner, type Severity } from "../gen/roodbeam/v1/finding_pb";

export interface Wanted {
  /** Undefined: all. */
  severity: Severity | undefined;
  owner: FindingOwner | undefined;
  openOnly: boolean;
}

export const EVERYTHING: Wanted = { severity: undefined, owner: undefined, openOnly: false };

interface Filtered {
  severity: Severity;
  owner: FindingOwner;
  clearing?: unknown;
}

export function filtered<F extends Filtered>(findings: readonly F[], w: Wanted): F[] {
  return findings.filter((f) => (w.severity === undefined || f.severity === w.severity) && (w.owner === undefined || f.owner === w.owner) &&
    (!w.openOnly || f.clearing === undefined));
}

/** Returns the owners that occur, each with how many findings are theirs, most first. */
export function owners(findings: readonly Filtered[]): [FindingOwner, number][] {
  const n = new Map<FindingOwner, number>();
  for (const f of findings) n.set(f.owner, (n.get(f.owner) ?? 0) + 1);
  return [...n].sort((a, b) => b[1] - a[1] || a[0] - b[0]);
}
