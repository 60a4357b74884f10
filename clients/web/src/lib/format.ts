/** Numbers for people: always with a unit and rounded to what they can carry. A missing number is a dash. */

import { timestampDate, type Timestamp } from "@bufbuild/protobuf/wkt";
import { DisplayUnits } from "../gen/roodbeam/v1/catalogue_pb";

export const MISSING = "–";

function fixed(x: number, digits: number): string {
  const text = x.toLocaleString("en", { minimumFractionDigits: digits, maximumFractionDigits: digits });
  return /^-0(\.0*)?$/.test(text) ? text.slice(1) : text;
}

/** One decimal below ten, none from ten upward and for nothing at all. */
function small(x: number | undefined): number {
  return x !== undefined && x !== 0 && Math.abs(x) < 10 ? 1 : 0;
}

function withUnit(x: number | undefined, digits: number, unit: string): string {
  return x === undefined || !Number.isFinite(x) ? MISSING : `${fixed(x, digits)} ${unit}`;
}

/** Lux, whole from 10 upward, one decimal below. */
export function lux(x: number | undefined): string {
  return withUnit(x, small(x), "lx");
}

/** Units in which a project's people read, as the server decides it: the settings', else feet and inches in the US. */
export function unitsOf(units: DisplayUnits | undefined, region: string | undefined): DisplayUnits {
  if (units !== undefined && units !== DisplayUnits.UNSPECIFIED) return units;
  return region === "us" ? DisplayUnits.US : DisplayUnits.METRIC;
}

const INCH_M = 0.0254;
const POUND_KG = 0.45359237;
const FOOTCANDLE_LX = 1 / 0.3048 ** 2;
const QUARTERS = ["", "1/4", "1/2", "3/4"];

/** A length in metres: to the centimetre, or in feet and inches to the quarter inch. */
export function length(m: number | undefined, units: DisplayUnits): string {
  if (m === undefined || !Number.isFinite(m)) return MISSING;
  if (units !== DisplayUnits.US) return withUnit(m, 2, "m");
  const quarters = Math.round((Math.abs(m) / INCH_M) * 4);
  const feet = Math.floor(quarters / 48);
  const inches = Math.floor((quarters % 48) / 4);
  const part = QUARTERS[quarters % 4] ?? "";
  const rest = [inches > 0 ? String(inches) : "", part].filter((x) => x !== "").join(" ");
  const words = [feet > 0 ? `${feet} ft` : "", rest === "" ? "" : `${rest} in`].filter((x) => x !== "").join(" ");
  return `${m < 0 && quarters > 0 ? "-" : ""}${words === "" ? "0 in" : words}`;
}

/** A run of cable or a route in metres: whole feet, or to the tenth of a metre; nobody cuts it finer. */
export function run(m: number | undefined, units: DisplayUnits): string {
  return units === DisplayUnits.US ? withUnit(m === undefined ? m : m / (12 * INCH_M), 0, "ft") : withUnit(m, 1, "m");
}

/** A mass in kilograms: to a tenth of a kilogram or pound. */
export function mass(kg: number | undefined, units: DisplayUnits): string {
  return units === DisplayUnits.US ? withUnit(kg === undefined ? kg : kg / POUND_KG, 1, "lb") : withUnit(kg, 1, "kg");
}

/** Lux in foot-candles, whole from 10 upward. */
export function footcandles(lx: number | undefined): string {
  const fc = lx === undefined ? undefined : lx / FOOTCANDLE_LX;
  return withUnit(fc, small(fc), "fc");
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
  return withUnit(x, small(x), "%");
}

/** Seconds, to a tenth where they are not whole. */
export function seconds(x: number | undefined): string {
  return withUnit(x, x !== undefined && !Number.isInteger(x) ? 1 : 0, "s");
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

/** Date and time in the time zone; in the reader's where none is given or known. */
export function moment(t: Timestamp | undefined, zone: string = ""): string {
  if (t === undefined) return MISSING;
  const style = { dateStyle: "medium", timeStyle: "short" } as const;
  try {
    return timestampDate(t).toLocaleString("en-GB", zone === "" ? style : { ...style, timeZone: zone });
  } catch {
    return timestampDate(t).toLocaleString("en-GB", style);
  }
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
