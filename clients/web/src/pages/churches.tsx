import { useEffect, useState } from "preact/hooks";
import { failureOf, listProjects, type Failure } from "../api";
import type { ProjectSummary } from "../gen/roodbeam/v1/project_service_pb";
import { useLoad, useSettled, useTitle } from "../hooks";
import { ago, count } from "../lib/format";
import { projectPath } from "../lib/route";
import { Goto, Trouble, Waiting } from "../parts/basics";

const TYPING_MS = 250;

export function Churches(): preact.JSX.Element {
  useTitle("Churches");
  const [typed, setTyped] = useState("");
  const text = useSettled(typed.trim(), TYPING_MS);
  const first = useLoad(`churches ${text}`, (signal) => listProjects(text, "", signal));
  const more = useMore(text, first.value?.nextPageToken);
  const rows = [...(first.value?.projects ?? []), ...more.rows];

  return (
    <main id="main">
      <div class="title">
        <h1>Churches</h1>
        <div class="search">
          <label htmlFor="search">Name or town</label>
          <input id="search" type="search" value={typed} maxLength={80} onInput={(e) => setTyped(e.currentTarget.value)} />
        </div>
      </div>
      {first.failure === undefined ? null : <Trouble failure={first.failure} retry={first.reload} />}
      {first.value === undefined && first.failure === undefined ? <Waiting what="Reading the list" /> : null}
      {first.value !== undefined && rows.length === 0 ? (
        <p>{text === "" ? "There is no church here yet. Make one with the command line: roodbeam plan my-church.yaml --server …" : `Nothing found for “${text}”.`}</p>
      ) : null}
      <ul class="churches">{rows.map((p) => <Row key={p.projectId} p={p} />)}</ul>
      {more.failure === undefined ? null : <Trouble failure={more.failure} />}
      {more.token === "" ? null : <button type="button" onClick={more.load} disabled={more.busy}>Show more</button>}
    </main>
  );
}

function Row({ p }: { p: ProjectSummary }): preact.JSX.Element {
  return (
    <li class="card church">
      <h2><Goto to={projectPath(p.projectId)}>{p.name}</Goto></h2>
      <p class="muted">{[p.town, p.status].filter((x) => x !== "").join(" · ")}</p>
      <p class="facts">
        <span class={p.openStops > 0 ? "tag stop" : "tag"}>{count(p.openStops, "open stop")}</span>
        <span class={p.openWarnings > 0 ? "tag warn" : "tag"}>{count(p.openWarnings, "open warning")}</span>
        {p.summaryRevision < p.revision ? <span class="muted">as of an earlier change</span> : null}
      </p>
      <p class="muted">Changed {ago(p.updated)}</p>
    </li>
  );
}

/** The pages after the first. */
function useMore(text: string, firstToken: string | undefined): { rows: ProjectSummary[]; token: string; load: () => void; busy: boolean; failure: Failure | undefined } {
  const [rows, setRows] = useState<ProjectSummary[]>([]);
  const [token, setToken] = useState("");
  const [busy, setBusy] = useState(false);
  const [failure, setFailure] = useState<Failure>();
  useEffect(() => {
    setRows([]);
    setToken(firstToken ?? "");
    setFailure(undefined);
  }, [text, firstToken]);
  const load = async (): Promise<void> => {
    setBusy(true);
    try {
      const got = await listProjects(text, token, new AbortController().signal);
      setRows((r) => [...r, ...got.projects]);
      setToken(got.nextPageToken);
      setFailure(undefined);
    } catch (e) {
      setFailure(failureOf(e));
    }
    setBusy(false);
  };
  return { rows, token, load: () => void load(), busy, failure };
}
