import { Severity, type Finding } from "../gen/roodbeam/v1/finding_pb";
import { count, moment } from "../lib/format";
import { ownerWord, severityWord } from "../lib/words";

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
export const severityClass: Record<Severity, string> = {
  [Severity.STOP]: "stop",
  [Severity.WARN]: "warn",
  [Severity.NOTE]: "note",
  [Severity.UNSPECIFIED]: "note",
};

/** The findings by severity; stops stand open, the rest can be opened. */
export function Findings({ findings, say }: { findings: Finding[]; say: (text: string) => string }): preact.JSX.Element {
  return (
    <section aria-labelledby="findings-title" id="findings">
      <h2 id="findings-title">Findings</h2>
      {findings.length === 0 ? <p>None. That says only that none of the checks found anything.</p> : null}
      {order.map((s) => {
        const mine = findings.filter((f) => f.severity === s);
        if (mine.length === 0) return null;
        const cleared = mine.filter((f) => f.clearing !== undefined).length;
        return (
          <details key={s} class={`severity ${severityClass[s]}`} open={s === Severity.STOP}>
            <summary>
              <b>{count(mine.length, ...many[s])}</b> {meaning[s]}{cleared > 0 ? `; ${cleared} cleared` : ""}
            </summary>
            <ul class="findings">{mine.map((f) => <li key={f.key + f.fingerprint}><One finding={f} say={say} /></li>)}</ul>
          </details>
        );
      })}
    </section>
  );
}

export function One({ finding: f, say }: { finding: Finding; say: (text: string) => string }): preact.JSX.Element {
  return (
    <article class={`finding ${severityClass[f.severity]}${f.clearing === undefined ? "" : " cleared"}`}>
      <h3><span class={`tag ${severityClass[f.severity]}`}>{severityWord[f.severity]}</span> {say(f.title)}</h3>
      <p>{say(f.text)}</p>
      {f.advice === "" ? null : <p><b>What to do:</b> {say(f.advice)}</p>}
      <p class="muted">Clears it: {ownerWord[f.owner]}{f.source === "" ? "" : `. Source of the limit: ${f.source}`}</p>
      {f.clearing === undefined ? null : <p class="muted">Cleared by {f.clearing.by}, {moment(f.clearing.time)}: {f.clearing.reason}</p>}
    </article>
  );
}
