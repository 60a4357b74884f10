import { beforeEach, describe, expect, test } from "vitest";
import { flush, Outbox, type Item, type Outcome } from "./outbox";

class Memory {
  private readonly map = new Map<string, string>();
  get length(): number {
    return this.map.size;
  }
  key(i: number): string | null {
    return [...this.map.keys()][i] ?? null;
  }
  getItem(k: string): string | null {
    return this.map.get(k) ?? null;
  }
  setItem(k: string, v: string): void {
    this.map.set(k, v);
  }
  removeItem(k: string): void {
    this.map.delete(k);
  }
}

function item(id: string, at: number, project = "p"): Item {
  return { id, project, measurement: { kind: "MEASUREMENT_KIND_HEIGHT" }, fresh: [], sure: [], label: id, at };
}

let store: Memory;
let box: Outbox;

beforeEach(() => {
  store = new Memory();
  box = new Outbox(store);
});

describe("the outbox", () => {
  test("keeps items over a reload, oldest first, by project", () => {
    box.put(item("b", 2));
    box.put(item("a", 1));
    box.put(item("c", 3, "other"));
    store.setItem("roodbeam.outbox.broken", "{");
    store.setItem("roodbeam.outbox.foreign", `{"id":"x"}`);
    store.setItem("roodbeam.token", "t");
    expect(new Outbox(store).list("p").map((x) => x.id)).toEqual(["a", "b"]);
  });

  test("sends in order and forgets what was sent", async () => {
    box.put(item("b", 2));
    box.put(item("a", 1));
    const seen: string[] = [];
    await flush(box, "p", async (x): Promise<Outcome> => {
      seen.push(x.id);
      return { sent: true };
    });
    expect(seen).toEqual(["a", "b"]);
    expect(box.list("p")).toEqual([]);
  });

  test("a lost connection keeps everything and stops trying", async () => {
    box.put(item("a", 1));
    box.put(item("b", 2));
    let calls = 0;
    await flush(box, "p", async (): Promise<Outcome> => {
      calls++;
      return { sent: false, again: true, why: "no connection" };
    });
    expect(calls).toBe(1);
    expect(box.list("p")).toEqual([item("a", 1), item("b", 2)]);
  });

  test("an item that is on its way already is not sent a second time", async () => {
    box.put(item("a", 1));
    box.put(item("b", 2));
    const seen: string[] = [];
    await flush(box, "p", async (x): Promise<Outcome> => {
      seen.push(x.id);
      return { sent: true };
    }, new Set(["a"]));
    expect(seen).toEqual(["b"]);
    expect(box.list("p").map((x) => x.id)).toEqual(["a"]);
  });

  test("what the server refuses stays with its reason and does not hold up the rest", async () => {
    box.put(item("a", 1));
    box.put(item("b", 2));
    await flush(box, "p", async (x): Promise<Outcome> => (x.id === "a" ? { sent: false, again: false, why: "too long" } : { sent: true }));
    expect(box.list("p")).toEqual([{ ...item("a", 1), refused: "too long" }]);
  });

  test("a name nobody knows is kept as a question, and is not sent again before it is answered", async () => {
    const doubts = [{ field: "to", name: "B9", near: "B8" }];
    box.put({ ...item("a", 1), fresh: ["B9"] });
    let calls = 0;
    const send = async (): Promise<Outcome> => {
      calls++;
      return { sent: false, again: false, why: "names no station", doubts };
    };
    await flush(box, "p", send);
    await flush(box, "p", send);
    expect(calls).toBe(1);
    expect(box.list("p")[0]?.doubts).toEqual(doubts);
  });
});
