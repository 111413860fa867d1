/* Debian's Chromium without a window, and what is watched all the time: errors on the console, errors
 * of the page, and every request that leaves the page's own server. */
import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";

const web = createRequire(new URL("../../web/package.json", import.meta.url));
const { chromium } = web("playwright-core");

export const axeFile = web.resolve("axe-core/axe.min.js");

const WAIT_MS = 15_000;

function chromiumPath() {
  return execFileSync("sh", ["-c", "command -v chromium"], { encoding: "utf8" }).trim();
}

/* {page, wrong, outside, requests, close}.  wrong: what went wrong, one line each, empty is well. */
export async function openBrowser(server, options = {}) {
  const folder = mkdtempSync(join(tmpdir(), "plumbline-chromium-"));
  const context = await chromium.launchPersistentContext(folder, {
    executablePath: chromiumPath(),
    headless: true,
    chromiumSandbox: false,
    args: ["--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
           "--disable-component-update", "--disable-sync",
           "--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE 127.0.0.1"],
    viewport: { width: 1240, height: 900 },
    locale: "en-GB",
    reducedMotion: "reduce",
    ...options,
  });
  context.setDefaultTimeout(WAIT_MS);
  const wrong = [];
  const outside = [];
  const requests = [];
  context.on("request", (request) => {
    requests.push(request.url());
    if (!request.url().startsWith(`${server.origin}/`) && !request.url().startsWith("data:")) {
      outside.push(request.url());
    }
  });
  const page = context.pages()[0] ?? (await context.newPage());
  page.on("console", (message) => {
    if (message.type() === "error" || message.type() === "warning") {
      wrong.push(`console: ${message.text()} ${message.location().url}`);
    }
  });
  page.on("pageerror", (error) => wrong.push(`page: ${error.message}`));
  await page.goto(server.address);
  await page.locator("main h1").waitFor();
  const close = async () => {
    await context.close();
    rmSync(folder, { recursive: true, force: true });
  };
  return { page, context, wrong, outside, requests, close };
}

/* Goes to an address of the page and waits until nothing is on its way any more. */
export async function visit(page, server, path) {
  await page.goto(server.origin + path);
  await settle(page);
}

/* The stream of events never ends, so "no request on its way" is asked of the page itself. */
export async function settle(page) {
  await page.locator("main h1").first().waitFor();
  await page.waitForFunction(() => document.querySelector("main .loading, main .traces-waiting") === null);
  await page.evaluate(() => document.fonts.ready);
  await page.evaluate(() => new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve))));
}
