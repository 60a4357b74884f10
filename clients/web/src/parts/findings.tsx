import { useState } from "preact/hooks";
import type { Role } from "../gen/roodbeam/v1/access_service_pb";
import { Severity, type Clearing, type Finding } from "../gen/roodbeam/v1/finding_pb";
import { cautions, mayClear } from "../lib/clear";
import { EVERYTHING, filtered, owners, type Wanted } from "../lib/filter";
import { count, moment } from "../lib/format";
import { ownerWord, roleWord, severityWord } from "../lib/words";
import { Clear } from "./clear";

const order = [Severity.STOP, Severity.WARN, Severity.NOTE, Severity.UNSPECIFIED];
const many: Record<Severity, [string, string]> = {
  [Severity.STOP]: ["stop", "stops"],
  [Severity.WARN]: ["warning", "warnings"],
  [Severity.NOTE]: ["note", "notes"],
  [Severity.UNSPECIFIED]: ["other", "others"],
};
const meaning: Record<Severity, string> = {
  [Severity.STOP]: "keep a packet from being issued for construction",
  [Severity.WARN]: "ask for a decision",
  [Severity.NOTE]: "inform",
  [Severity.UNSPECIFIED]: "",
};
const one: Record<Severity, string> = {
  [Severity.STOP]: "keeps a packet from being issued for construction",
  [Severity.WARN]: "asks for a decision",
  [Severity.NOTE]: "informs",
  [Severity.UNSPECIFIED]: "",
};
export const severityClass: Record<Severity, string> = {
  [Severity.STOP]: "stop",
  [Severity.WARN]: "warn",
  [Severity.NOTE]: "note",
  [Severity.UNSPECIFIED]: "note",
};

/** The findings by severity, all or some; stops stand open, the rest can be opened. */
export function Findings({ project, role, findings, say }: { project: string; role: Role; findings: Finding[]; say: (text: string) => string }): preact.JSX.Element {
  const [wanted, setWanted] = useState<Wanted>(EVERYTHING);
  const shown = filtered(findings, wanted);
  const narrowed = wanted.severity !== undefined || wanted.owner !== undefined || wanted.openOnly;
  return (
    <section aria-labelledby="findings-title" id="findings">
      <h2 id="findings-title">Findings</h2>
      {findings.length === 0 ? <p>None. That says only that none of the checks found anything.</p> : <Filter findings={findings} wanted={wanted} set={setWanted} />}
      {narrowed ? <p class="muted"><output>{shown.length} of {count(findings.length, "finding")} shown</output></p> : null}
      {order.map((s) => {
        const mine = shown.filter((f) => f.severity === s);
        if (mine.length === 0) return null;
        const cleared = mine.filter((f) => f.clearing !== undefined).length;
        return (
          // Opened anew when the choice changes; within a choice people open and close as they like.
          <details key={`${s} ${narrowed}`} class={`severity ${severityClass[s]}`} open={s === Severity.STOP || narrowed}>
            <summary>
              <b>{count(mine.length, ...many[s])}</b> {mine.length === 1 ? one[s] : meaning[s]}{cleared > 0 ? `; ${cleared} cleared` : ""}
            </summary>
            <ul class="findings">
              {mine.map((f) => (
                <li key={f.key + f.fingerprint}>
                  <One finding={f} say={say}>
                    {f.clearing === undefined && mayClear(role, f.owner) ? <Clear project={project} role={role} finding={f} /> : null}
                  </One>
                </li>
              ))}
            </ul>
          </details>
        );
      })}
    </section>
  );
}

function Filter({ findings, wanted, set }: { findings: Finding[]; wanted: Wanted; set: (w: Wanted) => void }): preact.JSX.Element {
  return (
    <fieldset class="filter" aria-label="Which findings">
      <label>How serious
        <select value={wanted.severity ?? ""} onChange={(e) => set({ ...wanted, severity: numberOf(e.currentTarget.value) })}>
          <option value="">All</option>
          {order.filter((s) => findings.some((f) => f.severity === s)).map((s) => <option key={s} value={s}>{capital(many[s][1])}</option>)}
        </select>
      </label>
      <label>Who clears it
        <select value={wanted.owner ?? ""} onChange={(e) => set({ ...wanted, owner: numberOf(e.currentTarget.value) })}>
          <option value="">Anybody</option>
          {owners(findings).map(([o, n]) => <option key={o} value={o}>{capital(ownerWord[o])} ({n})</option>)}
        </select>
      </label>
      <label class="tick"><input type="checkbox" checked={wanted.openOnly} onChange={(e) => set({ ...wanted, openOnly: e.currentTarget.checked })} /> Only what is open</label>
    </fieldset>
  );
}

function numberOf(value: string): number | undefined {
  return value === "" ? undefined : Number(value);
}

function capital(text: string): string {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}

export function One({ finding: f, say, children }: { finding: Finding; say: (text: string) => string; children?: preact.ComponentChildren }): preact.JSX.Element {
  return (
    <article class={`finding ${severityClass[f.severity]}${f.clearing === undefined ? "" : " cleared"}`}>
      <h3><span class={`tag ${severityClass[f.severity]}`}>{severityWord[f.severity]}</span> {say(f.title)}</h3>
      <p>{say(f.text)}</p>
      {f.advice === "" ? null : <p><b>What to do:</b> {say(f.advice)}</p>}
      <p class="muted">Clears it: {ownerWord[f.owner]}{f.source === "" ? "" : `. Source of the limit: ${f.source}`}</p>
      {f.clearing === undefined ? null : <SignOff clearing={f.clearing} />}
      {children}
    </article>
  );
}

/** Who cleared or signed it, and what to know of that. */
function SignOff({ clearing: c }: { clearing: Clearing }): preact.JSX.Element {
  const s = c.signer;
  return (
    <div class="signoff">
      <p><b>{s === undefined ? "Cleared" : "Signed"}</b> by {s === undefined ? c.by : s.name}, {roleWord[c.role]}, {moment(c.time)}: {c.reason}</p>
      {s === undefined ? null : <p>{s.firm}, licence {s.licence} from {s.licenceBody}</p>}
      {cautions(c).map((t) => <p key={t} class="notice">{t}</p>)}
    </div>
  );
}
