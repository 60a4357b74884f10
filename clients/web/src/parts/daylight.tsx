import type { DisplayUnits } from "../gen/roodbeam/v1/catalogue_pb";
import type { DaylightHour, DaylightReport } from "../gen/roodbeam/v1/daylight_pb";
import { moment, percent } from "../lib/format";
import { Lux, WideTable } from "./basics";

const head = ["Zone", "Sun, most on a face", "Windows in view", "Reflected", "All, average", "On an overcast day", "All against key light"];

/** What the windows add during the services of the year; nothing where no daylight was worked out. */
export function Daylight({ report, units, zone }: { report: DaylightReport | undefined; units: DisplayUnits; zone: string }): preact.JSX.Element | null {
  if (report === undefined || report.zones.length === 0) return null;
  const worst = report.hours.find((h) => h.service === report.worst) ?? report.hours[0];
  return (
    <section aria-labelledby="daylight-title" id="daylight">
      <h2 id="daylight-title">Daylight by zone</h2>
      <p class="muted">
        On faces at the service hour of the year with most daylight{worst === undefined ? "" : `: ${worst.service}, ${moment(worst.when, zone)}`}.
      </p>
      <WideTable label="Daylight by zone" head={head} rows={report.zones.map((z) => ({
        key: z.name,
        cells: [
          z.name,
          (z.sunLx ?? 0) > 0 ? <Lux lx={z.sunLx} units={units} /> : "no sun",
          <Lux key="sky" lx={z.skyLx} units={units} />,
          <Lux key="reflected" lx={z.reflectedLx} units={units} />,
          <Lux key="total" lx={z.totalLx} units={units} />,
          <Lux key="overcast" lx={z.overcastLx} units={units} />,
          percent(z.keyPct),
        ],
      }))} />
      <p class="muted">
        {report.sun.length === 0 ? "The sun reaches the platform at no service." : `The sun stands on the platform at ${report.sun.length} of the moments looked at.`}
      </p>
      <ul class="plain">{report.hours.map((h) => <li key={h.service}>{inWords(h, zone)}</li>)}</ul>
      {report.limits.length === 0 ? null : (
        <details><summary>What was taken or left out</summary><ul class="plain">{report.limits.map((l) => <li key={l}>{l}</li>)}</ul></details>
      )}
    </section>
  );
}

/** Says when a service has sun in a face, and through which window. */
function inWords(h: DaylightHour, zone: string): string {
  if (h.sunHours === 0) return `${h.service}: the sun reaches no face in the ${h.hoursSeen} moments of the year looked at.`;
  const seen = `${h.service}: the sun reaches a face in ${h.sunHours} of ${h.hoursSeen} moments of the year looked at`;
  if (h.window === "") return `${seen}.`;
  return `${seen}; most on ${moment(h.when, zone)} through ${h.window}, which has ${h.blind ? "a blind" : "no blind"}.`;
}
