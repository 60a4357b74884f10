import { defineConfig } from "vitest/config";

export default defineConfig({
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
