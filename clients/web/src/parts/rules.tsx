import { useState } from "preact/hooks";

/** What holds for everybody who measures; it stands open for those who come for the first time. */
export function Rules({ first }: { first: boolean }): preact.JSX.Element {
  const [open] = useState(first);
  return (
    <details class="card rules" open={open}>
      <summary><h2>Before you start</h2></summary>
      <ul>
        <li><b>Measure from the floor only.</b> No ladders, no chairs, no leaning over rails.</li>
        <li><b>Open nothing:</b> no panel, no cover, no lamp. Photograph it from outside and leave it shut.</li>
        <li><b>“I don't know” is a good answer.</b> A guess that looks like a number does harm.</li>
        <li>Loose wires, crumbling plaster or old insulation: <b>keep away, touch nothing and tell the designer.</b></li>
        <li>Write numbers as you read them, with the unit: 12' 6 1/2" or 3.81 m.</li>
      </ul>
    </details>
  );
}
