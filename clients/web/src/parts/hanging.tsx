import type { DisplayUnits } from "../gen/roodbeam/v1/catalogue_pb";
import type { HangingPlan } from "../gen/roodbeam/v1/load_pb";
import { length, mass, MISSING } from "../lib/format";
import { WideTable } from "./basics";

/** What each hanging line takes on. */
export function Hanging({ plan, units }: { plan: HangingPlan | undefined; units: DisplayUnits }): preact.JSX.Element {
  const lines = plan?.lines ?? [];
  return (
    <section aria-labelledby="hanging-title" id="hanging">
      <h2 id="hanging-title">Hanging lines</h2>
      <p class="muted">What would be added to each beam, wall or pipe. No figure here says that it may be hung: a structural engineer and a qualified rigger decide.</p>
      {lines.length === 0 ? <p>Nothing hangs yet: there is no scheme.</p> : (
        <WideTable label="Hanging lines" head={["Hanging line", "Units", "Added in all", "Hangs there now", "Span", "First screening"]} prose={[1, 5]} rows={lines.map((l) => ({
          key: l.name,
          cells: [
            l.name, l.units.length === 0 ? MISSING : l.units.join(", "), mass(l.addedKg, units),
            l.existingKg === undefined ? "not known" : mass(l.existingKg, units), length(l.spanM, units), l.screening === "" ? MISSING : l.screening,
          ],
        }))} />
      )}
    </section>
  );
}
