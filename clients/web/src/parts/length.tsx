import { useEffect, useState } from "preact/hooks";
import { failureOf, readQuantity } from "../api";
import type { DisplayUnits } from "../gen/roodbeam/v1/catalogue_pb";
import { Dimension } from "../gen/roodbeam/options/v1/quantity_pb";
import { useSettled } from "../hooks";
import { writeIn } from "../lib/length";

interface Option {
  /** The value in both systems of units. */
  shown: string;
  /** The same length written so that it has no other reading. */
  text: string;
}

/** How the server reads a typed length or angle. */
export type Reading =
  | { state: "empty" | "asking" | "unreachable" }
  | { state: "read"; shown: string }
  | { state: "choose"; options: Option[] }
  | { state: "problem"; why: string };

const TYPING_MS = 250;

/** Asks the server how the text is read. */
export async function askReading(dimension: Dimension, text: string, units: DisplayUnits, signal: AbortSignal): Promise<Reading> {
  if (text.trim() === "") return { state: "empty" };
  try {
    const got = await readQuantity(dimension, text, units, signal);
    const readings = got.quantity?.readings ?? [];
    if (readings.length > 0) {
      return { state: "choose", options: readings.map((r, i) => ({ shown: bare(got.readingsShown[i] ?? ""), text: writeIn(r.valueSi, r.as) })) };
    }
    return got.problem === "" ? { state: "read", shown: got.shown } : { state: "problem", why: got.problem };
  } catch (e) {
    const f = failureOf(e);
    return f.again || f.cancelled ? { state: "unreachable" } : { state: "problem", why: f.violations[0]?.description ?? f.text };
  }
}

/** Leaves out the unit in words behind the value: the button says it already. */
function bare(shown: string): string {
  return shown.replace(/ \(read as [^)]*\)$/, "");
}

/** Follows the text while it is typed. */
export function useReading(dimension: Dimension, text: string, units: DisplayUnits): Reading {
  const settled = useSettled(text, TYPING_MS);
  const [got, setGot] = useState<{ of: string; reading: Reading }>({ of: "", reading: { state: "empty" } });
  useEffect(() => {
    const stop = new AbortController();
    void askReading(dimension, settled, units, stop.signal).then((reading) => {
      if (!stop.signal.aborted) setGot({ of: settled, reading });
    });
    return () => stop.abort();
  }, [dimension, settled, units]);
  if (text.trim() === "") return { state: "empty" };
  return got.of === text ? got.reading : { state: "asking" };
}

/** Shows the reading under the field, and the readings to choose from; `unsure` undefined: it cannot be kept as typed. */
export function ReadingLine({ id, reading, unsure, choose, keep }: {
  id: string; reading: Reading; unsure: boolean | undefined; choose: (text: string) => void; keep: () => void;
}): preact.JSX.Element {
  return (
    <div id={id} class="reading" aria-live="polite">
      {reading.state === "asking" ? <p class="muted">Reading …</p> : null}
      {reading.state === "read" ? <p>Read as <b>{reading.shown}</b></p> : null}
      {reading.state === "problem" ? <p class="problem">Cannot be read: {reading.why}</p> : null}
      {reading.state === "unreachable" ? <p class="muted">No connection: it is kept as typed and read when it is sent.</p> : null}
      {reading.state !== "choose" ? null : (
        <div class="ask">
          <p><b>This can be read in more than one way. Which do you mean?</b></p>
          <div class="options">
            {reading.options.map((o) => <button key={o.text} type="button" onClick={() => choose(o.text)}><span>{o.text}</span> <span class="muted">{o.shown}</span></button>)}
            {unsure === undefined ? null : <button type="button" aria-pressed={unsure} onClick={keep}>I am not sure: keep it as typed</button>}
          </div>
        </div>
      )}
    </div>
  );
}
