import type { DisplayUnits } from "../gen/roodbeam/v1/catalogue_pb";
import type { Circuit, LoadPlan } from "../gen/roodbeam/v1/load_pb";
import { amperes, MISSING, percent, rating, run, voltAmperes } from "../lib/format";
import { WideTable, type Row } from "./basics";

const head = ["Circuit", "Units", "Leg", "Load", "Current", "Proposed breaker", "In use", "Proposed conductor", "Length", "Drop"];

/** The circuits as proposed to the electrician. */
export function Circuits({ load, units }: { load: LoadPlan | undefined; units: DisplayUnits }): preact.JSX.Element {
  const circuits = load?.circuits ?? [];
  return (
    <section class="circuits" aria-labelledby="circuits-title" id="circuits">
      <h2 id="circuits-title">Circuits</h2>
      <p class="muted">Every size is proposed only: a licensed electrician decides under the local code.</p>
      {circuits.length === 0 ? <p>No circuit yet: there is no scheme whose units need power.</p> : (
        <WideTable label="Circuits" head={head} prose={[1]} rows={circuits.map((c) => row(c, units))} />
      )}
    </section>
  );
}

function row(c: Circuit, units: DisplayUnits): Row {
  return {
    key: c.name,
    cells: [
      c.name,
      `${c.units.join(", ")}${c.existing ? " (there already)" : ""}`,
      c.leg === "" ? MISSING : c.leg,
      voltAmperes(c.connectedVa),
      amperes(c.currentA),
      `${rating(c.breakerA)}${c.breakerPoles > 1 ? `, ${c.breakerPoles} poles` : ""}`,
      percent(c.usePct),
      c.conductor === "" ? MISSING : c.conductor,
      run(c.lengthM, units),
      percent(c.dropPct),
    ],
  };
}
