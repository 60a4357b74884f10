/** The token of this browser. */

const KEY = "roodbeam.token";
const CHANGED = "roodbeam:session";

export function token(): string | undefined {
  return localStorage.getItem(KEY) ?? undefined;
}

export function signIn(secret: string): void {
  localStorage.setItem(KEY, secret.trim());
  window.dispatchEvent(new Event(CHANGED));
}

export function signOut(): void {
  localStorage.removeItem(KEY);
  window.dispatchEvent(new Event(CHANGED));
}

/** Calls back when somebody signed in or out, in this tab or another. Returns the way to stop. */
export function onSession(then: () => void): () => void {
  const other = (e: StorageEvent): void => {
    if (e.key === KEY || e.key === null) then();
  };
  window.addEventListener(CHANGED, then);
  window.addEventListener("storage", other);
  return () => {
    window.removeEventListener(CHANGED, then);
    window.removeEventListener("storage", other);
  };
}
