import { useState } from "preact/hooks";
import { failureOf, getPhoto, listPhotos, photoDoor, type Failure } from "../api";
import type { Photo } from "../gen/roodbeam/v1/survey_pb";
import { useLoad, useObjectURL } from "../hooks";
import { count, percent } from "../lib/format";
import { cut, MOST_BYTES, send, Underway, type Cut } from "../lib/photo";
import { uuidv7 } from "../lib/uuid";
import { Trouble } from "./basics";

const ids = new Underway(localStorage, uuidv7);

/** What a photograph may belong to: what the server stores and what people read. */
export interface Subject {
  of: string;
  title: string;
  /** How to take it, from the floor. */
  help?: string;
  /** Whether it stands on the checklist of the walk. */
  listed?: boolean;
}

/** Takes photographs and shows those there are. */
export function Photos({ project, subjects }: { project: string; subjects: Subject[] }): preact.JSX.Element {
  const photos = useLoad(`photos ${project}`, (s) => listPhotos(project, s));
  const [of, setOf] = useState("");
  const [caption, setCaption] = useState("");
  const [ready, setReady] = useState<Cut>();
  const [share, setShare] = useState<number>();
  const [problem, setProblem] = useState("");
  const [failure, setFailure] = useState<Failure>();
  const [saved, setSaved] = useState("");

  const upload = async (c: Cut): Promise<void> => {
    setFailure(undefined);
    setShare(0);
    try {
      const what = { project, id: ids.id(project, c.sha256), of, caption: caption.trim() };
      await send(c, photoDoor(what), setShare);
      ids.done(project, c.sha256);
      setSaved(subjects.find((s) => s.of === of)?.title ?? of);
      setReady(undefined);
      setCaption("");
      photos.reload();
    } catch (e) {
      const f = failureOf(e);
      setFailure(f);
      // The file itself was refused: another one is needed.
      if (!f.again) setReady(undefined);
    } finally {
      setShare(undefined);
    }
  };
  const chosen = async (input: HTMLInputElement): Promise<void> => {
    const file = input.files?.[0];
    // The same file may be chosen again.
    setProblem("");
    setFailure(undefined);
    setSaved("");
    if (file === undefined) return;
    if (file.size === 0 || file.size >= MOST_BYTES) {
      setProblem(file.size === 0 ? "This file is empty." : "This picture has 32 MB or more. Choose a smaller size in the camera's settings.");
    } else {
      try {
        setReady(await cut(file));
      } catch {
        setProblem("This picture cannot be read on this phone. Take it again, or choose another.");
      }
    }
    input.value = "";
  };
  const list = (photos.value?.photos ?? []).toReversed();
  const listed = subjects.filter((s) => s.listed === true);
  const help = subjects.find((s) => s.of === of)?.help;
  const busy = share !== undefined;
  return (
    <section class="card" aria-labelledby="photos-title">
      <h2 id="photos-title">Photos</h2>
      <form class="field" noValidate onSubmit={(e) => {
        e.preventDefault();
        if (ready === undefined) setProblem("Take or choose a photo first.");
        else if (of === "") setProblem("Choose what it shows.");
        else {
          setProblem("");
          void upload(ready);
        }
      }}>
        <label htmlFor="photo">Take or choose a photo</label>
        <input id="photo" type="file" accept="image/*" disabled={busy} aria-describedby="photo-help" onChange={(e) => void chosen(e.currentTarget)} />
        <p class="muted" id="photo-help">Take it from the floor. Where it was taken is left out; the time and the direction the camera noted stay.</p>
        {ready === undefined ? null : <Chosen file={ready.file} />}
        <label htmlFor="photo-of">What does it show?</label>
        <select id="photo-of" value={of} disabled={busy} onChange={(e) => setOf(e.currentTarget.value)}>
          <option value="">Choose …</option>
          {subjects.filter((s) => s.listed !== true).map((s) => <option key={s.of} value={s.of}>{s.title}</option>)}
          {listed.length === 0 ? null : <optgroup label="From the checklist">{listed.map((s) => <option key={s.of} value={s.of}>{s.title}</option>)}</optgroup>}
        </select>
        {help === undefined || help === "" ? null : <p class="muted">{help}</p>}
        <label htmlFor="photo-caption">In a few words (if there is anything to say)</label>
        <input id="photo-caption" type="text" maxLength={1000} disabled={busy} value={caption} onInput={(e) => setCaption(e.currentTarget.value)} />
        {problem === "" ? null : <p class="problem" role="alert">{problem}</p>}
        {failure === undefined ? null : <Refused failure={failure} />}
        {busy ? (
          <>
            <progress aria-label="Sending the photo" max={1} value={share} />
            <p class="muted">Sending: {percent(share * 100)}</p>
          </>
        ) : null}
        <button type="submit" class="main" disabled={busy}>{failure?.again === true && ready !== undefined ? "Go on sending" : "Send the photo"}</button>
      </form>
      <div aria-live="polite">{saved === "" ? null : <p><b>Saved:</b> photo of {saved}</p>}</div>
      {photos.failure === undefined ? null : <Trouble failure={photos.failure} retry={photos.reload} />}
      {list.length === 0 ? null : (
        <>
          <p class="muted">{count(list.length, "photo")} of this church, newest first</p>
          <ul class="photos">{list.slice(0, 12).map((p) => <li key={p.id}><Thumb project={project} photo={p} subjects={subjects} /></li>)}</ul>
        </>
      )}
    </section>
  );
}

function Chosen({ file }: { file: Blob }): preact.JSX.Element | null {
  const url = useObjectURL(file);
  return url === undefined ? null : <img class="thumb" src={url} alt="What will be sent" />;
}

/** Why the server did not take it, in its own words of advice. */
function Refused({ failure }: { failure: Failure }): preact.JSX.Element {
  if (failure.again) return <p class="problem" role="alert">{failure.text} What was sent is kept; only the rest is sent when you go on.</p>;
  const advice = failure.violations.map((v) => v.description);
  return <p class="problem" role="alert">Not taken: {advice.length === 0 ? failure.text : advice.join("; ")}</p>;
}

function Thumb({ project, photo, subjects }: { project: string; photo: Photo; subjects: Subject[] }): preact.JSX.Element {
  const blob = useLoad(`thumb ${photo.id}`, (s) => getPhoto(project, photo.id, true, s));
  const url = useObjectURL(blob.value);
  const what = subjects.find((s) => s.of === photo.of)?.title ?? photo.of;
  return (
    <figure>
      {url === undefined ? <div class="thumb" /> : <img class="thumb" src={url} alt={photo.caption === "" ? what : photo.caption} />}
      <figcaption><b>{what}</b>{photo.caption === "" ? "" : `: ${photo.caption}`}{photo.by === "" ? null : <span class="muted"> by {photo.by}</span>}</figcaption>
    </figure>
  );
}
