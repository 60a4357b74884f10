import { useEffect, useState } from "preact/hooks";
import { previewPart } from "../api";
import { useLoad, useObjectURL } from "../hooks";
import { Trouble, Waiting } from "./basics";

const drawings = [
  { part: "plan.svg", title: "Plan", text: "Plan of the room from above with hanging lines, numbered units and zones, to scale." },
  { part: "section.svg", title: "Section", text: "Section along the room with heights, sight and light angles, to scale." },
  { part: "light-map.svg", title: "Light map", text: "Map of the vertical illuminance over the platform; the figures stand in the table Light by zone." },
] as const;

/** The drawings as they would be issued now. */
export function Drawings({ project, revision }: { project: string; revision: bigint }): preact.JSX.Element {
  const [shown, setShown] = useState<(typeof drawings)[number]>(drawings[0]);
  return (
    <section aria-labelledby="drawings-title" id="drawings">
      <h2 id="drawings-title">Drawings</h2>
      <fieldset class="choice" aria-label="Which drawing">
        {drawings.map((d) => (
          <button key={d.part} type="button" aria-pressed={d === shown} onClick={() => setShown(d)}>{d.title}</button>
        ))}
      </fieldset>
      <Drawing key={shown.part} project={project} revision={revision} part={shown.part} title={shown.title} text={shown.text} />
    </section>
  );
}

function Drawing({ project, revision, part, title, text }: { project: string; revision: bigint; part: string; title: string; text: string }): preact.JSX.Element {
  const [large, setLarge] = useState(false);
  const blob = useLoad(`${project} ${part}`, (s) => previewPart(project, part, s));
  const reload = blob.reload;
  const [drawn, setDrawn] = useState(revision);
  useEffect(() => {
    if (revision === drawn) return;
    setDrawn(revision);
    reload();
  }, [revision, drawn, reload]);
  const url = useObjectURL(blob.value);
  return (
    <figure class="drawing">
      {blob.failure === undefined ? null : <Trouble failure={blob.failure} retry={blob.reload} />}
      {url === undefined ? (blob.failure === undefined ? <Waiting what={`Drawing the ${title.toLowerCase()}`} /> : null) : (
        // oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex -- a scrolling region must be reachable by keyboard
        <section class={large ? "paper large" : "paper"} aria-label={`${title}, drawing`} tabIndex={0}>
          <img src={url} alt={text} />
        </section>
      )}
      <figcaption class="row">
        <span class="muted">Preview, not issued.</span>
        <button type="button" class="quiet" aria-pressed={large} onClick={() => setLarge(!large)}>{large ? "Fit" : "Enlarge"}</button>
        {url === undefined ? null : <a href={url} download={part}>Save {part}</a>}
      </figcaption>
    </figure>
  );
}
