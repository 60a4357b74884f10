// Starts the real server with the demo church, made through the public API, and stops it again.
import { spawn, spawnSync } from "node:child_process";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const repository = fileURLToPath(new URL("../../..", import.meta.url));
const START_MS = 60_000;
const STOP_MS = 15_000;

/** Returns { pages, volunteer, project, stop }: the address that signs the owner in, the project's id, and the way to end it. */
export async function startServer() {
  const dir = await mkdtemp(join(tmpdir(), "roodbeam-e2e-"));
  const binary = join(dir, "roodbeam");
  const built = spawnSync("go", ["build", "-o", binary, "./clients/cli"], { cwd: repository, encoding: "utf8" });
  if (built.status !== 0) throw new Error(`go build failed: ${built.stderr || built.error?.message}`);

  const child = spawn(binary, ["demo", "--serve", "--out", join(dir, "demo")], { cwd: dir, stdio: ["ignore", "pipe", "pipe"] });
  let out = "";
  let err = "";
  child.stderr.on("data", (d) => { err += d; });
  const ended = new Promise((done) => child.once("exit", done));
  const said = new Promise((resolve, reject) => {
    const late = setTimeout(() => reject(new Error(`the server did not start in time\n${err}`)), START_MS);
    child.stdout.on("data", (d) => {
      out += d;
      const pages = /^ *pages +(\S+)$/m.exec(out)?.[1];
      const project = /^ *project +(\S+)$/m.exec(out)?.[1];
      if (pages && project) {
        clearTimeout(late);
        resolve({ pages, project });
      }
    });
    child.once("exit", (code) => {
      clearTimeout(late);
      reject(new Error(`the server ended with status ${code}\n${err}`));
    });
  });

  const stop = async () => {
    if (child.exitCode === null) {
      child.kill("SIGINT");
      const kill = setTimeout(() => child.kill("SIGKILL"), STOP_MS);
      await ended;
      clearTimeout(kill);
    }
    await rm(dir, { recursive: true, force: true });
  };
  try {
    return { ...(await said), stop };
  } catch (e) {
    await stop();
    throw e;
  }
}
