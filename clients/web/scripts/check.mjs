// Makes again what is committed but made by a machine, and compares every byte: src/gen and dist.
import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "vite";
import { api, buf } from "./buf.mjs";
import { differences } from "./files.mjs";

const root = fileURLToPath(new URL("..", import.meta.url));
const OUT = "../clients/web/src/gen";

async function compare(fresh, name, remedy) {
  const { wrong, count } = await differences(fresh, join(root, name));
  if (wrong.length === 0) {
    process.stdout.write(`${name}: ${count} files as they are made\n`);
    return;
  }
  process.stderr.write(`${name} is not what is made from its source: ${wrong.join(", ")}. Run ${remedy} and commit.\n`);
  process.exitCode = 1;
}

const temporary = await mkdtemp(join(tmpdir(), "roodbeam-web-"));
try {
  const template = await readFile(join(api, "buf.gen.ts.yaml"), "utf8");
  if (!template.includes(OUT)) throw new Error(`buf.gen.ts.yaml does not write to ${OUT}`);
  buf("generate", "--template", template.replace(OUT, join(temporary, "gen")));
  await compare(join(temporary, "gen"), "src/gen", "npm run generate");

  await build({ root, logLevel: "warn", build: { outDir: join(temporary, "dist"), emptyOutDir: true } });
  await compare(join(temporary, "dist"), "dist", "npm run build");
} finally {
  await rm(temporary, { recursive: true, force: true });
}
