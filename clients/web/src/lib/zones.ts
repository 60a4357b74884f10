/** What the server's findings say about the level of a zone: the tolerance is its business. */

export const TOO_LITTLE = "LIGHT_TARGET_LOW";
export const MORE_THAN_WANTED = "LIGHT_TARGET_HIGH";

interface About {
  code: string;
  subject: string;
}

/** Returns the finding's code for the zone's level; undefined when its level raised none. */
export function levelFinding(findings: readonly About[], zone: string): string | undefined {
  const subject = `zone ${zone}`;
  return [TOO_LITTLE, MORE_THAN_WANTED].find((code) => findings.some((f) => f.code === code && f.subject === subject));
}
