import { useState } from "preact/hooks";
import { failureOf, invite, type Failure } from "../api";
import { Role } from "../gen/roodbeam/v1/access_service_pb";
import { signs } from "../lib/clear";
import { roleWord } from "../lib/words";
import { moment } from "../lib/format";
import { Trouble } from "./basics";

const roles = [
  Role.VOLUNTEER, Role.VIEWER, Role.DESIGNER, Role.LEADERSHIP, Role.LICENSED_ELECTRICIAN, Role.STRUCTURAL_ENGINEER, Role.QUALIFIED_RIGGER,
  Role.FIRE_ALARM_CONTRACTOR, Role.LIFT_HIRE_FIRM, Role.HAZARDOUS_MATERIALS_INSPECTOR,
];

/** Volunteers come in groups; everybody else is somebody. */
const VOLUNTEERS = 20;

function may(role: Role): string {
  if (role === Role.VOLUNTEER) return "Whoever opens the link can read this project and enter what they measured and saw.";
  if (role === Role.VIEWER) return "Whoever opens the link can read this project.";
  if (role === Role.DESIGNER) return "The first who opens the link can change everything of this project but its managers.";
  if (role === Role.LEADERSHIP) return "The first who opens the link decides on money and permission. Send it to that person only.";
  return `The first who opens the link can sign what is the ${roleWord[role]}'s to sign. Send it to that person only, at an address you looked up yourself.`;
}

/** Makes the link by which people join. */
export function Invite({ project }: { project: string }): preact.JSX.Element {
  const [link, setLink] = useState<{ url: string; until: string; uses: number; role: Role }>();
  const [role, setRole] = useState(Role.VOLUNTEER);
  const [failure, setFailure] = useState<Failure>();
  const [copied, setCopied] = useState("");
  const make = async (): Promise<void> => {
    setFailure(undefined);
    setCopied("");
    try {
      const uses = role === Role.VOLUNTEER || role === Role.VIEWER ? VOLUNTEERS : 1;
      const got = await invite(project, role, uses);
      setLink({ url: new URL(got.path, location.origin).href, until: moment(got.expires), uses, role });
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
      <h2 id="invite-title">Invite people</h2>
      <div class="field">
        <label htmlFor="invite-role">As what?</label>
        <select id="invite-role" value={role} onChange={(e) => { setRole(Number(e.currentTarget.value)); setLink(undefined); }}>
          {roles.map((r) => <option key={r} value={r}>{roleWord[r].slice(0, 1).toUpperCase() + roleWord[r].slice(1)}</option>)}
        </select>
      </div>
      <p>{may(role)}</p>
      {signs(role) ? <p class="notice">Findings will say that you invited whoever signs with it: leadership then confirms the licence.</p> : null}
      <button type="button" onClick={() => void make()}>Make an invitation link</button>
      {failure === undefined ? null : <Trouble failure={failure} />}
      {link === undefined ? null : (
        <div class="field">
          <label htmlFor="invitation">Link for {link.uses === 1 ? "one person" : `up to ${link.uses} people`}, until {link.until}; it is shown this once</label>
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
