import { useEffect, useState } from "preact/hooks";
import { whoAmI } from "./api";
import { useLoad, useToken } from "./hooks";
import { routeOf, secretsOf, type Route } from "./lib/route";
import { navigate, useAddress } from "./navigate";
import { Churches } from "./pages/churches";
import { Join } from "./pages/join";
import { Measure } from "./pages/measure";
import { ProjectPage } from "./pages/project";
import { SignIn } from "./pages/signin";
import { Goto, Trouble, Waiting } from "./parts/basics";
import { signIn, signOut } from "./session";

export function App(): preact.JSX.Element {
  const { path, hash } = useAddress();
  const token = useToken();
  const [invitation, setInvitation] = useState<string>();

  // Secrets leave the address at once, so that nobody reads or forwards them by accident.
  useEffect(() => {
    const found = secretsOf(hash);
    if (found.token !== undefined) signIn(found.token);
    if (found.join !== undefined) setInvitation(found.join);
    if (found.token !== undefined || found.join !== undefined) navigate(location.pathname, "replace");
  }, [hash]);

  const found = secretsOf(hash);
  if (found.token !== undefined || found.join !== undefined) return <Frame><Waiting what="Opening the link" /></Frame>;
  if (invitation !== undefined) {
    return <Frame><Join secret={invitation} signedIn={token !== undefined} done={() => setInvitation(undefined)} /></Frame>;
  }
  if (token === undefined) return <Frame><SignIn /></Frame>;
  return <SignedIn key={token} route={routeOf(path)} />;
}

function SignedIn({ route }: { route: Route }): preact.JSX.Element {
  const who = useLoad("who", whoAmI);
  if (who.failure?.signedOut === true) {
    return <Frame><SignIn problem="This token is not known here, has ended or was revoked." /></Frame>;
  }
  const name = who.value?.person?.name;
  return (
    <Frame name={name}>
      {who.failure !== undefined && who.value === undefined ? <Trouble failure={who.failure} retry={who.reload} /> : null}
      <Page route={route} name={name ?? ""} />
    </Frame>
  );
}

function Page({ route, name }: { route: Route; name: string }): preact.JSX.Element {
  switch (route.page) {
    case "churches":
      return <Churches />;
    case "project":
      return <ProjectPage key={route.project} project={route.project} />;
    case "measure":
      return <Measure key={route.project} project={route.project} me={name} />;
    default:
      return <main id="main"><h1>There is no such page</h1><p><Goto to="/">To the list of churches</Goto></p></main>;
  }
}

function Frame({ name, children }: { name?: string | undefined; children: preact.ComponentChildren }): preact.JSX.Element {
  return (
    <>
      <header class="top">
        <Goto to="/" class="brand">Roodbeam</Goto>
        {name === undefined ? null : (
          <div class="who">
            <span class="who-name">{name}</span>
            <button type="button" class="quiet" onClick={() => { signOut(); navigate("/"); }}>Sign out</button>
          </div>
        )}
      </header>
      {children}
    </>
  );
}
