import type { DaylightReport } from "../gen/roodbeam/v1/daylight_pb";
import { lux, moment, percent } from "../lib/format";
import { WideTable } from "./basics";

/** The daylight on each zone's faces at the service hour of the year with most of it. */
export function DaylightByZone({ daylight }: { daylight: DaylightReport | undefined }): preact.JSX.Element | null {
  if (daylight === undefined || daylight.zones.length === 0) return null;
  const worst = daylight.hours.find((h) => h.service === daylight.worst);
  const sunny = daylight.sun.length;
  return (
    <>
      <h3>Daylight by zone</h3>
      <WideTable label="Daylight by zone" head={["Zone", "Sun, most on a face", "Windows in view", "Reflected", "All", "On a dull day", "Share of the key light"]}>
        {daylight.zones.map((z) => (
          <tr key={z.name}>
            <th scope="row">{z.name}</th>
            <td>{lux(z.sunLx)}</td>
            <td>{lux(z.skyLx)}</td>
            <td>{lux(z.reflectedLx)}</td>
            <td>{lux(z.totalLx)}</td>
            <td>{lux(z.overcastLx)}</td>
            <td>{percent(z.keyPct)}</td>
          </tr>
        ))}
      </WideTable>
      <p class="muted">
        {worst === undefined ? null : <>Brightest service hour of the year: {worst.service}, {moment(worst.when)}. </>}
        {sunny === 0 ? "The sun reaches the platform at no service. " : `The sun stands on the platform at ${sunny} of the moments looked at. `}
      </p>
      <details><summary>What the daylight leaves out</summary><ul>{daylight.limits.map((l) => <li key={l}>{l}</li>)}</ul></details>
    </>
  );
}
