/* Pictures of every screen, light, dark, narrow and printed, for looking at.
 *
 *   node shots.mjs OUT_DIR      ends with 1 if something is cut off or the console has errors
 */
import { mkdirSync } from "node:fs";
import { join } from "node:path";

import { openBrowser, visit } from "./browser.mjs";
import { overflowing } from "./look.mjs";
import { findPlaces, looks, screensOf, withDraft } from "./screens.mjs";
import { startServer } from "./server.mjs";

const out = process.argv[2];
if (out === undefined) {
  console.error("usage: node shots.mjs OUT_DIR");
  process.exit(2);
}
mkdirSync(out, { recursive: true });

/* The example's own day, said so that pictures of two years are alike. */
const TODAY = "2026-08-31";
const DRAFT_DAY = "2026-09-09";
/* A4 without its margins, at 96 pixels an inch. */
const PRINT_WIDTH = 690;

const wrong = [];

async function shoot(page, screen, look) {
  const file = join(out, `${screen.name}-${look.name}.png`);
  for (const line of await overflowing(page)) {
    wrong.push(`${screen.name}, ${look.name}: ${line}`);
  }
  await page.screenshot({ path: file, fullPage: true, animations: "disabled" });
  console.log(file);
}

async function shootAll(server, screensFor) {
  const browser = await openBrowser(server);
  const { page } = browser;
  for (const screen of await screensFor(page)) {
    for (const look of [...looks, { name: "print", width: PRINT_WIDTH, scheme: "light", media: "print" }]) {
      await page.setViewportSize({ width: look.width, height: 900 });
      await page.emulateMedia({ colorScheme: look.scheme, media: look.media ?? "screen", reducedMotion: "reduce" });
      await visit(page, server, screen.path);
      await page.mouse.move(0, 0);
      await screen.act?.(page);
      await shoot(page, screen, look);
    }
  }
  await browser.close();
  wrong.push(...browser.wrong, ...browser.outside.map((url) => `left the machine: ${url}`));
}

const opened = (button) => async (page) => {
  if (await page.evaluate(() => matchMedia("print").matches)) {
    return;
  }
  await page.getByRole("button", { name: button }).first().click();
};

const whysOpened = (page) => page.locator("details.why").evaluateAll((all) => all.forEach((why) => { why.open = true; }));

/* Words that aren't understood, and a safe limit: the session is a day after another hard one. */
const wrongWords = async (page) => {
  if (await page.evaluate(() => matchMedia("print").matches)) {
    return;
  }
  await page.getByLabel("To be ridden").fill("warm up 15 min at 50-65 %\n5 times (4 mn at 106-112 %, 4 min at 50 %)");
  await page.locator(".fault").waitFor();
};

const server = await startServer(["--today", TODAY]);
await shootAll(server, async (page) => {
  const places = await withDraft(page, await findPlaces(page), DRAFT_DAY);
  return [
    ...screensOf(places),
    { name: "ride-best", path: `/rides/${places.hard}?at=854&for=300` },
    { name: "ride-asked", path: `/rides/${places.hard}`, act: opened(/What was asked|These were VO2max reps/) },
    { name: "ride-why", path: `/rides/${places.hard}`, act: whysOpened },
    { name: "rider-why", path: `/riders/${places.rider}`, act: whysOpened },
    { name: "keys", path: "/riders", act: opened(/Keys/) },
    { name: "import", path: "/riders", act: opened(/Take in rides/) },
    { name: "draft-fault", path: `/riders/${places.rider}/draft?week=${DRAFT_DAY}&day=${DRAFT_DAY}`, act: wrongWords },
    { name: "draft-copies", path: `/riders/${places.rider}/draft?week=${DRAFT_DAY}&session=${places.session}`, act: opened(/Copy to/) },
    { name: "not-there", path: "/no/such/page" },
  ];
});
await server.stop();

const empty = await startServer([], { empty: true });
await shootAll(empty, () => Promise.resolve([{ name: "welcome", path: "/" }]));
await empty.stop();

for (const line of wrong) {
  console.error(line);
}
process.exit(wrong.length === 0 ? 0 : 1);
