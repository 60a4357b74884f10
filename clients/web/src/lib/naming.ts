/** Texts of the server name a measurement by its id; people know it by what was written and by whom. */

export interface Named {
  id: string;
  to: string;
  at: string;
  by: string;
  value?: { typed: string } | undefined;
}

/** Returns a function that puts, in a text, the measurements' own words in place of their ids. */
export function namer(measurements: readonly Named[]): (text: string) => string {
  // An id without a digit may be a word of the text.
  const byId = new Map(measurements.filter((m) => /\d/.test(m.id)).map((m) => [m.id, m]));
  if (byId.size === 0) return (text) => text;
  const ids = [...byId.keys()].sort((a, b) => b.length - a.length).map((id) => id.replace(/[.*+?^${}()|[\]\\]/g, "\\$&"));
  const any = new RegExp(`(?<![\\w-])(?:${ids.join("|")})(?![\\w-])`, "g");
  return (text) => text.replace(any, (id) => {
    const m = byId.get(id);
    return m === undefined ? id : inWords(m);
  });
}

function inWords(m: Named): string {
  const what = m.value === undefined ? `“${m.at === "" ? m.to : m.at}”` : `“${m.value.typed}”`;
  const about = [m.value === undefined || m.to === "" ? "" : `of ${m.to}`, m.by === "" ? "" : `by ${m.by}`];
  return [what, ...about].filter((x) => x !== "").join(" ");
}
