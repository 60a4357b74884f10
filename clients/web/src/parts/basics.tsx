import type { Failure } from "../api";
import { DisplayUnits } from "../gen/roodbeam/v1/catalogue_pb";
import { footcandles, lux } from "../lib/format";
import { navigate } from "../navigate";

/** A link to another page of this client. */
export function Goto({ to, class: name, children }: { to: string; class?: string; children: preact.ComponentChildren }): preact.JSX.Element {
  const click = (e: MouseEvent): void => {
    if (e.button !== 0 || e.metaKey || e.ctrlKey || e.shiftKey || e.altKey) return;
    e.preventDefault();
    navigate(to);
  };
  return <a href={to} class={name} onClick={click}>{children}</a>;
}

export function Waiting({ what }: { what: string }): preact.JSX.Element {
  return <p class="waiting"><output>{what} …</output></p>;
}

/** Says what failed, and offers to try again where that may help. */
export function Trouble({ failure, retry }: { failure: Failure; retry?: () => void }): preact.JSX.Element {
  return (
    <div class="trouble" role="alert">
      <p>{failure.text}</p>
      {failure.violations.length === 0 ? null : (
        <ul>{failure.violations.map((v) => <li key={v.field + v.description}>{v.field}: {v.description}</li>)}</ul>
      )}
      {retry === undefined || !failure.again ? null : <button type="button" onClick={retry}>Try again</button>}
    </div>
  );
}

/** One row of a table; its first cell names it. */
export interface Row {
  key: string;
  cells: preact.ComponentChildren[];
}

const NONE: readonly number[] = [];

/** A table; on a phone each row becomes a list of its own, so that nothing scrolls out of sight. `prose` are columns of running text. */
export function WideTable({ label, head, rows, prose = NONE }: { label: string; head: string[]; rows: Row[]; prose?: readonly number[] }): preact.JSX.Element {
  return (
    // oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex -- a scrolling region must be reachable by keyboard
    <section class="scroll" aria-label={`${label}, table`} tabIndex={0}>
      <table>
        <thead><tr>{head.map((h, i) => <th key={h} scope="col" class={prose.includes(i) ? "wrap" : undefined}>{h}</th>)}</tr></thead>
        <tbody>
          {rows.map((r) => (
            <tr key={r.key}>
              {r.cells.map((c, i) => i === 0
                ? <th key={head[i]} scope="row">{c}</th>
                : <td key={head[i]} data-label={head[i]} class={prose.includes(i) ? "wrap" : undefined}><span>{c}</span></td>)}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

/** Illuminance in lux, and in foot-candles beneath where people read those. */
export function Lux({ lx, units }: { lx: number | undefined; units: DisplayUnits }): preact.JSX.Element {
  const both = units === DisplayUnits.US && lx !== undefined && Number.isFinite(lx);
  return <>{lux(lx)}{both ? <span class="sub">{footcandles(lx)}</span> : null}</>;
}
