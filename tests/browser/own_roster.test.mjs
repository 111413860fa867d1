/* A coach who begins: an empty roster, the example by one click and back, the first rider, a file
 * dropped on the page; and two tabs with the same entry open. */
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { copyFileSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { after, before, test } from "node:test";

import { openBrowser, settle, visit } from "./browser.mjs";
import { build, example, startServer } from "./server.mjs";

let server;
let browser;
let page;
let rides;

before(async () => {
  rides = mkdtempSync(join(tmpdir(), "plumbline-rides-"));
  execFileSync(join(build, "demo", "make-rides"), [rides]);
  server = await startServer([], { empty: true });
  /* Made before, as on the second time: making it takes a minute. */
  const place = join(dirname(server.roster), "example");
  mkdirSync(place);
  copyFileSync(example, join(place, "example.plumbline"));
  browser = await openBrowser(server);
  page = browser.page;
});

after(async () => {
  await browser?.close();
  await server?.stop();
  rmSync(rides, { recursive: true, force: true });
});

test("one click opens the example, a banner stands over it, and one leads back to the empty roster", async () => {
  await page.getByRole("heading", { name: "An empty roster" }).waitFor();
  await page.getByRole("button", { name: "Open the example roster" }).click();
  await page.locator(".line-banner", { hasText: "invented riders" }).waitFor();
  await page.locator(".person").first().waitFor();
  assert.ok((await page.locator(".person").count()) > 3);
  await visit(page, server, "/riders");
  await page.locator(".line-banner").getByRole("button", { name: "back to your own" }).click();
  await page.getByRole("heading", { name: "An empty roster" }).waitFor();
  assert.equal(await page.locator(".line-banner").count(), 0);
});

test("the first rider needs a name and nothing else", async () => {
  await page.getByLabel("Name").fill("Ada Berg");
  await page.getByRole("button", { name: "Add a rider" }).click();
  await page.waitForURL(/\/riders\/\d+$/);
  await page.getByRole("heading", { name: "Ada Berg" }).waitFor();
  await settle(page);
});

test("a file dropped on a rider's page asks whose it is with that rider chosen, and becomes a ride", async () => {
  const name = readdirSync(rides).find((file) => file.includes("vo2max-4x4-done-outdoors"));
  const data = await page.evaluateHandle(({ file, bytes }) => {
    const dropped = new DataTransfer();
    dropped.items.add(new File([Uint8Array.from(atob(bytes), (letter) => letter.charCodeAt(0))], file));
    return dropped;
  }, { file: name, bytes: readFileSync(join(rides, name)).toString("base64") });
  await page.locator("main").dispatchEvent("drop", { dataTransfer: data });
  const dialog = page.getByRole("dialog");
  await dialog.getByRole("button", { name: "Take in this file" }).click();
  await dialog.locator(".import-lines a").first().click();
  await page.waitForURL(/\/rides\/\d+/);
  await settle(page);
  assert.match(await page.locator(".over").innerText(), /Ada Berg/);
  await page.locator(".over a").click();
  await page.getByText("Rides of the last 4 weeks").waitFor();
});

test("two tabs with the same entry open: the later one gets one line, and nothing is overwritten", async () => {
  await settle(page);
  await page.getByRole("button", { name: "add a goal" }).click();
  await page.getByRole("textbox", { name: "Goal" }).fill("Finish the long one");
  await page.getByRole("button", { name: "Save" }).click();
  const change = { name: "change: Finish the long one" };
  await page.getByRole("button", change).waitFor();

  const other = await browser.context.newPage();
  await other.goto(page.url());
  await settle(other);
  await other.getByRole("button", change).click();
  await other.getByRole("textbox", { name: "Goal" }).fill("Ride to the sea");
  /* The other tab hears of what is done here and asks again before its own form is sent. */
  const asked = other.waitForResponse((answer) => /\/api\/1\/riders\/\d+$/.test(answer.url()));
  await page.getByRole("button", change).click();
  await page.getByRole("textbox", { name: "Goal" }).fill("Win it");
  await page.getByRole("button", { name: "Save" }).click();
  await asked;

  await other.getByRole("button", { name: "Save" }).click();
  const line = other.getByRole("alert");
  await line.waitFor();
  assert.match(await line.innerText(), /meanwhile/);
  assert.doesNotMatch(await line.innerText(), /\n/);
  await other.getByRole("button", { name: "Cancel" }).click();
  await other.getByRole("button", { name: "change: Win it" }).waitFor();
  await other.close();
  await page.getByRole("button", { name: "change: Win it" }).waitFor();
});

test("nothing went wrong meanwhile, and nothing left the machine", () => {
  assert.deepEqual(browser.wrong, []);
  assert.deepEqual(browser.outside, []);
});
