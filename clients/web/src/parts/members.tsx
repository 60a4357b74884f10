import { useState } from "preact/hooks";
import { failureOf, removeMember, type Failure } from "../api";
import { Role, type Membership } from "../gen/roodbeam/v1/access_service_pb";
import { roleWord } from "../lib/words";
import { Trouble } from "./basics";

/** Who is in the project, and by whose invitation. */
export function Members({ project, members, failure, may }: { project: string; members: Membership[] | undefined; failure: Failure | undefined; may: boolean }): preact.JSX.Element {
  const managers = members?.filter((m) => m.role === Role.MANAGER).length ?? 0;
  return (
    <section class="card" aria-labelledby="members-title" id="people">
      <h2 id="members-title">People</h2>
      {failure === undefined ? null : <Trouble failure={failure} />}
      <ul class="entries">{members?.map((m) => <li key={m.personId + String(m.role)}><One project={project} m={m} may={may && (m.role !== Role.MANAGER || managers > 1)} /></li>)}</ul>
    </section>
  );
}

function One({ project, m, may }: { project: string; m: Membership; may: boolean }): preact.JSX.Element {
  const [asking, setAsking] = useState(false);
  const [reason, setReason] = useState("");
  const [failure, setFailure] = useState<Failure>();
  const [busy, setBusy] = useState(false);
  const remove = async (): Promise<void> => {
    setBusy(true);
    setFailure(undefined);
    try {
      await removeMember(project, m.personId, reason.trim());
    } catch (e) {
      setFailure(failureOf(e));
    }
    setBusy(false);
  };
  return (
    <>
      <div class="row">
        <span class="grow"><b>{m.name}</b>, {roleWord[m.role]}{m.invitedBy === "" ? "" : <span class="muted">, invited by {m.invitedBy}</span>}</span>
        {may ? <button type="button" class="quiet" aria-expanded={asking} onClick={() => setAsking(!asking)}>Remove<span class="hidden"> {m.name}</span></button> : null}
      </div>
      {asking ? (
        <form class="field" onSubmit={(e) => { e.preventDefault(); void remove(); }}>
          <label>Why? (may stay empty) <input type="text" maxLength={1000} value={reason} onInput={(e) => setReason(e.currentTarget.value)} /></label>
          <p class="muted">{m.name} can no longer open this project. What they entered stays.</p>
          <button type="submit" disabled={busy}>Remove {m.name}</button>
        </form>
      ) : null}
      {failure === undefined ? null : <Trouble failure={failure} />}
    </>
  );
}
