// Writes src/gen from the protos.
import { buf } from "./buf.mjs";

buf("generate", "--template", "buf.gen.ts.yaml");
