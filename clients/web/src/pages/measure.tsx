import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import { checkSurvey, failureOf, getProject, getSurvey, listChecklist, listQuestions, sendItem } from "../api";
import type { ChecklistItem } from "../gen/roodbeam/v1/checklist_pb";
import type { Finding } from "../gen/roodbeam/v1/finding_pb";
import type { Survey } from "../gen/roodbeam/v1/survey_pb";
import { useLoad, useTitle, useWatch } from "../hooks";
import { count, unitsOf } from "../lib/format";
import { namer } from "../lib/naming";
import { flush, Outbox, type Item, type Outcome } from "../lib/outbox";
import { projectPath } from "../lib/route";
import { violationOf } from "../lib/violations";
import { Goto, Trouble, Waiting } from "../parts/basics";
import { Entries } from "../parts/entries";
import { EntryForm, labelOf, type Problems } from "../parts/entryform";
import { LinkState } from "../parts/feed";
import { One } from "../parts/findings";
import { Waits } from "../parts/outbox";
import { Photos, type Subject } from "../parts/photos";
import type { Names } from "../parts/point";
import { Questions } from "../parts/questions";
import { Rules } from "../parts/rules";
import { Ways } from "../parts/ways";

const HALL_FLOOR = "hall floor";
const fields = ["from", "at", "to", "with", "value", "angle", "note", "reference"] as const;
const box = new Outbox(localStorage);

/** Entries that are on their way; the news of them may come back before the answer does. */
const underway = new Set<string>();

/** What came of the last save. */
interface Saved {
  label: string;
  /** Findings that were not there before. */
  fresh: Finding[];
  waits: boolean;
}

/** The page of a person who measures. */
export function Measure({ project, me }: { project: string; me: string }): preact.JSX.Element {
  const head = useLoad(`project ${project}`, (s) => getProject(project, s));
  const survey = useLoad(`survey ${project}`, (s) => getSurvey(project, s));
  const questions = useLoad(`questions ${project}`, (s) => listQuestions(project, s));
  const walk = useLoad(`checklist ${project}`, (s) => listChecklist(project, s));
  const before = useRef<Set<string>>(undefined);
  const checks = useLoad(`checks ${project}`, (s) => checkSurvey(project, s));
  if (before.current === undefined && checks.value !== undefined) before.current = new Set(checks.value.map(mark));
  const [saved, setSaved] = useState<Saved>();
  const reloadSurvey = survey.reload;
  const arrived = useCallback((item: Item, findings: Finding[]) => {
    const known = before.current ?? new Set<string>();
    before.current = new Set(findings.map(mark));
    setSaved({ label: item.label, fresh: findings.filter((f) => !known.has(mark(f))), waits: false });
    reloadSurvey();
  }, [reloadSurvey]);
  const sender = useSender(project, arrived);

  const link = useWatch(project, survey.value?.revision, () => {
    survey.reload();
    questions.reload();
    checks.reload();
    sender.send();
  });
  useTitle(`Measure ${head.value?.settings?.name ?? ""}`);

  const save = async (item: Item): Promise<Problems | undefined> => {
    // First into the browser's own store: what was measured must survive whatever happens to the connection.
    underway.add(item.id);
    box.put(item);
    try {
      const got = await sendItem(item);
      box.remove(item.id);
      if (got.doubts !== undefined) return { doubts: got.doubts };
      arrived(item, got.findings);
      return undefined;
    } catch (e) {
      const failure = failureOf(e);
      if (failure.again) {
        setSaved({ label: item.label, fresh: [], waits: true });
        return undefined;
      }
      // The person is still at the form: mend it there.
      box.remove(item.id);
      const out: Problems = {};
      for (const f of fields) {
        const why = violationOf(failure.violations, f);
        if (why !== undefined) out[f] = why;
      }
      if (Object.keys(out).length === 0) out.form = failure.text;
      return out;
    } finally {
      underway.delete(item.id);
      sender.refresh();
    }
  };

  const s = survey.value?.survey;
  if (head.value === undefined || s === undefined) {
    const failure = head.failure ?? survey.failure;
    return (
      <main id="main" class="phone">
        {failure === undefined ? <Waiting what="Opening the survey" /> : <Trouble failure={failure} retry={() => { head.reload(); survey.reload(); }} />}
        <Waits items={sender.items} busy={sender.busy} send={sender.send} drop={sender.drop} change={sender.change} />
      </main>
    );
  }
  const units = unitsOf(head.value.settings?.units, head.value.summary?.region);
  const say = namer(s.measurements);
  const mine = s.measurements.filter((m) => m.by === me && me !== "").sort((a, b) => (a.id < b.id ? 1 : -1));
  return (
    <main id="main" class="phone">
      <div class="title">
        <h1>{head.value.settings?.name ?? ""}</h1>
        <p class="row"><LinkState link={link} /><Goto to={projectPath(project)}>The whole project</Goto></p>
      </div>
      <nav class="jump" aria-label="On this page">
        <a href="#entry-title">Enter</a>
        <a href="#next-title">What next</a>
        <a href="#mine-title">Your entries</a>
        <a href="#photos-title">Photos</a>
      </nav>
      <Rules first={mine.length === 0} />
      <EntryForm project={project} units={units} names={namesOf(s)} floors={floorsOf(s)} save={save} />
      <div aria-live="polite">{saved === undefined ? null : <Answer saved={saved} say={say} />}</div>
      <Waits items={sender.items} busy={sender.busy} send={sender.send} drop={sender.drop} change={sender.change} />
      {questions.value === undefined ? null : <Questions questions={questions.value.questions} />}
      <Entries project={project} units={units} mine={mine} changed={survey.reload} />
      <Photos project={project} subjects={subjectsOf(s, walk.value ?? [])} />
      <Ways project={project} revision={survey.value?.revision ?? 0n} units={units} routes={s.routes} changed={survey.reload} />
      {checks.value === undefined || checks.value.length === 0 ? null : (
        <details class="card">
          <summary>{count(checks.value.length, "thing")} the checks of the whole survey ask about</summary>
          <ul class="findings">{checks.value.map((f) => <li key={mark(f)}><One finding={f} say={say} /></li>)}</ul>
        </details>
      )}
    </main>
  );
}

/** What the server said to the entry just saved. */
function Answer({ saved, say }: { saved: Saved; say: (text: string) => string }): preact.JSX.Element {
  if (saved.waits) {
    return <div class="card answer"><p><b>Kept in this browser:</b> {saved.label}. It is sent when the connection is back.</p></div>;
  }
  return (
    <div class={saved.fresh.length === 0 ? "card answer" : "card answer odd"}>
      <p><b>Saved:</b> {saved.label}</p>
      {saved.fresh.length === 0 ? <p>The checks found nothing new to ask.</p> : (
        <>
          <p><b>The checks ask about {count(saved.fresh.length, "new thing")}.</b> It may be this number or an earlier one: look again before you go on.</p>
          <ul class="findings">{saved.fresh.map((f) => <li key={mark(f)}><One finding={f} say={say} /></li>)}</ul>
        </>
      )}
    </div>
  );
}

function mark(f: Finding): string {
  return `${f.key} ${f.fingerprint}`;
}

function namesOf(s: Survey): Names {
  return {
    points: s.stations.map((x) => x.name).sort(byName),
    lines: s.lines.map((x) => x.name).sort(byName),
    others: ["ceiling", "ridge", ...floorsOf(s).filter((f) => f !== HALL_FLOOR)],
  };
}

function floorsOf(s: Survey): string[] {
  const found = [HALL_FLOOR, ...s.levels.map((l) => l.name), ...(s.platform === undefined ? [] : ["platform"]), ...s.galleries.map((g) => g.name)];
  return [...new Set(found)];
}

/** What a photograph can be of. */
function subjectsOf(s: Survey, walk: ChecklistItem[]): Subject[] {
  return [
    { of: "room", title: "The whole room" },
    ...s.lines.map((l) => ({ of: `line ${l.name}`, title: `Hanging line ${l.name}` })),
    ...s.panels.map((p) => ({ of: `panel ${p.name}`, title: `Electrical panel ${p.name}` })),
    ...floorsOf(s).filter((f) => f !== HALL_FLOOR).map((f) => ({ of: `level ${f}`, title: `The ${f}` })),
    { of: "outside", title: "The building from outside" },
    ...walk.filter((i) => i.method === "photograph").map((i) => ({ of: `item ${i.id}`, title: i.item, help: i.how, listed: true })),
  ];
}

const collator = new Intl.Collator("en", { numeric: true });

function byName(a: string, b: string): number {
  return collator.compare(a, b);
}

/** Sends what waits: at the start, when the connection is back, and on request. */
function useSender(project: string, arrived: (item: Item, findings: Finding[]) => void): { items: Item[]; busy: boolean; send: () => void; drop: (id: string) => void; change: (item: Item) => void; refresh: () => void } {
  const [items, setItems] = useState(() => box.list(project));
  const [busy, setBusy] = useState(false);
  const running = useRef(false);
  const refresh = useCallback(() => setItems(box.list(project).filter((i) => !underway.has(i.id))), [project]);
  const send = useCallback(() => {
    if (running.current || box.list(project).length === 0) return;
    running.current = true;
    setBusy(true);
    const one = async (item: Item): Promise<Outcome> => {
      try {
        const got = await sendItem(item);
        if (got.doubts !== undefined) return { sent: false, again: false, why: "A name is not known yet.", doubts: got.doubts };
        arrived(item, got.findings);
        return { sent: true };
      } catch (e) {
        const f = failureOf(e);
        return { sent: false, again: f.again, why: f.violations[0]?.description ?? f.text };
      }
    };
    void flush(box, project, one, underway).then(() => {
      running.current = false;
      setBusy(false);
      refresh();
    });
  }, [project, refresh, arrived]);
  useEffect(() => {
    send();
    window.addEventListener("online", send);
    return () => window.removeEventListener("online", send);
  }, [send]);
  const drop = (id: string): void => {
    box.remove(id);
    refresh();
  };
  const change = (item: Item): void => {
    box.put({ ...item, label: labelOf(item.measurement) });
    refresh();
    send();
  };
  return { items, busy, send, drop, change, refresh };
}
