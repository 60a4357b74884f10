import type { Failure } from "../api";
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

/** A table that scrolls sideways by itself on narrow screens. */
export function WideTable({ label, head, children }: { label: string; head: string[]; children: preact.ComponentChildren }): preact.JSX.Element {
  return (
    // oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex -- a scrolling region must be reachable by keyboard
    <section class="scroll" aria-label={`${label}, table`} tabIndex={0}>
      <table>
        <thead><tr>{head.map((h) => <th key={h} scope="col">{h}</th>)}</tr></thead>
        <tbody>{children}</tbody>
      </table>
    </section>
  );
}
