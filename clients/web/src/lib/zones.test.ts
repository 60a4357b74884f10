import { existsSync } from "node:fs";
import { expect, test } from "vitest";
import { levelFinding, MORE_THAN_WANTED, TOO_LITTLE } from "./zones";

test("takes the server's word on a zone's level", () => {
  const findings = [
    { code: TOO_LITTLE, subject: "zone altar" },
    { code: MORE_THAN_WANTED, subject: "zone altar rail" },
    { code: "LIGHT_EVENNESS", subject: "zone lectern" },
  ];
  expect(levelFinding(findings, "altar")).toBe(TOO_LITTLE);
  expect(levelFinding(findings, "altar rail")).toBe(MORE_THAN_WANTED);
  expect(levelFinding(findings, "lectern")).toBeUndefined();
});

test("the codes exist", () => {
  for (const code of [TOO_LITTLE, MORE_THAN_WANTED]) {
    const file = new URL(`../../../../engine/finding/codes/${code.toLowerCase().replaceAll("_", "-")}.json`, import.meta.url);
    expect(existsSync(file), code).toBe(true);
  }
});
