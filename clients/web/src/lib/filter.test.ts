import { expect, test } from "vitest";
import { FindingOwner, Severity } from "../gen/roodbeam/v1/finding_pb";
import { EVERYTHING, filtered, owners } from "./filter";

const all = [
  { severity: Severity.STOP, owner: FindingOwner.DESIGNER },
  { severity: Severity.STOP, owner: FindingOwner.LEADERSHIP, clearing: {} },
  { severity: Severity.WARN, owner: FindingOwner.LEADERSHIP },
];

test("by severity, owner and state, all together", () => {
  expect(filtered(all, EVERYTHING)).toEqual(all);
  expect(filtered(all, { ...EVERYTHING, severity: Severity.STOP })).toEqual([all[0], all[1]]);
  expect(filtered(all, { severity: Severity.STOP, owner: FindingOwner.LEADERSHIP, openOnly: false })).toEqual([all[1]]);
  expect(filtered(all, { severity: Severity.STOP, owner: FindingOwner.LEADERSHIP, openOnly: true })).toEqual([]);
});

test("owners that occur, most findings first", () => {
  expect(owners(all)).toEqual([[FindingOwner.LEADERSHIP, 2], [FindingOwner.DESIGNER, 1]]);
});
