import { useState } from "preact/hooks";
import { useTitle } from "../hooks";
import { signIn } from "../session";

export function SignIn({ problem }: { problem?: string }): preact.JSX.Element {
  useTitle("Sign in");
  const [text, setText] = useState("");
  const submit = (e: SubmitEvent): void => {
    e.preventDefault();
    if (text.trim() !== "") signIn(text);
  };
  return (
    <main id="main" class="narrow">
      <h1>Sign in</h1>
      <p>Open the link you were sent, or paste your token here. It stays in this browser until you sign out.</p>
      <form class="card" onSubmit={submit}>
        <div class="field">
          <label htmlFor="token">Token</label>
          <input id="token" type="password" autocomplete="current-password" value={text} aria-describedby={problem === undefined ? undefined : "token-problem"}
            aria-invalid={problem === undefined ? undefined : true} onInput={(e) => setText(e.currentTarget.value)} />
          {problem === undefined ? null : <p class="problem" id="token-problem" role="alert">{problem}</p>}
        </div>
        <button type="submit" class="main">Sign in</button>
      </form>
    </main>
  );
}
