// Debian's Chromium, driven by playwright-core, with pages that remember what went wrong in them.
import { AxeBuilder } from "@axe-core/playwright";
import assert from "node:assert/strict";
import { existsSync } from "node:fs";
import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { chromium } from "playwright-core";

const candidates = [process.env.CHROMIUM, "/usr/bin/chromium", "/usr/bin/chromium-browser"].filter(Boolean);

export async function launch() {
  const executablePath = candidates.find((p) => existsSync(p));
  if (executablePath === undefined) throw new Error(`no Chromium at ${candidates.join(", ")}; set CHROMIUM`);
  return chromium.launch({
    executablePath,
    args: [
      "--no-sandbox", "--disable-gpu", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--disable-quic", "--no-first-run",
      "--disable-background-networking", "--disable-component-update", "--disable-sync",
    ],
  });
}

/** Opens a page of its own browser profile; `errors` fills with everything its console complains about. */
export async function open(browser, options = {}) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, ...options });
  const page = await context.newPage();
  page.setDefaultTimeout(30_000);
  const errors = [];
  page.on("console", (m) => {
    if (m.type() === "error" || m.type() === "warning") errors.push(`${m.type()}: ${m.text()}`);
  });
  page.on("pageerror", (e) => errors.push(`uncaught: ${e.message}`));
  return { context, page, errors };
}

/** Fails with every accessibility rule the page breaks, and when the page is wider than its window. */
export async function accessible(page, what) {
  const { violations } = await new AxeBuilder({ page })
    .withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"])
    .analyze();
  const said = violations.map((v) => `${v.id}: ${v.help}\n  ${v.nodes.slice(0, 5).map((n) => n.html).join("\n  ")}`);
  assert.deepEqual(said, [], `accessibility of ${what}`);
  const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  assert.ok(over <= 0, `${what} is ${over} px wider than its window`);
}

/** Keeps a picture of the whole page where ROODBEAM_PICTURES names a folder. */
export async function picture(page, name) {
  const dir = process.env.ROODBEAM_PICTURES;
  if (!dir) return;
  await mkdir(dir, { recursive: true });
  await page.screenshot({ path: join(dir, `${name}.png`), fullPage: true });
}
