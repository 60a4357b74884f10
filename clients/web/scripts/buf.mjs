// Runs buf in the api folder: the command named by BUF, the one on the path, or the one the repository pins.
import { spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";

export const api = fileURLToPath(new URL("../../../api", import.meta.url));
const pinned = ["go", "tool", `-modfile=${fileURLToPath(new URL("../../../deploy/tools/buf.mod", import.meta.url))}`, "buf"];

export function buf(...args) {
  for (const [command, ...first] of [[process.env.BUF], ["buf"], pinned]) {
    if (!command) continue;
    const done = spawnSync(command, [...first, ...args], { cwd: api, stdio: ["ignore", "inherit", "inherit"] });
    if (done.error?.code === "ENOENT") continue;
    if (done.error) throw done.error;
    if (done.status !== 0) throw new Error(`buf ${args[0]} ended with status ${done.status}`);
    return;
  }
  throw new Error("neither buf nor go is on the path");
}
