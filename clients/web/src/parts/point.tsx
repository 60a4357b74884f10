/** Choice of a point or thing by name, or of a new name. */

import type { Doubt } from "../lib/newpoint";

export interface Names {
  points: string[];
  lines: string[];
  others: string[];
}

export interface Picked {
  name: string;
  /** Whether the name is typed by hand. */
  isNew: boolean;
}

const NEW = "\u0000new";

export function Picker({ id, label, names, things, value, problem, doubt, set, answer }: {
  id: string; label: string; names: Names; things: boolean; value: Picked; problem: string | undefined; doubt: Doubt | undefined;
  set: (p: Picked) => void; answer: (doubt: Doubt, means: string | undefined) => void;
}): preact.JSX.Element {
  const groups: [string, string[]][] = [["Points", names.points]];
  if (things) groups.push(["Hanging lines", names.lines], ["Ceiling and floors", names.others]);
  const change = (v: string): void => set(v === NEW ? { name: "", isNew: true } : { name: v, isNew: false });
  const described = problem === undefined ? undefined : `${id}-problem`;
  return (
    <div class="field">
      <label htmlFor={id}>{label}</label>
      <select id={id} value={value.isNew ? NEW : value.name} aria-describedby={described} aria-invalid={problem !== undefined} onChange={(e) => change(e.currentTarget.value)}>
        <option value="">Choose …</option>
        {groups.map(([title, list]) => list.length === 0 ? null : (
          <optgroup key={title} label={title}>{list.map((n) => <option key={n} value={n}>{n}</option>)}</optgroup>
        ))}
        <option value={NEW}>A new point …</option>
      </select>
      {value.isNew ? (
        <input type="text" aria-label={`${label}: name of the new point`} placeholder="e.g. left end of the rail" maxLength={80} value={value.name}
          onInput={(e) => set({ name: e.currentTarget.value, isNew: true })} />
      ) : null}
      {problem === undefined ? null : <p class="problem" id={described}>{problem}</p>}
      {doubt === undefined ? null : <AskName doubt={doubt} answer={(means) => answer(doubt, means)} />}
    </div>
  );
}

/** Asks what a name means that nobody used before: one tap answers. */
export function AskName({ doubt, answer }: { doubt: Doubt; answer: (means: string | undefined) => void }): preact.JSX.Element {
  return (
    <div class="ask" role="alert">
      <p><b>There is no “{doubt.name}” here yet. What do you mean?</b></p>
      <div class="options">
        {doubt.near === "" ? null : <button type="button" onClick={() => answer(doubt.near)}>I mean {doubt.near}</button>}
        <button type="button" onClick={() => answer(undefined)}>{doubt.name} is a new point</button>
      </div>
    </div>
  );
}
