import type { DisplayUnits } from "../gen/roodbeam/v1/catalogue_pb";
import type { Finding } from "../gen/roodbeam/v1/finding_pb";
import type { LightReport } from "../gen/roodbeam/v1/light_pb";
import { percent, ratio } from "../lib/format";
import { levelFinding, MORE_THAN_WANTED, TOO_LITTLE } from "../lib/zones";
import { Lux, WideTable, type Row } from "./basics";

/** What each zone's faces receive, today and under the scheme. */
export function LightByZone({ light, findings, units }: { light: LightReport | undefined; findings: Finding[]; units: DisplayUnits }): preact.JSX.Element {
  const zones = light?.zones ?? [];
  const today = new Map(light?.today.map((t) => [t.zone, t.averageLx]));
  const head = ["Zone", "Wanted", ...(today.size > 0 ? ["Today"] : []), "With the scheme", "±", "Least", "Evenness", "Back light"];
  const rows = zones.map((z): Row => {
    const level = levelFinding(findings, z.name);
    return {
      key: z.name,
      cells: [
        z.name,
        <Lux key="wanted" lx={(z.targetLx ?? 0) > 0 ? z.targetLx : undefined} units={units} />,
        ...(today.size > 0 ? [<Lux key="today" lx={today.get(z.name)} units={units} />] : []),
        <>
          {level === TOO_LITTLE ? <span class="tag warn">too little</span> : null}
          {level === MORE_THAN_WANTED ? <span class="tag note">more than wanted</span> : null}
          <Lux lx={z.averageLx} units={units} />
        </>,
        percent(z.sigmaPct),
        <Lux key="least" lx={z.minLx} units={units} />,
        ratio(z.evenness),
        <Lux key="back" lx={z.backLx} units={units} />,
      ],
    };
  });
  return (
    <section aria-labelledby="light-title" id="light">
      <h2 id="light-title">Light by zone</h2>
      {zones.length === 0 ? <p>No zone is described yet: the brief says where light is wanted.</p> : (
        <>
          <WideTable label="Light by zone" head={head} rows={rows} />
          <p class="muted">
            On upright faces, averages. With the scheme: front light only, maintenance factor {ratio(light?.lossFactor)}. Least and evenness (least over
            average) are of that; ± is one standard deviation from the measurements.
            {today.size > 0 ? " Today: every light that hangs now, full on, with what the room reflects." : ""}
          </p>
          {light === undefined || light.limits.length === 0 ? null : (
            <details><summary>What the calculation leaves out</summary><ul class="plain">{light.limits.map((l) => <li key={l}>{l}</li>)}</ul></details>
          )}
        </>
      )}
    </section>
  );
}
