import { useState } from "preact/hooks";
import { failureOf, inviteVolunteers, type Failure } from "../api";
import { moment } from "../lib/format";
import { Trouble } from "./basics";

/** Makes the link by which volunteers join. */
export function Invite({ project }: { project: string }): preact.JSX.Element {
  const [link, setLink] = useState<{ url: string; until: string }>();
  const [failure, setFailure] = useState<Failure>();
  const [copied, setCopied] = useState("");
  const make = async (): Promise<void> => {
    setFailure(undefined);
    setCopied("");
    try {
      const got = await inviteVolunteers(project);
      setLink({ url: new URL(got.path, location.origin).href, until: moment(got.expires) });
    } catch (e) {
      setFailure(failureOf(e));
    }
  };
  const copy = async (url: string): Promise<void> => {
    try {
      await navigator.clipboard.writeText(url);
      setCopied("Copied.");
    } catch {
      // Browsers give the clipboard to secure pages only.
      setCopied("Select the link and copy it by hand.");
    }
  };
  return (
    <section class="card" aria-labelledby="invite-title">
      <h2 id="invite-title">Volunteers</h2>
      <p>Whoever opens the link can read this project and enter what they measured and saw.</p>
      <button type="button" onClick={() => void make()}>Make an invitation link</button>
      {failure === undefined ? null : <Trouble failure={failure} />}
      {link === undefined ? null : (
        <div class="field">
          <label htmlFor="invitation">Link for up to 20 people, until {link.until}; it is shown this once</label>
          <input id="invitation" type="text" readOnly value={link.url} onFocus={(e) => e.currentTarget.select()} />
          <div class="row">
            <button type="button" onClick={() => void copy(link.url)}>Copy</button>
            <output>{copied}</output>
          </div>
        </div>
      )}
    </section>
  );
}
