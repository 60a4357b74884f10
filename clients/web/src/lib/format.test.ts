import { timestampFromMs } from "@bufbuild/protobuf/wkt";
import { expect, test } from "vitest";
import { ago, amperes, bytes, count, lux, metres, MISSING, money, percent, rating, ratio } from "./format";

test("numbers carry their unit and sensible rounding", () => {
  expect(lux(312.4)).toBe("312 lx");
  expect(lux(4.26)).toBe("4.3 lx");
  expect(metres(3.8227)).toBe("3.82 m");
  expect(amperes(15.96)).toBe("16.0 A");
  expect(rating(20)).toBe("20 A");
  expect(percent(3.14)).toBe("3.1 %");
  expect(percent(37.6)).toBe("38 %");
  expect(ratio(0.666)).toBe("0.67");
  expect(lux(12345)).toBe("12,345 lx");
  expect(metres(-0.001)).toBe("0.00 m");
});

test("what is missing is a dash, never a zero", () => {
  expect(lux(undefined)).toBe(MISSING);
  expect(metres(Number.NaN)).toBe(MISSING);
  expect(money(5n, "")).toBe(MISSING);
  expect(money(5n, "not a code")).toBe(MISSING);
  expect(lux(0)).toBe("0.0 lx");
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

test("time since", () => {
  const now = 1_000_000_000_000;
  expect(ago(timestampFromMs(now - 5_000), now)).toBe("just now");
  expect(ago(timestampFromMs(now + 5_000), now)).toBe("just now");
  expect(ago(timestampFromMs(now - 125_000), now)).toBe("2 min ago");
  expect(ago(timestampFromMs(now - 7_300_000), now)).toBe("2 h ago");
  expect(ago(timestampFromMs(now - 200_000_000), now)).toBe("2 d ago");
});
