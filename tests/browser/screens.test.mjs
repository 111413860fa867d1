/* Every screen in every look: nothing that axe-core finds, nothing cut off or wider than the window,
 * nothing on the console, no request that leaves the machine. */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { openBrowser, visit } from "./browser.mjs";
import { inaccessible, overflowing } from "./look.mjs";
import { findPlaces, looks, screensOf, withDraft } from "./screens.mjs";
import { startServer } from "./server.mjs";

/* Some days after the example's own today, and no later rides near it. */
const DRAFT_DAY = "2026-09-09";

let server;
let browser;
let screens;

before(async () => {
  server = await startServer();
  browser = await openBrowser(server);
  screens = screensOf(await withDraft(browser.page, await findPlaces(browser.page), DRAFT_DAY));
});

after(async () => {
  await browser?.close();
  await server?.stop();
});

for (const look of looks) {
  test(`every screen, ${look.name}: axe-core finds nothing, no word is cut off`, async (t) => {
    const { page } = browser;
    await page.setViewportSize({ width: look.width, height: 900 });
    await page.emulateMedia({ colorScheme: look.scheme, reducedMotion: "reduce" });
    for (const screen of screens) {
      await t.test(screen.name, async () => {
        await visit(page, server, screen.path);
        assert.deepEqual(await overflowing(page), []);
        assert.deepEqual(await inaccessible(page), []);
      });
    }
  });
}

test("at 200 % zoom no word is cut off", async () => {
  /* 1240 pixels at twice the size are 620 to the page. */
  const { page } = browser;
  await page.setViewportSize({ width: 620, height: 450 });
  await page.emulateMedia({ colorScheme: "light" });
  for (const screen of screens) {
    await visit(page, server, screen.path);
    assert.deepEqual(await overflowing(page), [], screen.name);
  }
});

test("an address that isn't there says so, with a way back", async () => {
  const { page } = browser;
  await visit(page, server, "/no/such/page");
  assert.match(await page.locator("main").innerText(), /no such page/);
  await page.locator("main a").click();
  await page.waitForURL(`${server.origin}/`);
});

test("nothing went wrong on any screen, and nothing left the machine", () => {
  assert.deepEqual(browser.wrong, []);
  assert.deepEqual(browser.outside, []);
});
