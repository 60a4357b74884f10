import type { Finding } from "../gen/roodbeam/v1/finding_pb";
import type { DaylightReport } from "../gen/roodbeam/v1/daylight_pb";
import type { LightReport, ZoneLight } from "../gen/roodbeam/v1/light_pb";
import { lux, MISSING, percent, ratio } from "../lib/format";
import { levelFinding, MORE_THAN_WANTED, TOO_LITTLE } from "../lib/zones";
import { WideTable } from "./basics";
import { DaylightByZone } from "./daylight";

/** What each zone's faces receive. */
export function LightByZone({ light, daylight, findings }: { light: LightReport | undefined; daylight: DaylightReport | undefined; findings: Finding[] }): preact.JSX.Element {
  const zones = light?.zones ?? [];
  return (
    <section aria-labelledby="light-title" id="light">
      <h2 id="light-title">Light by zone</h2>
      {zones.length === 0 ? <p>No zone is described yet.</p> : (
        <>
          <WideTable label="Light by zone" head={["Zone", "Wanted", "Average", "±", "Least", "Evenness", "Back light"]}>
            {zones.map((z) => <Row key={z.name} z={z} level={levelFinding(findings, z.name)} />)}
          </WideTable>
          <p class="muted">
            Vertical illuminance on faces, front light only, with a maintenance factor of {ratio(light?.lossFactor)}. Evenness is least over average.
            ± is one standard deviation from the measurements.
          </p>
          {light === undefined || light.limits.length === 0 ? null : (
            <details><summary>What the calculation leaves out</summary><ul>{light.limits.map((l) => <li key={l}>{l}</li>)}</ul></details>
          )}
          <DaylightByZone daylight={daylight} />
        </>
      )}
    </section>
  );
}

function Row({ z, level }: { z: ZoneLight; level: string | undefined }): preact.JSX.Element {
  const wanted = (z.targetLx ?? 0) > 0 ? z.targetLx : undefined;
  return (
    <tr>
      <th scope="row">{z.name}</th>
      <td>{wanted === undefined ? MISSING : lux(wanted)}</td>
      <td>
        {level === TOO_LITTLE ? <span class="tag warn">too little</span> : null}
        {level === MORE_THAN_WANTED ? <span class="tag note">more than wanted</span> : null}
        {lux(z.averageLx)}
      </td>
      <td>{percent(z.sigmaPct)}</td>
      <td>{lux(z.minLx)}</td>
      <td>{ratio(z.evenness)}</td>
      <td>{lux(z.backLx)}</td>
    </tr>
  );
}
