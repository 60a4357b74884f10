import { answered } from "../lib/newpoint";
import type { Item } from "../lib/outbox";
import { count } from "../lib/format";
import { AskName } from "./point";

/** What was entered here and is not with the server yet. */
export function Waits({ items, busy, send, drop, change }: {
  items: Item[]; busy: boolean; send: () => void; drop: (id: string) => void; change: (item: Item) => void;
}): preact.JSX.Element | null {
  if (items.length === 0) return null;
  return (
    <section class="card waits" aria-labelledby="waits-title">
      <h2 id="waits-title">{count(items.length, "entry waits", "entries wait")} to be sent</h2>
      <p>Kept in this browser. Nothing is lost as long as you do not clear its data.</p>
      <ul class="entries">
        {items.map((i) => (
          <li key={i.id}>
            <div class="row">
              <span class="grow">{i.label}</span>
              {i.refused === undefined ? null : <button type="button" class="quiet" onClick={() => drop(i.id)}>Throw away<span class="hidden"> {i.label}</span></button>}
            </div>
            {i.refused === undefined || i.doubts !== undefined ? null : <p class="problem">Not taken: {i.refused}</p>}
            {i.doubts?.map((d) => <AskName key={d.field} doubt={d} answer={(means) => change(answered(i, d, means))} />)}
          </li>
        ))}
      </ul>
      <button type="button" disabled={busy} onClick={send}>{busy ? "Sending …" : "Send now"}</button>
    </section>
  );
}
