import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import { failureOf, watchProject, type Failure } from "./api";
import type { WatchProjectResponse } from "./gen/roodbeam/v1/project_service_pb";
import { onSession, token } from "./session";

/** Returns the token and follows signing in and out. */
export function useToken(): string | undefined {
  const [t, setT] = useState(token());
  useEffect(() => onSession(() => setT(token())), []);
  return t;
}

/** What is loaded; the last good value stays while a newer one is on its way or has failed. */
export interface Loaded<T> {
  value: T | undefined;
  failure: Failure | undefined;
  busy: boolean;
  /** Asks again. A call that is under way is finished first, so that frequent changes cannot starve it. */
  reload: () => void;
}

/** Loads when `key` changes and on reload(). */
export function useLoad<T>(key: string, load: (signal: AbortSignal) => Promise<T>): Loaded<T> {
  const [state, setState] = useState<{ key: string; value?: T; failure?: Failure; busy: boolean }>({ key, busy: true });
  const latest = useRef(load);
  latest.current = load;
  const run = useRef<() => void>(() => {});
  useEffect(() => {
    const stop = new AbortController();
    let running = false;
    let again = false;
    const go = async (): Promise<void> => {
      if (running) {
        again = true;
        return;
      }
      running = true;
      do {
        again = false;
        setState((s) => ({ ...(s.key === key ? s : { key }), busy: true }));
        try {
          const value = await latest.current(stop.signal);
          if (!stop.signal.aborted) setState({ key, value, busy: again });
        } catch (e) {
          const failure = failureOf(e);
          if (!stop.signal.aborted) setState((s) => ({ ...(s.key === key && s.value !== undefined ? { value: s.value } : {}), key, failure, busy: again }));
        }
      } while (again && !stop.signal.aborted);
      running = false;
    };
    run.current = () => void go();
    void go();
    return () => stop.abort();
  }, [key]);
  const reload = useCallback(() => run.current(), []);
  const mine = state.key === key;
  return { value: mine ? state.value : undefined, failure: mine ? state.failure : undefined, busy: state.busy, reload };
}

export type Link = "waiting" | "live" | "lost";

const FIRST_WAIT_MS = 500;
const LONGEST_WAIT_MS = 15_000;

/**
 * Follows a project's changes after the revision; undefined: not yet. After a lost connection it goes on where
 * it was. While the page is hidden it lets go, since browsers keep few connections per server.
 */
export function useWatch(project: string, after: bigint | undefined, take: (m: WatchProjectResponse) => void): Link {
  const [link, setLink] = useState<Link>("waiting");
  const taker = useRef(take);
  taker.current = take;
  const ready = after !== undefined;
  const start = useRef(0n);
  const lost = useRef(false);
  if (after !== undefined && after > start.current) start.current = after;
  useEffect(() => {
    if (!ready) return undefined;
    let stop = new AbortController();
    let ended = false;
    const follow = async (signal: AbortSignal): Promise<void> => {
      let wait = FIRST_WAIT_MS;
      while (!signal.aborted) {
        if (!lost.current) setLink("live");
        // After a loss one known change is asked for again: only a message proves that the stream is back.
        const from = lost.current && start.current > 0n ? start.current - 1n : start.current;
        try {
          for await (const m of watchProject(project, from, signal)) {
            lost.current = false;
            setLink("live");
            wait = FIRST_WAIT_MS;
            if (m.revision > start.current) start.current = m.revision;
            taker.current(m);
          }
        } catch (e) {
          const f = failureOf(e);
          if (signal.aborted || (!f.again && !f.cancelled)) break;
          lost.current = true;
          setLink("lost");
        }
        await sleep(wait, signal);
        wait = Math.min(wait * 2, LONGEST_WAIT_MS);
      }
    };
    const seen = (): void => {
      stop.abort();
      stop = new AbortController();
      if (!ended && document.visibilityState === "visible") void follow(stop.signal);
    };
    seen();
    document.addEventListener("visibilitychange", seen);
    window.addEventListener("online", seen);
    return () => {
      ended = true;
      stop.abort();
      document.removeEventListener("visibilitychange", seen);
      window.removeEventListener("online", seen);
    };
  }, [project, ready]);
  return link;
}

function sleep(ms: number, signal: AbortSignal): Promise<void> {
  return new Promise((done) => {
    const timer = setTimeout(done, ms);
    signal.addEventListener("abort", () => {
      clearTimeout(timer);
      done();
    }, { once: true });
  });
}

/** Returns the value once it has stood still for the time. */
export function useSettled<T>(value: T, ms: number): T {
  const [settled, setSettled] = useState(value);
  useEffect(() => {
    const timer = setTimeout(() => setSettled(value), ms);
    return () => clearTimeout(timer);
  }, [value, ms]);
  return settled;
}

export function useTitle(title: string): void {
  useEffect(() => {
    document.title = title === "" ? "Roodbeam" : `${title} · Roodbeam`;
  }, [title]);
}

/** Returns an address for the blob, valid as long as the blob is shown. */
export function useObjectURL(blob: Blob | undefined): string | undefined {
  const [url, setURL] = useState<string>();
  useEffect(() => {
    if (blob === undefined) return undefined;
    const made = URL.createObjectURL(blob);
    setURL(made);
    return () => URL.revokeObjectURL(made);
  }, [blob]);
  return url;
}
