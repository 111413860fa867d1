/* A coach's week, from whom to see first to an act that is taken back, in one browser. */
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";

import { openBrowser, settle, visit } from "./browser.mjs";
import { build, startServer } from "./server.mjs";

let server;
let browser;
let page;
let rides;
const seen = {};

before(async () => {
  rides = mkdtempSync(join(tmpdir(), "plumbline-rides-"));
  execFileSync(join(build, "demo", "make-rides"), [rides]);
  server = await startServer();
  browser = await openBrowser(server);
  page = browser.page;
});

after(async () => {
  await browser?.close();
  await server?.stop();
  rmSync(rides, { recursive: true, force: true });
});

const line = () => page.locator(".line-said").innerText();

test("the program's record: from the foot of who first, a sentence a claim, and back", async () => {
  await visit(page, server, "/");
  await page.getByRole("link", { name: "How often the program was right here" }).click();
  await page.getByRole("heading", { level: 1, name: "The program's record" }).waitFor();
  await page.locator("[data-claim]").first().waitFor();
  assert.equal(await page.locator("[data-claim]").count(), 9);
  assert.match(await page.locator('[data-claim="hard-done"]').innerText(), /^Of \d+ hard sessions done, the next was done too in \d+/);
  assert.match(await page.locator('[data-claim="repeats"]').innerText(), /scatters by \d/);
  await page.goBack();
  await page.locator(".person").first().waitFor();
});

test("who first: people in groups, each with a sentence and one next act", async () => {
  await visit(page, server, "/");
  const people = page.locator(".person");
  assert.ok((await people.count()) > 3);
  const first = people.filter({ has: page.getByText("Read the ride") }).first();
  seen.name = await first.locator("h3").innerText();
  assert.match(await first.locator(".sentence").innerText(), /\w+ \w+/);
  await first.getByRole("link", { name: /Read the ride/ }).click();
  await page.waitForURL(/\/rides\/\d+/);
  await settle(page);
});

test("the ride: what may be trusted first, then its verdict, the traces, the reps", async () => {
  const headings = await page.locator("main h2").allInnerTexts();
  assert.match(headings[0], /trust/i);
  assert.ok((await page.locator(".over").innerText()).includes(seen.name));
  await page.locator(".trace-panel canvas").first().waitFor();
  assert.ok((await page.locator(".rep").count()) > 0);
  seen.ride = page.url();
  seen.verdict = await page.locator(".reading .sentence").nth(1).innerText();
  assert.ok(seen.verdict.length > 20);
});

test("why: the basis, the threshold used, the rule's own limits", async () => {
  const why = page.locator("details.why").nth(1);
  await why.locator("summary").click();
  const told = await why.innerText();
  assert.match(told, /\d+\s?W/);
  assert.match(told, /\/\d/);
});

test("a corrected threshold: the ride is read again and says something else; undo gives the old words back", async () => {
  await page.locator(".over a").click();
  await page.waitForURL(/\/riders\/\d+$/);
  await settle(page);
  seen.rider = page.url();
  const block = page.locator("#threshold");
  await block.getByRole("button", { name: /^change/ }).first().click();
  const power = block.getByRole("spinbutton").first();
  seen.threshold = Number(await power.inputValue());
  assert.ok(seen.threshold > 80);
  const likely = block.getByLabel("Likely from");
  const low = Number(await likely.inputValue());
  await power.fill(String(Math.round(seen.threshold * 0.85)));
  /* Its likely range goes along, and can be set otherwise. */
  assert.ok(Math.abs(Number(await likely.inputValue()) - low * 0.85) <= 1);
  /* A second page of the same browser looks at the ride meanwhile, and isn't loaded again. */
  const watching = await browser.context.newPage();
  await watching.goto(seen.ride);
  await settle(watching);
  const verdict = watching.locator(".reading .sentence").nth(1);
  assert.equal(await verdict.innerText(), seen.verdict);
  const becomes = async (is) => {
    const due = Date.now() + 30000;
    while (Date.now() < due && ((await verdict.innerText()) === seen.verdict) !== is) {
      await watching.waitForTimeout(100);
    }
    return verdict.innerText();
  };
  await block.getByRole("button", { name: "Save" }).click();
  await page.locator(".line-said").waitFor();
  assert.match(await line(), /undo/);
  assert.notEqual(await becomes(false), seen.verdict);
  await page.locator(".line-said").getByRole("button", { name: "undo" }).click();
  assert.equal(await becomes(true), seen.verdict);
  await watching.close();
});

test("two ranges of days beside each other; a best opens its ride at its second", async () => {
  await visit(page, server, `${new URL(seen.rider).pathname}/bests`);
  assert.match(await page.locator("main p.small").first().innerText(), / to .*beside .* to /);
  await page.getByLabel("Beside them", { exact: true }).selectOption("last-year");
  await page.waitForURL(/against=last-year/);
  await page.getByLabel("Which days").selectOption("season");
  await page.waitForURL(/from=/);
  await settle(page);
  await page.locator(".bests-table tbody a").first().waitFor();
  assert.ok((await page.locator(".mean-power svg path").count()) > 3);
  const five = page.locator(".bests-table tbody tr", { has: page.getByRole("rowheader", { name: "5 min", exact: true }) });
  await five.locator("a").first().click();
  await page.waitForURL(/\/rides\/\d+\?at=\d+&for=300/);
  await settle(page);
  await page.getByText("best 5 min").first().waitFor();
  await page.getByRole("button", { name: "Whole ride" }).waitFor();
});

test("a new file is taken in from the page and opens as a ride", async () => {
  const file = readdirSync(rides).find((name) => name.includes("vo2max-4x4-done-outdoors"));
  await visit(page, server, new URL(seen.rider).pathname);
  await page.locator(".header").getByText("Take in rides").click();
  const dialog = page.getByRole("dialog");
  await dialog.waitFor();
  const whose = dialog.getByRole("combobox");
  const rider = /riders\/(\d+)/.exec(seen.rider)[1];
  await whose.selectOption(rider);
  await dialog.locator("input[type=file]").setInputFiles(join(rides, file));
  const taken = dialog.locator(".import-lines a").first();
  await taken.waitFor();
  await taken.click();
  await page.waitForURL(/\/rides\/\d+/);
  await settle(page);
  seen.taken = page.url();
  assert.match(await page.locator("h1").innerText(), /2026/);
});

test("a file that is no recording says why, and takes nothing in", async () => {
  await page.locator(".header").getByText("Take in rides").click();
  const dialog = page.getByRole("dialog");
  await dialog.getByRole("combobox").selectOption(/riders\/(\d+)/.exec(seen.rider)[1]);
  await dialog.locator("input[type=file]").setInputFiles({ name: "holiday.fit", mimeType: "application/octet-stream", buffer: Buffer.from("not a ride at all") });
  await dialog.getByText("Could not be read").waitFor();
  assert.match(await dialog.innerText(), /holiday\.fit/);
  await dialog.getByRole("button", { name: "Close" }).click();
});

test("what was asked is said of it: the reps get their range and a verdict", async () => {
  await page.goto(seen.taken);
  await settle(page);
  await page.getByRole("button", { name: "These were VO2max reps" }).click();
  await page.getByLabel(/^from/).fill("106");
  await page.getByLabel(/^to/).fill("120");
  await page.getByLabel("Reps", { exact: true }).fill("4");
  await page.getByLabel("each lasting").fill("4 min");
  await page.locator(".act-form").getByRole("button", { name: "Save" }).click();
  await page.locator(".line-said").waitFor();
  await page.locator(".ride-head", { hasText: "Asked:" }).waitFor();
  await settle(page);
  assert.match(await page.locator(".ride-head").innerText(), /106 to 120/);
  assert.match(await page.locator(".reps").innerText(), /asked \d+–\d+/);
});

test("undo takes it back", async () => {
  await page.locator(".line-said").getByRole("button", { name: "undo" }).click();
  await page.locator(".ride-head", { hasText: "Asked:" }).waitFor({ state: "detached" });
  assert.doesNotMatch(await page.locator(".ride-head").innerText(), /Asked/);
});

test("a test, and what spoiled it, stand at the top of the ride", async () => {
  await page.getByRole("button", { name: "This was a test" }).click();
  await page.getByRole("button", { name: "Neither test nor race" }).waitFor();
  await page.getByRole("button", { name: "This spoiled the test" }).click();
  await page.getByLabel("What spoiled it").fill("a puncture in the third rep");
  await page.locator(".act-form").getByRole("button", { name: "Save" }).click();
  await page.locator(".ride-head", { hasText: "puncture" }).waitFor();
});

test("how hard it was is noted on the ride", async () => {
  await page.getByRole("button", { name: "Note something" }).click();
  await page.getByLabel("How hard it was, 0 to 10").selectOption("8");
  await page.getByLabel("Words of the rider").fill("legs like wood");
  await page.locator(".act-form").getByRole("button", { name: "Save" }).click();
  await page.locator(".day-notes", { hasText: "legs like wood" }).waitFor();
});

test("two tabs: the later one is told, nothing is overwritten", async () => {
  const other = await browser.context.newPage();
  await other.goto(page.url());
  await settle(other);
  await page.getByRole("button", { name: "This was a race" }).click();
  await page.getByRole("button", { name: "This was a test" }).waitFor();
  const status = await other.evaluate(async (ride) => {
    const answer = await fetch(`/api/1/rides/${ride}/mark`, {
      method: "POST", headers: { "Content-Type": "application/json", "If-Match": '"1"' },
      body: JSON.stringify({ was: null, spoiled_by: null }) });
    return answer.status;
  }, Number(/rides\/(\d+)/.exec(page.url())[1]));
  assert.ok(status === 409 || status === 412, String(status));
  await other.close();
});

test("nothing went wrong meanwhile, and nothing left the machine", () => {
  const known = browser.wrong.filter((words) => !/status of (409|412)/.test(words));
  assert.deepEqual(known, []);
  assert.deepEqual(browser.outside, []);
});
