import type { LoadPlan } from "../gen/roodbeam/v1/load_pb";
import { amperes, metres, MISSING, percent, rating, voltAmperes } from "../lib/format";
import { WideTable } from "./basics";

/** The circuits as proposed to the electrician. */
export function Circuits({ load }: { load: LoadPlan | undefined }): preact.JSX.Element {
  const circuits = load?.circuits ?? [];
  return (
    <section class="circuits" aria-labelledby="circuits-title" id="circuits">
      <h2 id="circuits-title">Circuits</h2>
      <p class="muted">Every size is proposed only: a licensed electrician decides under the local code.</p>
      {circuits.length === 0 ? <p>No circuit yet.</p> : (
        <WideTable label="Circuits" head={["Circuit", "Units", "Line", "Load", "Current", "Proposed breaker", "In use", "Proposed conductor", "Length", "Drop"]}>
          {circuits.map((c) => (
            <tr key={c.name}>
              <th scope="row">{c.name}</th>
              <td class="wrap">{c.units.join(", ")}{c.existing ? " (there already)" : ""}</td>
              <td>{c.leg === "" ? MISSING : c.leg}</td>
              <td>{voltAmperes(c.connectedVa)}</td>
              <td>{amperes(c.currentA)}</td>
              <td>{rating(c.breakerA)}{c.breakerPoles > 1 ? `, ${c.breakerPoles} poles` : ""}</td>
              <td>{percent(c.usePct)}</td>
              <td>{c.conductor === "" ? MISSING : c.conductor}</td>
              <td>{metres(c.lengthM)}</td>
              <td>{percent(c.dropPct)}</td>
            </tr>
          ))}
        </WideTable>
      )}
    </section>
  );
}
