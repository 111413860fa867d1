/* Draft: a session is written, a fault pointed at, corrected, drafted, given, fetched and decoded,
 * withdrawn, taken back; a safe limit is named; another tab's change isn't overwritten; what next is
 * proposed, drafted, called off; what came back stands beside what was asked. */
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { after, before, test } from "node:test";

import { openBrowser, settle, visit } from "./browser.mjs";
import { inaccessible, overflowing } from "./look.mjs";
import { findPlaces } from "./screens.mjs";
import { startServer } from "./server.mjs";

/* The decoder from outside that tests/npm has. */
const npm = createRequire(new URL("../npm/package.json", import.meta.url));
const { default: FitParser } = npm("fit-file-parser");

const WORKOUT_STEP = 27; /* message numbers and fields: the FIT protocol's public profile */
const unsigned = (raw) => raw.reduceRight((sum, byte) => sum * 256 + byte, 0);

async function workoutOf(file) {
  const got = await new FitParser({ force: false, mode: "list", includeRawMessages: true }).parseAsync(readFileSync(file));
  const steps = got.raw_messages.filter((message) => message.global_message_number === WORKOUT_STEP)
    .map((message) => new Map(message.fields.map((one) => [one.field_definition_number, unsigned(one.raw_value)])));
  return { name: got.workout.wkt_name, steps };
}

const WEEK = "2026-09-07";

let server;
let browser;
let page;
let rider;

before(async () => {
  server = await startServer();
  browser = await openBrowser(server);
  page = browser.page;
  rider = (await findPlaces(page)).rider;
});

after(async () => {
  await browser?.close();
  await server?.stop();
});

const words = () => page.getByLabel("To be ridden");
const act = (name) => page.locator(".session").getByRole("button", { name, exact: true });
const state = () => page.locator(".session-state").innerText();
const said = () => page.locator(".line-said").innerText();
const answer = (path) => page.evaluate(async (at) => (await fetch(`/api/1/${at}`, { headers: { Prefer: "wait=30" } })).json(), path);

test("the fifth question leads to the week: seven lines, each with its time", async () => {
  await visit(page, server, `/riders/${rider}`);
  await page.locator("#next").getByRole("link", { name: "Draft the week" }).click();
  await page.waitForURL(/\/draft/);
  await settle(page);
  assert.equal(await page.locator(".diary-line").count(), 7);
  await page.getByRole("link", { name: "week after" }).click();
  await page.waitForURL(/week=2026-09-07/);
  await settle(page);
  assert.match(await page.locator("h1").innerText(), /7 September/);
  assert.match(await page.locator(".draft-week").innerText(), /Choose a day/);
});

test("what isn't understood is pointed at, with what was probably meant; corrected, it is drawn", async () => {
  await page.getByRole("button", { name: /draft a session on Wednesday 9 September/ }).click();
  await words().fill("15 min at 50-65 %\n4 times (4 mn at 106-112 %, 4 min at 50 %)\nplan B over 26 C: 60 min at 50 %");
  await page.locator(".fault").waitFor();
  assert.equal(await page.locator(".fault mark").innerText(), "mn");
  assert.match(await page.locator(".fault").innerText(), /line 2, column 12.*did you mean "?min/);
  assert.ok(await act("Save the draft").isDisabled());
  await words().fill("15 min at 50-65 %\n4 times (4 min at 106-112 %, 4 min at 50 %)\nplan B over 26 C: 60 min at 50 %");
  await page.locator(".fault").waitFor({ state: "detached" });
  await page.locator(".made .scene svg").waitFor();
  /* 15 min, and eight parts of 4 min: nine in the profile's table; the repeat is bracketed. */
  assert.equal(await page.locator(".made .figure-table tbody tr").count(), 9);
  assert.match(await page.locator(".made .scene svg").innerHTML(), />4 times</);
  assert.match(await page.locator(".made .because").innerText(), /plan B over 26 C/);
  await page.getByLabel("What it is").selectOption("vo2max");
});

test("a step harder, easier, longer, shorter; lines go up and down by keys alone", async () => {
  const asked = await words().inputValue();
  for (const [name, made] of [["Harder", asked.replace("106-112", "108-114")], ["Easier", asked], ["Longer", asked.replace("4 times", "5 times")], ["Shorter", asked]]) {
    await act(name).click();
    await page.waitForFunction((want) => document.querySelector(".session textarea").value === want, made);
  }
  await words().focus();
  await page.keyboard.press("Control+Home");
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("Alt+ArrowUp");
  const [first, second] = asked.split("\n");
  await page.waitForFunction((want) => document.querySelector(".session textarea").value.startsWith(want), `${second}\n${first}\n`);
  /* The caret goes with its line. */
  await page.keyboard.press("Alt+ArrowDown");
  await page.waitForFunction((want) => document.querySelector(".session textarea").value === want, asked);
});

test("drafted, and it stands in the diary", async () => {
  await page.getByLabel("Called").fill("Mill hills");
  await page.getByLabel("Why, for the rider").fill("The last one was ridden evenly.");
  await act("Save the draft").click();
  await page.waitForURL(/session=\d+/);
  assert.match(await said(), /Mill hills.*undo/s);
  assert.equal(await state(), ", drafted");
  /* 15 + 4 x (4 + 4) min, 4 x 4 of them hard. */
  assert.match(await page.locator(".diary-line").nth(2).innerText(), /Mill hills\s+drafted\s+47 min, 16 min of it hard/);
});

test("given: the file for the device holds the session, by another decoder", async () => {
  await act("Give to rider").click();
  await page.locator(".session-state", { hasText: "given" }).waitFor();
  const [download] = await Promise.all([
    page.waitForEvent("download"),
    page.getByRole("link", { name: "Device file (FIT)" }).click(),
  ]);
  assert.equal(download.suggestedFilename(), "2026-09-09 Mill hills.fit");
  const { name, steps } = await workoutOf(await download.path());
  const number = /session=(\d+)/.exec(page.url())[1];
  const { threshold_w: threshold } = await answer(`riders/${rider}/sessions/${number}`);
  assert.equal(name, "Mill hills");
  /* Milliseconds; watts are written 1000 above what they are; a repeat leads back to a step. */
  assert.equal(steps[1].get(2), 240_000);
  assert.deepEqual([steps[1].get(5) - 1000, steps[1].get(6) - 1000], [Math.round(1.06 * threshold), Math.round(1.12 * threshold)]);
  assert.deepEqual([steps[3].get(1), steps[3].get(2), steps[3].get(4)], [6, 1, 4]);
  const [entry] = await Promise.all([
    page.waitForEvent("download"),
    page.getByRole("link", { name: "Calendar entry" }).click(),
  ]);
  assert.match(readFileSync(await entry.path(), "utf8"), /DTSTART;VALUE=DATE:20260909\r\n[^]*SUMMARY:Mill hills/);
});

test("a second hard one a day later must be named, with the limit's own words", async () => {
  await page.getByRole("button", { name: /draft a session on Thursday 10 September/ }).click();
  await page.getByLabel("Start from").selectOption("vo2max");
  const tick = page.getByLabel(/Knowingly past it/).first();
  await tick.waitFor();
  assert.match(await page.locator(".safe-limits").innerText(), /48 h/);
  await page.locator(".made .scene svg").waitFor();
  assert.ok(await act("Save the draft").isDisabled());
  for (const box of await page.locator(".safe-limits input").all()) {
    await box.check();
  }
  await act("Save the draft").click();
  await page.waitForURL(/session=\d+/);
  const number = /session=(\d+)/.exec(page.url())[1];
  assert.match((await answer(`riders/${rider}/sessions/${number}`)).confirmed, /safe_hard_gap_h/);
  await act("Take away").click();
  await page.locator(".session").waitFor({ state: "detached" });
});

test("another tab's change is seen, and never overwritten", async () => {
  await page.getByRole("button", { name: "Mill hills" }).click();
  await page.locator(".session").waitFor();
  const other = await browser.context.newPage();
  await other.goto(page.url());
  await settle(other);
  await other.getByLabel("Why, for the rider").fill("Because of the hills.");
  await page.getByLabel("Why, for the rider").fill("Mine.");
  await other.locator(".session").getByRole("button", { name: "Save, and give anew" }).click();
  await other.locator(".line-said").waitFor();
  await page.getByText("changed elsewhere").waitFor();
  await act("Save, and give anew").click();
  await page.locator(".line-trouble").waitFor();
  assert.match(await page.locator(".line-trouble").innerText(), /meanwhile/);
  assert.equal(await page.getByLabel("Why, for the rider").inputValue(), "Mine.");
  await page.getByRole("button", { name: "Show what is there now" }).click();
  assert.equal(await page.getByLabel("Why, for the rider").inputValue(), "Because of the hills.");
  await other.close();
  /* What nobody touched follows by itself; the refusal was one the browser writes down. */
  browser.wrong.splice(0, browser.wrong.length, ...browser.wrong.filter((line) => !/412/.test(line)));
});

/* ISO 216: A6 is 105 mm by 148 mm, A5 148 mm by 210 mm; points are 1/72 inch. */
const MM = 72 / 25.4;

test("its card is a page of that size, by another reader", async () => {
  for (const [name, wide, high] of [["A6", 105, 148], ["A5", 148, 210]]) {
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("link", { name: `Card, ${name}` }).click(),
    ]);
    assert.equal(download.suggestedFilename(), `2026-09-09 Mill hills ${name}.pdf`);
    const told = execFileSync("pdfinfo", [await download.path()], { encoding: "utf8" });
    const [, x, y] = /Page size:\s+([\d.]+) x ([\d.]+)/.exec(told);
    assert.ok(Math.abs(x - wide * MM) < 1 && Math.abs(y - high * MM) < 1, `${name}: ${x} x ${y}`);
    assert.match(execFileSync("pdftotext", [await download.path(), "-"], { encoding: "utf8" }), /Mill hills/);
  }
});

test("copied to another day and another rider, each safe limit named first; one undo takes both back", async () => {
  const { riders } = await answer("riders");
  const other = riders.find((one) => one.id !== rider);
  await act("Copy to …").click();
  const form = page.locator(".copies");
  assert.ok(await form.getByRole("button", { name: "Draft it", exact: true }).isDisabled());
  await form.getByLabel("Thursday 10 September").check();
  await form.getByLabel(other.name, { exact: true }).check();
  await form.getByText(/48 h/).first().waitFor();
  await page.waitForFunction(() => document.querySelector(".copies [role=status]").textContent === ""); // both were asked
  const save = form.getByRole("button", { name: "Draft all 2" });
  assert.ok(await save.isDisabled());
  for (const box of await form.locator(".safe-limits input").all()) {
    await box.check();
  }
  assert.deepEqual(await inaccessible(page), []);
  await save.click();
  await form.waitFor({ state: "detached" });
  assert.match(await said(), /2 sessions drafted/);
  const there = async (id) => (await answer(`riders/${id}/sessions?from=2026-09-10&to=2026-09-11`)).sessions.filter((one) => one.name === "Mill hills").map((one) => one.state);
  assert.deepEqual([await there(rider), await there(other.id)], [["drafted"], ["drafted"]]);
  await page.locator(".line-said").getByRole("button", { name: "undo" }).click();
  await page.locator(".line-said", { hasText: /Taken back:/ }).waitFor();
  assert.deepEqual([await there(rider), await there(other.id)], [[], []]);
});

test("withdrawn, its entry says so; undo gives it back", async () => {
  await act("Withdraw").click();
  await page.locator(".session-state", { hasText: "withdrawn" }).waitFor();
  assert.equal(await page.getByRole("link", { name: "Device file (FIT)" }).count(), 0);
  const [entry] = await Promise.all([
    page.waitForEvent("download"),
    page.getByRole("link", { name: "Calendar entry" }).click(),
  ]);
  assert.match(readFileSync(await entry.path(), "utf8"), /STATUS:CANCELLED/);
  await page.locator(".line-said").getByRole("button", { name: "undo" }).click();
  await page.locator(".session-state", { hasText: "given" }).waitFor();
});

test("one of the coach's own is kept, started from, and dropped", async () => {
  await act("Keep as your own").click();
  await page.getByRole("button", { name: /draft a session on Sunday 13 September/ }).click();
  await page.getByLabel("Start from").selectOption("Mill hills");
  assert.match(await words().inputValue(), /4 times/);
  await act("Take it from your own").click();
  await page.locator("#start-from option", { hasText: "Mill hills" }).waitFor({ state: "detached" });
});

const proposals = () => page.locator(".proposals");
const next = (days) => answer(`riders/${rider}/next?days=${days}`);
/* The example's today is 31 August: two weeks until WEEK ends. */
const DAYS = 14;

let proposed; /* whose week it is */

test("what next is proposed with its reason, and drafted by the coach's act alone", async () => {
  /* Whoever has room for something in that week. */
  let shown = [];
  for (const { id } of (await answer("riders")).riders) {
    const { proposals: all } = await answer(`riders/${id}/next?days=${DAYS}`);
    const those = all.filter((one) => one.day >= WEEK);
    if (those.length > shown.length) {
      shown = those;
      proposed = id;
    }
  }
  assert.ok(shown.length > 0);
  await visit(page, server, `/riders/${proposed}/draft?week=${WEEK}`);
  const first = proposals().locator("li").first();
  await first.waitFor();
  /* Those that say the same of several days stand together, each day with its own act. */
  assert.equal(await proposals().getByRole("button", { name: /^Draft it: / }).count(), shown.length);
  const [{ number, day, why, source, session, outlook }] = shown;
  const told = await first.innerText();
  for (const words of [session.name, why, source, session.caution, outlook.text, ...outlook.warnings]) {
    assert.ok(words === null || told.includes(words), `${words}, in ${told}`);
  }
  const there = (await answer(`riders/${proposed}/sessions?from=${WEEK}`)).sessions.length;
  await first.getByRole("button").first().click();
  await page.locator(".line-said").waitFor();
  assert.match(await said(), /undo/);
  const { sessions } = await answer(`riders/${proposed}/sessions?from=${WEEK}`);
  assert.equal(sessions.length, there + 1, `proposal ${number}`);
  const made = sessions.find((one) => one.day === day && one.words === session.words);
  assert.equal(made.state, "drafted");
  const line = page.locator(".diary-line", { has: page.getByRole("button", { name: session.name, exact: true }) });
  await line.first().waitFor();
  assert.match(await line.first().innerText(), /drafted/);
  assert.deepEqual(await inaccessible(page), []);
});

test("proposals that changed since they were seen are not drafted", async () => {
  const draftIt = proposals().getByRole("button", { name: /^Draft / }).first();
  if (await draftIt.count() === 0) {
    await page.locator(".line-said").getByRole("button", { name: "undo" }).click();
  }
  await draftIt.waitFor();
  const there = (await answer(`riders/${proposed}/sessions?from=${WEEK}`)).sessions.length;
  await page.route("**/next", (route) => {
    const seen = route.request().postDataJSON();
    return route.continue({ postData: JSON.stringify({ ...seen, mark: "00000000" }) });
  }, { times: 1 });
  await draftIt.click();
  await page.locator(".line-trouble").waitFor();
  assert.match(await page.locator(".line-trouble").innerText(), /changed since it was shown/);
  assert.equal((await answer(`riders/${proposed}/sessions?from=${WEEK}`)).sessions.length, there);
  browser.wrong.splice(0, browser.wrong.length, ...browser.wrong.filter((line) => !/409/.test(line)));
});

test("where nothing is proposed it says why; what no longer fits is called off in one act", async () => {
  await visit(page, server, `/riders/${rider}/draft?week=2026-08-31`);
  const { nothing_because: because } = await next(7);
  assert.match(await proposals().innerText(), new RegExp(because));
  const off = await page.evaluate(async (at) => {
    const answered = await fetch(`/api/1/riders/${at}/days-off`, {
      method: "POST", headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ kind: "ill", from: "2026-08-31", until: "2026-09-04" }),
    });
    return answered.status;
  }, rider);
  assert.ok(off < 300);
  await visit(page, server, `/riders/${rider}/draft?week=2026-08-31`);
  const { stands } = await next(7);
  const unfit = stands.filter((one) => one.unfit !== null);
  assert.ok(unfit.length > 0);
  for (const one of unfit) {
    assert.ok((await proposals().innerText()).includes(`${one.name}. ${one.unfit_text}`));
  }
  const called = stands.filter((one) => one.day >= unfit[0].day);
  await proposals().getByRole("button", { name: new RegExp(`^Call off all ${called.length} `) }).click();
  await page.locator(".line-said").waitFor();
  assert.deepEqual((await next(7)).stands.filter((one) => one.day >= unfit[0].day), []);
  await page.locator(".diary-withdrawn").first().waitFor();
  await page.locator(".line-said").getByRole("button", { name: "undo" }).click();
  await proposals().getByRole("button", { name: /^Call off all/ }).waitFor();
});

test("a week that was ridden: what came back of each session, and of one each step beside its range", async () => {
  await visit(page, server, `/riders/${rider}/draft?week=2026-08-24`);
  const { sessions, adherence } = await answer(`riders/${rider}/sessions?from=2026-08-24`);
  const week = await page.locator(".draft-week").innerText();
  assert.match(adherence, /4 weeks/);
  assert.ok(week.includes(adherence));
  assert.ok(sessions.length > 0);
  for (const one of sessions) {
    assert.ok(week.includes(one.outcome_text), one.outcome_text);
  }
  assert.equal(await proposals().count(), 0);
  const { name, number } = sessions.find((one) => one.kind === "vo2max");
  await page.getByRole("button", { name, exact: true }).click();
  await page.locator(".came table").waitFor();
  const { came_back: came } = await answer(`riders/${rider}/sessions/${number}`);
  assert.ok((await page.locator(".came").innerText()).includes(came.text));
  const rows = await page.locator(".came tbody tr").evaluateAll((all) => all.map((row) => [...row.cells].map((cell) => cell.innerText)));
  assert.equal(rows.length, came.steps.length);
  const at = came.steps.findIndex((step) => step.is_work);
  assert.deepEqual(rows[at].slice(3, 5), [String(Math.round(came.steps[at].mean_w)), String(Math.round(came.steps[at].heart_bpm))]);
  /* Heart rate never stands alone. */
  assert.ok(rows.every((row) => row[3] !== "–" || row[4] === "–"));
  assert.deepEqual(await inaccessible(page), []);
  /* What is past is told as it was foretold, and read; it can still be changed, or drafted again. */
  assert.equal(await page.locator("#made").innerText(), "What it was expected to bring");
  assert.equal(await page.locator(".session textarea").count(), 0);
  assert.match(await page.locator(".session-words").innerText(), /times/);
  await act("Copy to …").waitFor();
  await act("Change it").click();
  await words().waitFor();
});

test("a ride's page has the session that it was, each step asked against done, also of another day", async () => {
  const { riders } = await answer("riders");
  const seen = { ridden: null, moved: null };
  for (const { id } of riders) {
    const { sessions } = await answer(`riders/${id}/sessions?from=2026-07-20&to=2026-08-31`);
    for (const outcome of Object.keys(seen)) {
      const one = sessions.find((session) => session.outcome === outcome && session.kind !== "easy") ?? sessions.find((session) => session.outcome === outcome);
      seen[outcome] ??= one === undefined ? null : { id, one };
    }
  }
  for (const [outcome, { id, one }] of Object.entries(seen)) {
    const { came_back: came } = await answer(`riders/${id}/sessions/${one.number}`);
    await visit(page, server, `/rides/${came.ride}`);
    const section = page.locator(".ride-session");
    await section.waitFor();
    assert.ok((await section.innerText()).includes(came.text), outcome);
    assert.equal(await section.locator("tbody tr").count(), came.steps.some((step) => step.from_s !== null) ? came.steps.length : 0);
    assert.equal(/given for/.test(await section.innerText()), outcome === "moved");
    assert.deepEqual(await inaccessible(page), []);
    await section.getByRole("link", { name: one.name }).click();
    await page.locator(".came").waitFor();
    assert.equal(await page.locator("#session").innerText(), one.name);
  }
});

test("a rider's page has the last weeks in words and what is proposed; the table of riders who rides what next", async () => {
  const { riders } = await answer("riders");
  const told = [];
  for (const row of riders) {
    told.push({ row, next: await answer(`riders/${row.id}/next`) });
  }
  const { row, next: proposed } = told.find((one) => one.next.proposals.some((proposal) => proposal.session !== null));
  const { adherence } = await answer(`riders/${row.id}/sessions`);
  await visit(page, server, `/riders/${row.id}`);
  const section = page.locator("#next");
  await section.getByRole("heading", { name: "Proposed" }).waitFor();
  const shown = await section.innerText();
  assert.ok(adherence !== null && shown.includes(adherence), adherence);
  for (const proposal of proposed.proposals.filter((one) => one.session !== null)) {
    assert.ok(shown.includes(proposal.session.name) && shown.includes(proposal.why), proposal.why);
  }
  assert.deepEqual(await inaccessible(page), []);
  await visit(page, server, "/riders");
  const given = riders.find((one) => one.next_session !== null);
  await page.getByRole("row", { name: new RegExp(given.name) }).getByRole("link").last().click();
  await page.waitForURL(new RegExp(`/riders/${given.id}/draft\\?week=${given.next_session.day}&session=${given.next_session.number}`));
  await page.locator("#session", { hasText: given.next_session.name }).waitFor();
});

test("at 360 px, by keys alone, nothing is cut off", async () => {
  await page.setViewportSize({ width: 360, height: 900 });
  await visit(page, server, `/riders/${rider}/draft?week=${WEEK}&day=2026-09-12`);
  assert.equal(await page.evaluate(() => document.activeElement.id), "session");
  await page.keyboard.press("Tab");
  await page.keyboard.press("Tab");
  await page.keyboard.type("60 min at 50-60 %");
  await page.locator(".made .scene svg").waitFor();
  assert.deepEqual(await overflowing(page), []);
  assert.deepEqual(await inaccessible(page), []);
});

test("drafted, given and withdrawn by keys alone: the place is never lost", async () => {
  await page.setViewportSize({ width: 1240, height: 900 });
  await visit(page, server, `/riders/${rider}/draft?week=2026-09-14&day=2026-09-17`);
  const press = async (name) => {
    await act(name).click({ trial: true }); /* waits until it can be pressed, and doesn't */
    await act(name).focus();
    await page.keyboard.press("Enter");
  };
  const atName = () => page.waitForFunction(() => document.activeElement.id === "session");
  await words().focus();
  await page.keyboard.type("60 min at 50-60 %");
  await page.waitForFunction(() => document.querySelector(".session .act-primary")?.disabled === false);
  await press("Save the draft");
  await page.waitForURL(/session=\d+/);
  await atName();
  for (const [name, then] of [["Give to rider", "given"], ["Withdraw", "withdrawn"], ["Give to rider", "given"], ["It was ridden", "ridden"]]) {
    await press(name);
    await page.locator(".session-state", { hasText: then }).waitFor();
    await atName();
  }
  await press("Copy to …");
  await page.locator(".copies").getByRole("button", { name: "Close" }).focus();
  await page.keyboard.press("Enter");
  await atName();
  await press("Close");
  await page.locator(".session").waitFor({ state: "detached" });
  assert.ok(await page.evaluate(() => document.activeElement.closest(".diary") !== null));
});

test("nothing went wrong, and nothing left the machine", () => {
  assert.deepEqual(browser.wrong, []);
  assert.deepEqual(browser.outside, []);
});
