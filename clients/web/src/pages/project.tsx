import { useEffect, useRef, useState } from "preact/hooks";
import { getProject, getResults, getSurvey, latestHistory, listMembers, listPackets } from "../api";
import { Role } from "../gen/roodbeam/v1/access_service_pb";
import { Severity } from "../gen/roodbeam/v1/finding_pb";
import type { HistoryEntry, Project } from "../gen/roodbeam/v1/project_service_pb";
import type { Results } from "../gen/roodbeam/v1/results_pb";
import { useLoad, useTitle, useWatch } from "../hooks";
import { amperes, count, money, MISSING, unitsOf } from "../lib/format";
import { namer } from "../lib/naming";
import { levelFinding, TOO_LITTLE } from "../lib/zones";
import { measurePath } from "../lib/route";
import { roleWord } from "../lib/words";
import { Goto, Trouble, Waiting } from "../parts/basics";
import { Circuits } from "../parts/circuits";
import { Daylight } from "../parts/daylight";
import { Drawings } from "../parts/drawings";
import { Feed, LinkState, joined } from "../parts/feed";
import { Findings } from "../parts/findings";
import { Hanging } from "../parts/hanging";
import { Invite } from "../parts/invite";
import { LightByZone } from "../parts/light";
import { Looks } from "../parts/looks";
import { Members } from "../parts/members";
import { Packets } from "../parts/packets";

/** Changes that come in a burst are answered with one recalculation. */
const BURST_MS = 400;

const parts = ["Drawings", "Light", "Daylight", "Looks", "Hanging", "Circuits", "Findings", "Activity", "Packets", "People"] as const;

export function ProjectPage({ project }: { project: string }): preact.JSX.Element {
  const head = useLoad(`project ${project}`, (s) => getProject(project, s));
  const history = useLoad(`history ${project}`, (s) => latestHistory(project, s));
  const results = useLoad(`results ${project}`, (s) => getResults(project, s));
  const survey = useLoad(`survey ${project}`, (s) => getSurvey(project, s));
  const packets = useLoad(`packets ${project}`, (s) => listPackets(project, s));
  const members = useLoad(`members ${project}`, (s) => listMembers(project, s));
  const [heard, setHeard] = useState<HistoryEntry[]>([]);
  const burst = useRef<ReturnType<typeof setTimeout>>(undefined);
  useEffect(() => () => clearTimeout(burst.current), []);

  // The feed starts where the first page of the journal ends, so that nothing falls between the two.
  const after = history.value?.entries[0]?.revision;
  const link = useWatch(project, after, (m) => {
    setHeard((old) => joined(m.entries, old));
    clearTimeout(burst.current);
    burst.current = setTimeout(() => {
      head.reload();
      results.reload();
      survey.reload();
      if (m.entries.length === 0 || m.entries.some((e) => e.kind.startsWith("packet."))) packets.reload();
      if (m.entries.length === 0 || m.entries.some((e) => e.kind.startsWith("member."))) members.reload();
    }, BURST_MS);
  });

  const settings = head.value?.settings;
  useTitle(settings?.name ?? "");
  if (head.value === undefined) {
    return <main id="main">{head.failure === undefined ? <Waiting what="Opening the project" /> : <Trouble failure={head.failure} retry={head.reload} />}</main>;
  }
  const units = unitsOf(settings?.units, head.value.summary?.region);
  const manages = [Role.MANAGER, Role.DESIGNER, Role.UNSPECIFIED].includes(head.value.role);
  const say = namer(survey.value?.survey?.measurements ?? []);
  const r = results.value?.results;
  const revision = results.value?.revision;
  return (
    <main id="main" class="project">
      <Head project={head.value} link={link} />
      <nav class="jump" aria-label="On this page">
        {parts.filter((p) => p !== "Daylight" || (r?.daylight?.zones.length ?? 0) > 0).map((p) => <a key={p} href={`#${p.toLowerCase()}`}>{p}</a>)}
      </nav>
      <div class="columns">
        <div class="first">
          {results.failure === undefined ? null : <Trouble failure={results.failure} retry={results.reload} />}
          {r === undefined && results.failure === undefined ? <Waiting what="Working out the results" /> : null}
          {r === undefined ? null : <Sum results={r} busy={results.busy} />}
          {revision === undefined ? null : <Drawings project={project} revision={revision} />}
          {r === undefined ? null : (
            <>
              <LightByZone light={r.light} findings={r.findings} units={units} />
              <Daylight report={r.daylight} units={units} zone={settings?.timeZone ?? ""} />
              <Looks presets={r.presets} looks={r.looks} units={units} />
              <Hanging plan={r.hanging} units={units} />
              <Circuits load={r.load} units={units} />
              <Findings project={project} role={head.value.role} findings={r.findings} say={say} />
            </>
          )}
        </div>
        <div class="second">
          <Feed entries={joined(heard, history.value?.entries ?? [])} failure={history.failure} link={link} say={say} />
          <Packets project={project} packets={packets.value?.packets} failure={packets.failure} />
          <Members project={project} members={members.value} failure={members.failure} may={manages} />
          {manages ? <Invite project={project} /> : null}
        </div>
      </div>
    </main>
  );
}

function Head({ project, link }: { project: Project; link: "waiting" | "live" | "lost" }): preact.JSX.Element {
  const s = project.settings;
  return (
    <div class="title">
      <div>
        <h1>{s?.name ?? MISSING}</h1>
        <p class="muted">{[s?.town ?? "", project.summary?.status ?? "", `you are here as ${roleWord[project.role]}`].filter((x) => x !== "").join(" · ")}</p>
      </div>
      <p class="row">
        <LinkState link={link} />
        <Goto to={measurePath(project.projectId)} class="button">Measure</Goto>
      </p>
    </div>
  );
}

/** The four figures everybody asks for first. */
function Sum({ results, busy }: { results: Results; busy: boolean }): preact.JSX.Element {
  const open = results.findings.filter((f) => f.clearing === undefined);
  const stops = open.filter((f) => f.severity === Severity.STOP).length;
  const warnings = open.filter((f) => f.severity === Severity.WARN).length;
  const zones = results.light?.zones ?? [];
  const wanted = zones.filter((z) => (z.targetLx ?? 0) > 0);
  const dark = wanted.filter((z) => levelFinding(results.findings, z.name) === TOO_LITTLE).length;
  const e = results.estimate;
  return (
    <section aria-label="In short" aria-busy={busy}>
      <dl class="sum">
        <div class={stops > 0 ? "stop" : ""}><dt>Open findings</dt><dd><a href="#findings">{count(stops, "stop")}, {count(warnings, "warning")}</a></dd></div>
        <div><dt>Zones with too little light</dt><dd>{wanted.length === 0 ? "no level stated" : `${dark} of ${wanted.length}`}</dd></div>
        <div><dt>New lighting, all on</dt><dd>{amperes(results.load?.totalA)}</dd></div>
        <div>
          <dt>Cost with contingency</dt>
          <dd>{e?.withContingency === undefined ? MISSING : money(e.withContingency.likelyMinor, e.currency)}</dd>
          {e?.withContingency === undefined ? null : <dd class="muted">{money(e.withContingency.lowMinor, e.currency)} to {money(e.withContingency.highMinor, e.currency)}</dd>}
        </div>
      </dl>
      <p class="muted">Scheme {results.scheme?.name === "" || results.scheme === undefined ? "not chosen" : `“${results.scheme.name}”`}. Planning figures: licensed and qualified people decide.</p>
    </section>
  );
}
