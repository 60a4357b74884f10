import { useState } from "preact/hooks";
import { failureOf, putLobbyHeight, type Failure } from "../api";
import type { DisplayUnits } from "../gen/roodbeam/v1/catalogue_pb";
import { Dimension } from "../gen/roodbeam/options/v1/quantity_pb";
import type { AccessRoute } from "../gen/roodbeam/v1/survey_pb";
import { length } from "../lib/format";
import { violationOf } from "../lib/violations";
import { askReading, ReadingLine, useReading } from "./length";

/** Asks how low it gets on the way in: a lift that fits the door may not fit the lobby. */
export function Ways({ project, revision, units, routes, changed }: {
  project: string; revision: bigint; units: DisplayUnits; routes: AccessRoute[]; changed: () => void;
}): preact.JSX.Element | null {
  if (routes.length === 0) return null;
  return (
    <section class="card" aria-labelledby="ways-title">
      <h2 id="ways-title">Way in for a lift</h2>
      {routes.map((r, i) => <One key={r.name} id={`lobby-${i}`} project={project} revision={revision} units={units} route={r} changed={changed} />)}
    </section>
  );
}

function One({ id, project, revision, units, route, changed }: {
  id: string; project: string; revision: bigint; units: DisplayUnits; route: AccessRoute; changed: () => void;
}): preact.JSX.Element {
  const [text, setText] = useState("");
  const [problem, setProblem] = useState("");
  const [saved, setSaved] = useState(false);
  const [busy, setBusy] = useState(false);
  const reading = useReading(Dimension.LENGTH, text, units);
  const known = route.lobbyHeight;
  const submit = async (): Promise<void> => {
    setSaved(false);
    const settled = reading.state === "asking" ? await askReading(Dimension.LENGTH, text, units, new AbortController().signal) : reading;
    if (settled.state === "empty") return setProblem("Type the height as you read it.");
    if (settled.state === "choose") return setProblem("Choose one of the readings.");
    if (settled.state === "problem") return setProblem("");
    setBusy(true);
    setProblem("");
    try {
      await putLobbyHeight(project, revision, route, text.trim());
      setText("");
      setSaved(true);
    } catch (e) {
      setProblem(why(failureOf(e)));
    }
    setBusy(false);
    changed();
    return undefined;
  };
  return (
    <form class="field" noValidate onSubmit={(e) => { e.preventDefault(); void submit(); }}>
      <label htmlFor={id}>{route.name}: lowest height between the doors, with its unit</label>
      <p class="muted">In the lobby, passage or stair, from the floor to the lowest lamp, beam or pipe.
        {known === undefined ? "" : ` Written down so far: ${known.valueSi === undefined ? known.typed : length(known.valueSi, units)}.`}</p>
      <input id={id} type="text" inputMode="text" autocomplete="off" maxLength={80} placeholder={`e.g. 7' 2"  or  2.18 m`} value={text}
        aria-describedby={`${id}-reading${problem === "" ? "" : ` ${id}-problem`}`} aria-invalid={problem !== ""} onInput={(e) => { setText(e.currentTarget.value); setProblem(""); }} />
      <ReadingLine id={`${id}-reading`} reading={reading} unsure={undefined} choose={setText} keep={() => undefined} />
      {problem === "" ? null : <p class="problem" id={`${id}-problem`} role="alert">{problem}</p>}
      <div aria-live="polite">{saved ? <p><b>Saved.</b></p> : null}</div>
      <button type="submit" disabled={busy}>{busy ? "Saving …" : "Save the height"}</button>
    </form>
  );
}

function why(f: Failure): string {
  if (f.again) return "No connection: this one is not kept. Save it again when the connection is back.";
  return violationOf(f.violations, "lobby_height") ?? `Not taken: ${f.text}`;
}
