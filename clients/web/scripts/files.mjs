import { readdir, readFile } from "node:fs/promises";
import { join, relative } from "node:path";

async function filesOf(dir) {
  const entries = await readdir(dir, { recursive: true, withFileTypes: true });
  return entries.filter((e) => e.isFile()).map((e) => relative(dir, join(e.parentPath, e.name))).sort();
}

/** Returns the names of the files that two folders do not have in common byte for byte, and how many the first has. */
export async function differences(a, b) {
  const [inA, inB] = await Promise.all([filesOf(a), filesOf(b)]);
  const wrong = [...new Set([...inA, ...inB])].filter((f) => !inA.includes(f) || !inB.includes(f));
  for (const f of inA.filter((x) => inB.includes(x))) {
    const [x, y] = await Promise.all([readFile(join(a, f)), readFile(join(b, f))]);
    if (!x.equals(y)) wrong.push(f);
  }
  return { wrong, count: inA.length };
}
