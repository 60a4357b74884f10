import type { Failure } from "../api";
import type { HistoryEntry } from "../gen/roodbeam/v1/project_service_pb";
import type { Link } from "../hooks";
import { moment } from "../lib/format";
import { Trouble } from "./basics";

const SHOWN = 40;

/** Joins two lists of entries, newest first, each entry once. */
export function joined(a: readonly HistoryEntry[], b: readonly HistoryEntry[]): HistoryEntry[] {
  const byId = new Map([...b, ...a].map((e) => [e.entryId, e]));
  return [...byId.values()]
    .sort((x, y) => Number(y.revision - x.revision) || (x.entryId < y.entryId ? 1 : -1))
    .slice(0, SHOWN);
}

const linkWord: Record<Link, string> = { waiting: "connecting", live: "live", lost: "connection lost, trying again" };

export function LinkState({ link }: { link: Link }): preact.JSX.Element {
  return <output class={`link ${link}`}>{linkWord[link]}</output>;
}

/** What happened, as it happens. */
export function Feed({ entries, failure, link, say }: { entries: HistoryEntry[]; failure: Failure | undefined; link: Link; say: (text: string) => string }): preact.JSX.Element {
  return (
    <section class="card" aria-labelledby="feed-title" id="activity">
      <h2 id="feed-title">Activity</h2>
      {failure === undefined ? null : <Trouble failure={failure} />}
      {link === "lost" ? <p class="muted">New entries show as soon as the connection is back.</p> : null}
      {/* oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex -- a scrolling region must be reachable by keyboard */}
      <ol class="feed" aria-live="polite" tabIndex={0} aria-labelledby="feed-title">
        {entries.map((e) => (
          <li key={e.entryId}>
            <span><b>{e.actor}</b> {say(e.text)}</span>
            <span class="muted">{moment(e.time)}</span>
          </li>
        ))}
      </ol>
    </section>
  );
}
