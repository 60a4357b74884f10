/** Numbers for people: always with a unit and rounded to what they can carry. A missing number is a dash. */

import { timestampDate, type Timestamp } from "@bufbuild/protobuf/wkt";

export const MISSING = "–";

function fixed(x: number, digits: number): string {
  const text = x.toLocaleString("en", { minimumFractionDigits: digits, maximumFractionDigits: digits });
  return /^-0(\.0*)?$/.test(text) ? text.slice(1) : text;
}

function withUnit(x: number | undefined, digits: number, unit: string): string {
  return x === undefined || !Number.isFinite(x) ? MISSING : `${fixed(x, digits)} ${unit}`;
}

/** Lux, whole from 10 upward, one decimal below. */
export function lux(x: number | undefined): string {
  return withUnit(x, x !== undefined && Math.abs(x) < 10 ? 1 : 0, "lx");
}

/** Metres to the centimetre. */
export function metres(x: number | undefined): string {
  return withUnit(x, 2, "m");
}

/** Amperes to a tenth. */
export function amperes(x: number | undefined): string {
  return withUnit(x, 1, "A");
}

/** A breaker's rating: whole amperes unless it is not one. */
export function rating(x: number | undefined): string {
  return withUnit(x, x !== undefined && !Number.isInteger(x) ? 1 : 0, "A");
}

/** Volt-amperes, whole. */
export function voltAmperes(x: number | undefined): string {
  return withUnit(x, 0, "VA");
}

/** Percent, one decimal below ten. */
export function percent(x: number | undefined): string {
  return withUnit(x, x !== undefined && Math.abs(x) < 10 ? 1 : 0, "%");
}

/** A ratio of 0 to 1, two decimals. */
export function ratio(x: number | undefined): string {
  return x === undefined || !Number.isFinite(x) ? MISSING : fixed(x, 2);
}

/** Money from minor units, whole major units: estimates carry no more. */
export function money(minor: bigint, currency: string): string {
  if (currency === "") return MISSING;
  let digits: number;
  try {
    digits = new Intl.NumberFormat("en", { style: "currency", currency }).resolvedOptions().maximumFractionDigits ?? 2;
  } catch {
    return MISSING;
  }
  return `${currency} ${fixed(Number(minor) / 10 ** digits, 0)}`;
}

/** Bytes as kB or MB. */
export function bytes(n: bigint): string {
  const x = Number(n);
  if (x < 1000) return `${x} B`;
  return x < 1_000_000 ? `${fixed(x / 1000, 0)} kB` : `${fixed(x / 1_000_000, 1)} MB`;
}

/** Date and time in the reader's zone. */
export function moment(t: Timestamp | undefined): string {
  return t === undefined ? MISSING : timestampDate(t).toLocaleString("en-GB", { dateStyle: "medium", timeStyle: "short" });
}

/** How long ago, in words; a date when it is more than a week. */
export function ago(t: Timestamp | undefined, now: number = Date.now()): string {
  if (t === undefined) return MISSING;
  const s = Math.max(0, (now - timestampDate(t).getTime()) / 1000);
  if (s < 60) return "just now";
  if (s < 3600) return `${Math.floor(s / 60)} min ago`;
  if (s < 86_400) return `${Math.floor(s / 3600)} h ago`;
  if (s < 7 * 86_400) return `${Math.floor(s / 86_400)} d ago`;
  return timestampDate(t).toLocaleDateString("en-GB", { dateStyle: "medium" });
}

/** "1 stop", "3 stops". */
export function count(n: number, one: string, many: string = `${one}s`): string {
  return `${n} ${n === 1 ? one : many}`;
}
