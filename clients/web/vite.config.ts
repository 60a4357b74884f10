import { defineConfig } from "vitest/config";

const server = process.env["ROODBEAM_HTTP"] ?? "http://127.0.0.1:7480";

export default defineConfig({
  server: { host: "127.0.0.1", proxy: { "^/roodbeam\\.v1\\.": server } },
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  build: {
    // Files that are committed must not depend on the machine that built them.
    target: "es2022",
    sourcemap: false,
    reportCompressedSize: false,
    // The page may not load anything written into it (content security policy).
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
  },
  test: { include: ["src/**/*.test.ts"] },
});
