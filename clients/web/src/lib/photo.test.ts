import { expect, test } from "vitest";
import { cut, PIECE_BYTES, send, sha256, Underway, type Door } from "./photo";

/** A server that keeps pieces, and refuses the calls whose numbers are given. */
function keeper(size: number, refuse: readonly number[] = []): { door: Door<string>; kept: Map<number, Uint8Array>; calls: () => number } {
  const kept = new Map<number, Uint8Array>();
  let calls = 0;
  const door: Door<string> = {
    start: async (pieces) => ({ missing: pieces.map((p) => p.offset).filter((o) => !kept.has(o)), photo: undefined }),
    put: async (piece, data) => {
      calls++;
      if (refuse.includes(calls)) throw new Error("the connection is gone");
      expect(await sha256(new Uint8Array(data))).toBe(piece.sha256);
      kept.set(piece.offset, data);
    },
    finish: async (c) => {
      const whole = new Uint8Array(size);
      for (const [offset, data] of kept) whole.set(data, offset);
      expect(await sha256(whole)).toBe(c.sha256);
      return "photo";
    },
  };
  return { door, kept, calls: () => calls };
}

function file(size: number): Blob {
  return new Blob([Uint8Array.from({ length: size }, (_, i) => (i * 131 + (i >> 9)) % 251)]);
}

test("SHA-256 of the standard's example", async () => {
  // FIPS 180-4, example of one block: "abc".
  expect(await sha256(new TextEncoder().encode("abc"))).toBe("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
});

test.each([[1, 1], [PIECE_BYTES, 1], [PIECE_BYTES + 1, 2], [3 * PIECE_BYTES - 5, 3]])("a file of %i bytes has %i pieces and arrives whole", async (size, pieces) => {
  const c = await cut(file(size));
  expect(c.pieces.map((p) => p.offset)).toEqual(Array.from({ length: pieces }, (_, i) => i * PIECE_BYTES));
  const { door, kept } = keeper(size);
  const shares: number[] = [];
  expect(await send(c, door, (s) => shares.push(s))).toBe("photo");
  expect([...kept.values()].every((d) => d.byteLength <= PIECE_BYTES)).toBe(true);
  expect(shares[0]).toBe(0);
  expect(shares.at(-1)).toBe(1);
});

test("after a lost connection only the rest is sent", async () => {
  const size = 4 * PIECE_BYTES;
  const c = await cut(file(size));
  const { door, calls } = keeper(size, [3]);
  await expect(send(c, door, () => undefined)).rejects.toThrow("connection");
  const shares: number[] = [];
  expect(await send(c, door, (s) => shares.push(s))).toBe("photo");
  expect(calls()).toBe(5);
  expect(shares).toEqual([0.5, 0.75, 1]);
});

test("a photograph that is there already is not sent again", async () => {
  const c = await cut(file(10));
  const { door, calls } = keeper(10);
  expect(await send(c, { ...door, start: async () => ({ missing: [], photo: "known" }) }, () => undefined)).toBe("known");
  expect(calls()).toBe(0);
});

test("the same file keeps its id until it is done", () => {
  const map = new Map<string, string>();
  let n = 0;
  const u = new Underway({
    getItem: (k) => map.get(k) ?? null,
    setItem: (k, v) => void map.set(k, v),
    removeItem: (k) => void map.delete(k),
  }, () => String(n++));
  expect(u.id("p", "a")).toBe("0");
  expect(u.id("p", "a")).toBe("0");
  expect(u.id("other", "a")).toBe("1");
  u.done("p", "a");
  expect(u.id("p", "a")).toBe("2");
});
