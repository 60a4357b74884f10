import { create } from "@bufbuild/protobuf";
import { expect, test } from "vitest";
import { Role } from "../gen/roodbeam/v1/access_service_pb";
import { ClearingSchema, FindingOwner, SignerSchema } from "../gen/roodbeam/v1/finding_pb";
import { cautions, mayClear, signs } from "./clear";

test("each trade clears its own, nobody for a trade", () => {
  expect(mayClear(Role.LICENSED_ELECTRICIAN, FindingOwner.LICENSED_ELECTRICIAN)).toBe(true);
  for (const role of [Role.MANAGER, Role.DESIGNER, Role.LEADERSHIP, Role.QUALIFIED_RIGGER, Role.UNSPECIFIED]) {
    expect(mayClear(role, FindingOwner.LICENSED_ELECTRICIAN)).toBe(false);
  }
  expect(mayClear(Role.MANAGER, FindingOwner.VOLUNTEER)).toBe(true);
  expect(mayClear(Role.VOLUNTEER, FindingOwner.VOLUNTEER)).toBe(false);
  expect(mayClear(Role.LEADERSHIP, FindingOwner.LEADERSHIP)).toBe(true);
  expect(mayClear(Role.LEADERSHIP, FindingOwner.UNSPECIFIED)).toBe(false);
});

test("only trades sign", () => {
  expect(signs(Role.STRUCTURAL_ENGINEER)).toBe(true);
  expect(signs(Role.MANAGER)).toBe(false);
});

test("a signature says who invited the signer and what else they are", () => {
  const signer = create(SignerSchema, { name: "N", firm: "F", licence: "1", licenceBody: "B" });
  const said = cautions(create(ClearingSchema, { signer, invitedBy: "Server owner", alsoRole: Role.DESIGNER })).join(" ");
  expect(said).toContain("Server owner invited the signer");
  expect(said).toContain("also designer");
  expect(cautions(create(ClearingSchema, { signer }))).toHaveLength(1);
  expect(cautions(create(ClearingSchema, { invitedBy: "Server owner" }))).toEqual([]);
});
