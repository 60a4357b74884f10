/** How one reading of an ambiguous length is written so that it has no other reading. */

const metresPer: Record<string, number> = { m: 1, cm: 0.01, mm: 0.001, in: 0.0254, ft: 0.3048, yd: 0.9144 };
const INCH = metresPer["in"] ?? 0;

function plain(x: number): string {
  // Twelve figures undo the rounding of the conversion and keep all a person types.
  return String(Number(x.toPrecision(12)));
}

/**
 * Returns text for the length in metres written in the unit `as` of a reading ("in", "ft", "ft-in", "m", ...);
 * metres for a unit that is not known here.
 */
export function writeIn(metres: number, as: string): string {
  const unit = as.trim();
  if (unit === "ft-in") {
    const inches = Number((Math.abs(metres) / INCH).toPrecision(12));
    const feet = Math.floor(inches / 12);
    return `${metres < 0 ? "-" : ""}${feet}' ${plain(inches - feet * 12)}"`;
  }
  const factor = metresPer[unit];
  return factor === undefined ? `${plain(metres)} m` : `${plain(metres / factor)} ${unit}`;
}

/** Returns the text with the sign of the side; text that carries a sign already is left alone. */
export function signed(text: string, negative: boolean): string {
  const t = text.trim();
  return negative && t !== "" && !/^[-−+]/.test(t) ? `-${t}` : t;
}

/** Returns the text with the sign of degrees behind a bare number; other text is left alone. */
export function inDegrees(text: string): string {
  const t = text.trim();
  return /^[-−+]?\d+(?:[.,]\d*)?$/.test(t) ? `${t}°` : t;
}
