import { useState } from "preact/hooks";
import { failureOf, strikeOut, type Failure } from "../api";
import type { DisplayUnits } from "../gen/roodbeam/v1/catalogue_pb";
import type { Measurement } from "../gen/roodbeam/v1/survey_pb";
import { length } from "../lib/format";
import { whatIsMeasured } from "../lib/words";
import { Trouble } from "./basics";

/** The reader's own measurements, newest first. */
export function Entries({ project, units, mine, changed }: { project: string; units: DisplayUnits; mine: Measurement[]; changed: () => void }): preact.JSX.Element {
  return (
    <section class="card" aria-labelledby="mine-title">
      <h2 id="mine-title">Your entries</h2>
      {mine.length === 0 ? <p>None yet.</p> : <ul class="entries">{mine.map((m) => <li key={m.id}><Entry project={project} units={units} m={m} changed={changed} /></li>)}</ul>}
    </section>
  );
}

function Entry({ project, units, m, changed }: { project: string; units: DisplayUnits; m: Measurement; changed: () => void }): preact.JSX.Element {
  const [asking, setAsking] = useState(false);
  const [reason, setReason] = useState("");
  const [failure, setFailure] = useState<Failure>();
  const strike = async (): Promise<void> => {
    setFailure(undefined);
    try {
      await strikeOut(project, m.id, reason.trim());
      setAsking(false);
      changed();
    } catch (e) {
      setFailure(failureOf(e));
    }
  };
  const value = [readAs(m, units), m.angle?.typed ?? ""].filter((x) => x !== "").join(", ");
  const what = <>{whatIsMeasured(m)}{value === "" ? "" : ": "}<b>{value}</b></>;
  if (m.void) return <p><s>{what}</s> <span class="muted">struck out</span></p>;
  return (
    <>
      <div class="row">
        <span class="grow">{what}</span>
        <button type="button" class="quiet" aria-expanded={asking} onClick={() => setAsking(!asking)}>Strike out<span class="hidden"> {whatIsMeasured(m)}</span></button>
      </div>
      {m.note === "" ? null : <p class="muted">{m.note}</p>}
      {asking ? (
        <form class="row" onSubmit={(e) => { e.preventDefault(); if (reason.trim() !== "") void strike(); }}>
          <label class="grow">Why? <input type="text" required maxLength={200} placeholder="e.g. read the wrong end" value={reason} onInput={(e) => setReason(e.currentTarget.value)} /></label>
          <button type="submit">Strike out for good</button>
        </form>
      ) : null}
      {failure === undefined ? null : <Trouble failure={failure} />}
    </>
  );
}

function readAs(m: Measurement, units: DisplayUnits): string {
  const v = m.value;
  if (v === undefined) return "";
  if (v.valueSi === undefined) return v.readings.length > 0 ? `${v.typed} (unit not clear)` : v.typed;
  const read = length(v.valueSi, units);
  return v.typed === read ? read : `${v.typed} = ${read}`;
}
