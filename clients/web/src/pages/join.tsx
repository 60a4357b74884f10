import { useState } from "preact/hooks";
import { acceptInvitation, failureOf, type Failure } from "../api";
import { useTitle } from "../hooks";
import { uuidv7 } from "../lib/uuid";
import { violationOf } from "../lib/violations";
import { Role } from "../gen/roodbeam/v1/access_service_pb";
import { measurePath, projectPath } from "../lib/route";
import { navigate } from "../navigate";
import { signIn } from "../session";

/** Asks for a name and trades the invitation for a token. */
export function Join({ secret, signedIn, done }: { secret: string; signedIn: boolean; done: () => void }): preact.JSX.Element {
  useTitle("Join");
  const [name, setName] = useState("");
  const [failure, setFailure] = useState<Failure>();
  // One id for this joining, so that a second try after a lost answer counts once.
  const [acceptId] = useState(uuidv7);
  const [busy, setBusy] = useState(false);

  const join = async (): Promise<void> => {
    setBusy(true);
    setFailure(undefined);
    try {
      const got = await acceptInvitation(secret, name.trim(), acceptId);
      const project = got.membership?.projectId ?? "";
      const volunteer = got.membership?.role === Role.VOLUNTEER;
      signIn(got.token);
      done();
      navigate(volunteer ? measurePath(project) : projectPath(project), "replace");
    } catch (e) {
      setFailure(failureOf(e));
      setBusy(false);
    }
  };
  const submit = (e: SubmitEvent): void => {
    e.preventDefault();
    if (name.trim() !== "") void join();
  };

  const problem = failure === undefined ? undefined : (violationOf(failure.violations, "name") ?? failure.text);
  return (
    <main id="main" class="narrow">
      <h1>You are invited to help</h1>
      <p>It is about new light for a church. You need no account: your name is enough, so that the others know who measured, decided or signed what.</p>
      {signedIn ? <p class="notice">This browser is signed in already. Joining replaces that with your own entry here.</p> : null}
      <form class="card" onSubmit={submit}>
        <div class="field">
          <label htmlFor="name">Your name</label>
          <input id="name" type="text" autocomplete="name" maxLength={80} required value={name}
            aria-describedby={problem === undefined ? undefined : "name-problem"} aria-invalid={problem === undefined ? undefined : true}
            onInput={(e) => setName(e.currentTarget.value)} />
          {problem === undefined ? null : <p class="problem" id="name-problem" role="alert">{problem}</p>}
        </div>
        <div class="row">
          <button type="submit" class="main" disabled={busy}>{busy ? "Joining …" : "Join"}</button>
          {signedIn ? <button type="button" class="quiet" onClick={done}>Not now</button> : null}
        </div>
      </form>
    </main>
  );
}
