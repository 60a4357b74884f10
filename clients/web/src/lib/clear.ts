/** Who may clear which finding, and what is to be said about a signature. The server decides; this spares people a refusal. */

import { Role } from "../gen/roodbeam/v1/access_service_pb";
import { FindingOwner, type Clearing } from "../gen/roodbeam/v1/finding_pb";
import { roleWord } from "./words";

const trades: Partial<Record<FindingOwner, Role>> = {
  [FindingOwner.LICENSED_ELECTRICIAN]: Role.LICENSED_ELECTRICIAN,
  [FindingOwner.STRUCTURAL_ENGINEER]: Role.STRUCTURAL_ENGINEER,
  [FindingOwner.QUALIFIED_RIGGER]: Role.QUALIFIED_RIGGER,
  [FindingOwner.FIRE_ALARM_CONTRACTOR]: Role.FIRE_ALARM_CONTRACTOR,
  [FindingOwner.LIFT_HIRE_FIRM]: Role.LIFT_HIRE_FIRM,
  [FindingOwner.HAZARDOUS_MATERIALS_INSPECTOR]: Role.HAZARDOUS_MATERIALS_INSPECTOR,
};

/** Whether the role may clear what the owner owns. */
export function mayClear(role: Role, owner: FindingOwner): boolean {
  if (owner === FindingOwner.DESIGNER || owner === FindingOwner.VOLUNTEER) return role === Role.DESIGNER || role === Role.MANAGER;
  if (owner === FindingOwner.LEADERSHIP) return role === Role.LEADERSHIP;
  const trade = trades[owner];
  return trade !== undefined && trade === role;
}

/** Whether clearing in that role is a signature: with name, firm and licence. */
export function signs(role: Role): boolean {
  return Object.values(trades).includes(role);
}

type Signed = Pick<Clearing, "signer" | "invitedBy" | "alsoRole">;

/** What a reader must know of a signature before relying on it; empty for clearings that are none. */
export function cautions(c: Signed): string[] {
  if (c.signer === undefined) return [];
  const out = ["Name, firm and licence are as the signer typed them: confirm the licence with the body that issued it."];
  if (c.invitedBy !== "") out.push(`${c.invitedBy} invited the signer; nobody else has vouched for them.`);
  if (c.alsoRole !== Role.UNSPECIFIED) out.push(`The signer, or somebody of the same name, is also ${roleWord[c.alsoRole]} here.`);
  return out;
}
