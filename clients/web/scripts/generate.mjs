// Generates src/gen from the protos. BUF names the buf command; without it, the one that the repository pins.
import { spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";

const api = fileURLToPath(new URL("../../../api", import.meta.url));
const command = process.env.BUF ?? "buf";
const done = spawnSync(command, ["generate", "--template", "buf.gen.ts.yaml"], { cwd: api, stdio: "inherit" });
if (done.error) process.stderr.write(`${done.error.message}\n`);
process.exit(done.status ?? 1);
