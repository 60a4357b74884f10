import { timestampFromMs } from "@bufbuild/protobuf/wkt";
import { expect, test } from "vitest";
import { DisplayUnits } from "../gen/roodbeam/v1/catalogue_pb";
import { ago, amperes, bytes, count, lux, footcandles, length, mass, MISSING, moment, money, percent, rating, ratio, run, seconds, unitsOf } from "./format";

const { METRIC, US } = DisplayUnits;

test("the project's units, else those of its region", () => {
  expect(unitsOf(METRIC, "us")).toBe(METRIC);
  expect(unitsOf(DisplayUnits.UNSPECIFIED, "us")).toBe(US);
  expect(unitsOf(undefined, "metric")).toBe(METRIC);
});

test("lengths, runs, masses and light in both systems", () => {
  expect(length(3.8227, METRIC)).toBe("3.82 m");
  expect(length(-0.001, METRIC)).toBe("0.00 m");
  expect(length(3.8227, US)).toBe("12 ft 6 1/2 in");
  expect(length(0.3048, US)).toBe("1 ft");
  expect(length(0.0064, US)).toBe("1/4 in");
  expect(length(0.303, US)).toBe("1 ft"); // 11.93 in rounds up over the foot
  expect(length(-1, US)).toBe("-3 ft 3 1/4 in");
  expect(length(0, US)).toBe("0 in");
  expect(run(27.68, METRIC)).toBe("27.7 m");
  expect(run(27.68, US)).toBe("91 ft");
  expect(mass(149.978, METRIC)).toBe("150.0 kg");
  expect(mass(149.978, US)).toBe("330.6 lb");
  expect(footcandles(450)).toBe("42 fc");
  expect(footcandles(43)).toBe("4.0 fc");
});

test("numbers carry their unit and sensible rounding", () => {
  expect(lux(312.4)).toBe("312 lx");
  expect(lux(4.26)).toBe("4.3 lx");
  expect(amperes(15.96)).toBe("16.0 A");
  expect(seconds(3)).toBe("3 s");
  expect(seconds(2.5)).toBe("2.5 s");
  expect(rating(20)).toBe("20 A");
  expect(percent(3.14)).toBe("3.1 %");
  expect(percent(37.6)).toBe("38 %");
  expect(ratio(0.666)).toBe("0.67");
  expect(lux(12345)).toBe("12,345 lx");
});

test("what is missing is a dash, never a zero", () => {
  expect(lux(undefined)).toBe(MISSING);
  expect(length(Number.NaN, METRIC)).toBe(MISSING);
  expect(run(undefined, US)).toBe(MISSING);
  expect(mass(undefined, US)).toBe(MISSING);
  expect(footcandles(undefined)).toBe(MISSING);
  expect(money(5n, "")).toBe(MISSING);
  expect(money(5n, "not a code")).toBe(MISSING);
  expect(lux(0)).toBe("0 lx");
  expect(lux(0.04)).toBe("0.0 lx");
});

test("money follows the minor digits of its currency", () => {
  expect(money(4_120_050n, "XTS")).toBe("XTS 41,201");
  expect(money(4_120_050n, "USD")).toBe("USD 41,201");
  expect(money(41_200n, "JPY")).toBe("JPY 41,200");
});

test("sizes and counts", () => {
  expect(bytes(812n)).toBe("812 B");
  expect(bytes(48_300n)).toBe("48 kB");
  expect(bytes(1_240_000n)).toBe("1.2 MB");
  expect(count(1, "stop")).toBe("1 stop");
  expect(count(0, "entry", "entries")).toBe("0 entries");
});

test("a moment is told in the church's time zone", () => {
  const noon = timestampFromMs(Date.UTC(2027, 1, 7, 16));
  expect(moment(noon, "America/New_York")).toBe("7 Feb 2027, 11:00");
  expect(moment(noon, "No/Such_Zone")).toBe(moment(noon));
  expect(moment(undefined, "UTC")).toBe(MISSING);
});

test("time since", () => {
  const now = 1_000_000_000_000;
  expect(ago(timestampFromMs(now - 5_000), now)).toBe("just now");
  expect(ago(timestampFromMs(now + 5_000), now)).toBe("just now");
  expect(ago(timestampFromMs(now - 125_000), now)).toBe("2 min ago");
  expect(ago(timestampFromMs(now - 7_300_000), now)).toBe("2 h ago");
  expect(ago(timestampFromMs(now - 200_000_000), now)).toBe("2 d ago");
});
