/**
 * What was entered and has not reached the server. Each item has a key of its own in the browser's store, so
 * that two tabs do not overwrite each other's.
 */

import type { JsonObject } from "@bufbuild/protobuf";
import type { Doubt } from "./newpoint";

export interface Item {
  /** Id of the journal entry; it stays the same however often the item is sent. */
  id: string;
  project: string;
  /** The measurement as protobuf JSON. */
  measurement: JsonObject;
  /** Names that were typed as those of new points. */
  fresh: string[];
  /** Those of them of which a person said again that they are new, or that resemble no other. */
  sure: string[];
  /** For the list of what waits. */
  label: string;
  /** Milliseconds since 1970. */
  at: number;
  /** Why the server refused it; absent while it only waits for a connection. */
  refused?: string;
  /** Names the server does not know; a person answers what they mean, then it is sent again. */
  doubts?: Doubt[];
}

type Store = Pick<Storage, "getItem" | "setItem" | "removeItem" | "key" | "length">;

const PREFIX = "roodbeam.outbox.";

export class Outbox {
  constructor(private readonly store: Store) {}

  /** Keeps the item, replacing the one of the same id. */
  put(item: Item): void {
    this.store.setItem(PREFIX + item.id, JSON.stringify(item));
  }

  remove(id: string): void {
    this.store.removeItem(PREFIX + id);
  }

  /** Returns the project's items, oldest first. Text that is no item is passed over. */
  list(project: string): Item[] {
    const out: Item[] = [];
    for (let i = 0; i < this.store.length; i++) {
      const key = this.store.key(i);
      if (key === null || !key.startsWith(PREFIX)) continue;
      const item = read(this.store.getItem(key));
      if (item !== undefined && item.project === project) out.push(item);
    }
    return out.sort((a, b) => a.at - b.at || (a.id < b.id ? -1 : 1));
  }
}

function read(text: string | null): Item | undefined {
  try {
    const item = JSON.parse(text ?? "") as Partial<Item>;
    const whole = typeof item.id === "string" && typeof item.project === "string" && typeof item.measurement === "object" &&
      typeof item.label === "string" && typeof item.at === "number" && Array.isArray(item.fresh) && Array.isArray(item.sure);
    return whole ? (item as Item) : undefined;
  } catch {
    return undefined;
  }
}

/** What came of sending one item. */
export type Outcome = { sent: true } | { sent: false; again: boolean; why: string; doubts?: Doubt[] };

/**
 * Sends the items in order, except those that are on their way already. What was sent leaves the store; what the
 * server refused stays with its reason; at the first failure of the connection it stops, since the rest would
 * fail as well.
 */
export async function flush(
  box: Outbox, project: string, send: (item: Item) => Promise<Outcome>, underway: ReadonlySet<string> = new Set(),
): Promise<void> {
  for (const item of box.list(project)) {
    // An open question waits for its answer: asking the server again would not bring it.
    if (underway.has(item.id) || item.doubts !== undefined) continue;
    const outcome = await send(item);
    if (outcome.sent) {
      box.remove(item.id);
    } else if (outcome.again) {
      return;
    } else {
      box.put({ ...item, refused: outcome.why, ...(outcome.doubts === undefined ? {} : { doubts: outcome.doubts }) });
    }
  }
}
