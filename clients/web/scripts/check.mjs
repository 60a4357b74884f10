// Builds into a temporary folder and compares every byte with the committed dist.
import { mkdtemp, readdir, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join, relative } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "vite";

const root = fileURLToPath(new URL("..", import.meta.url));

async function filesOf(dir) {
  const entries = await readdir(dir, { recursive: true, withFileTypes: true });
  return entries.filter((e) => e.isFile()).map((e) => relative(dir, join(e.parentPath, e.name))).sort();
}

const fresh = await mkdtemp(join(tmpdir(), "roodbeam-dist-"));
try {
  await build({ root, logLevel: "warn", build: { outDir: fresh, emptyOutDir: true } });
  const committed = join(root, "dist");
  const [want, have] = await Promise.all([filesOf(fresh), filesOf(committed)]);
  const wrong = [...new Set([...want, ...have])].filter((f) => !want.includes(f) || !have.includes(f));
  for (const f of want.filter((x) => have.includes(x))) {
    const [a, b] = await Promise.all([readFile(join(fresh, f)), readFile(join(committed, f))]);
    if (!a.equals(b)) wrong.push(f);
  }
  if (wrong.length > 0) {
    process.stderr.write(`dist is not what the source builds: ${wrong.join(", ")}. Run npm run build and commit dist.\n`);
    process.exitCode = 1;
  } else {
    process.stdout.write(`dist is what the source builds (${want.length} files)\n`);
  }
} finally {
  await rm(fresh, { recursive: true, force: true });
}
