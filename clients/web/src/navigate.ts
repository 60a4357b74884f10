import { useEffect, useState } from "preact/hooks";

const MOVED = "roodbeam:moved";

/** Goes to another page of this client. */
export function navigate(path: string, how: "push" | "replace" = "push"): void {
  if (how === "push") history.pushState(null, "", path);
  else history.replaceState(null, "", path);
  window.dispatchEvent(new Event(MOVED));
  window.scrollTo(0, 0);
}

function read(): { path: string; hash: string } {
  return { path: location.pathname, hash: location.hash };
}

/** Returns the address and follows it. */
export function useAddress(): { path: string; hash: string } {
  const [at, setAt] = useState(read);
  useEffect(() => {
    const moved = (): void => setAt(read());
    for (const name of ["popstate", "hashchange", MOVED]) window.addEventListener(name, moved);
    return () => {
      for (const name of ["popstate", "hashchange", MOVED]) window.removeEventListener(name, moved);
    };
  }, []);
  return at;
}
