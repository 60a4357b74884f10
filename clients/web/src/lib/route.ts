/** Addresses of the pages. */

export type Route =
  | { page: "churches" }
  | { page: "project"; project: string }
  | { page: "measure"; project: string }
  | { page: "missing" };

const UUID = "[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}";

/** Returns the page of a path. */
export function routeOf(path: string): Route {
  if (path === "/" || path === "/index.html") return { page: "churches" };
  const m = new RegExp(`^/projects/(${UUID})(/measure)?/?$`).exec(path);
  const project = m?.[1];
  if (project === undefined) return { page: "missing" };
  return { page: m?.[2] === undefined ? "project" : "measure", project };
}

export function projectPath(project: string): string {
  return `/projects/${project}`;
}

export function measurePath(project: string): string {
  return `/projects/${project}/measure`;
}

/** Returns the secrets a link carries behind its #: an own token or an invitation. */
export function secretsOf(hash: string): { token?: string; join?: string } {
  const found = new URLSearchParams(hash.replace(/^#/, ""));
  const out: { token?: string; join?: string } = {};
  const token = found.get("token")?.trim();
  const join = found.get("join")?.trim();
  if (token) out.token = token;
  if (join) out.join = join;
  return out;
}
