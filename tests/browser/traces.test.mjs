/* The two traces: one cursor for all channels by arrow keys and pointer, a closer look by drag and by
 * shift with the arrows, the way back, and the same as a table. */
import assert from "node:assert/strict";
import { after, before, beforeEach, test } from "node:test";

import { openBrowser, settle, visit } from "./browser.mjs";
import { findPlaces } from "./screens.mjs";
import { startServer } from "./server.mjs";

let server;
let browser;
let page;
let places;

before(async () => {
  server = await startServer();
  browser = await openBrowser(server);
  page = browser.page;
  places = await findPlaces(page);
});

after(async () => {
  await browser?.close();
  await server?.stop();
});

beforeEach(async () => {
  await page.setViewportSize({ width: 1240, height: 900 });
  await visit(page, server, `/rides/${places.hard}`);
  await page.locator(".trace-panel canvas").first().waitFor();
});

const reading = () => page.locator(".traces .traces-reading").innerText();
const panels = () => page.locator(".traces-panels");
const asked = () => browser.requests.filter((url) => url.includes("/traces?") && url.includes("&from="));

test("a panel each for power and heart rate, each with one scale, power above", async () => {
  const titles = await page.locator(".trace-title").allInnerTexts();
  assert.deepEqual(titles, ["power, W", "heart rate, beats/min"]);
  const scales = await page.locator(".trace-plot").evaluateAll((plots) =>
    plots.map((plot) => plot.querySelectorAll("canvas").length));
  assert.deepEqual(scales, [1, 1]);
  const left = await page.locator(".u-over").evaluateAll((overs) => overs.map((over) => over.getBoundingClientRect().left));
  assert.equal(left[0], left[1]);
});

test("arrow keys move one cursor that reads power and heart rate", async () => {
  await panels().focus();
  await page.keyboard.press("End");
  const last = await reading();
  await page.keyboard.press("Home");
  await page.keyboard.press("ArrowRight");
  const next = await reading();
  assert.notEqual(next, last);
  assert.match(next, /\d+\sW/);
  assert.match(next, /\d+\sbeats\/min/);
});

test("what the cursor reads is what the server has for that second", async () => {
  await panels().focus();
  await page.keyboard.press("Home");
  for (let i = 0; i < 3; i++) {
    await page.keyboard.press("PageDown");
  }
  const told = await reading();
  const [, minutes, seconds] = /(\d+):(\d\d)/.exec(told);
  const at = Number(minutes) * 60 + Number(seconds);
  /* Its bytes, read anew: one second of every channel. */
  const value = await page.evaluate(async ({ ride, from }) => {
    const bytes = await (await fetch(`/api/1/rides/${ride}/traces?from=${from - 4}&to=${from + 5}&points=16`, { headers: { Prefer: "wait=30" } })).arrayBuffer();
    const view = new DataView(bytes);
    const head = JSON.parse(new TextDecoder().decode(new Uint8Array(bytes, 4, view.getUint32(0, true))));
    const row = head.arrays.find((array) => array.name === "heart_rate_bpm");
    const get = { uint8: (i) => view.getUint8(i), int16: (i) => view.getInt16(2 * i, true) }[row.type];
    const offset = row.type === "int16" ? row.offset / 2 : row.offset;
    return Array.from({ length: row.count }, (_, i) => get(offset + i) * row.scale);
  }, { ride: places.hard, from: at });
  const beats = Number(/(\d+)\sbeats/.exec(told)[1]);
  assert.ok(Math.min(...value) <= beats && beats <= Math.max(...value), `${beats} of ${value}`);
});

test("a live region says it politely, at most once a second", async () => {
  await panels().focus();
  await page.evaluate(() => {
    const region = document.querySelector(".traces [aria-live=polite]");
    globalThis.told = [];
    new MutationObserver(() => globalThis.told.push(performance.now())).observe(region, { childList: true, characterData: true, subtree: true });
  });
  const begun = Date.now();
  for (let i = 0; i < 30; i++) {
    await page.keyboard.press("ArrowRight");
  }
  const lasted = Date.now() - begun;
  const told = await page.evaluate(() => globalThis.told);
  assert.ok(told.length >= 1 && told.length <= 1 + Math.ceil(lasted / 1000), `${told.length} times in ${lasted} ms`);
});

test("shift with the arrows marks a span, letting go looks closer with every second, Escape leads back", async () => {
  await panels().focus();
  await page.keyboard.press("Home");
  await page.keyboard.press("PageDown");
  const before = asked().length;
  await page.keyboard.down("Shift");
  await page.keyboard.press("PageDown");
  await page.keyboard.up("Shift");
  await page.getByRole("button", { name: "Whole ride" }).waitFor();
  const ticks = await page.locator(".trace-time").allTextContents();
  await page.waitForFunction((n) => performance.getEntriesByType("resource").filter((e) => e.name.includes("&from=")).length > n, before);
  assert.ok(asked().length > before, "the span was asked for");
  const span = new URL(asked().at(-1)).searchParams;
  assert.ok(Number(span.get("to")) - Number(span.get("from")) <= Number(span.get("points")), "every second of it");
  await panels().focus();
  await page.keyboard.press("Escape");
  await page.getByRole("button", { name: "Whole ride" }).waitFor({ state: "detached" });
  assert.notDeepEqual(await page.locator(".trace-time").allTextContents(), ticks);
});

test("pointing reads both panels, a drag looks closer", async () => {
  const over = page.locator(".u-over").first();
  await over.scrollIntoViewIfNeeded();
  const box = await over.boundingBox();
  await page.mouse.move(box.x + box.width * 0.4, box.y + box.height / 2);
  await page.mouse.move(box.x + box.width * 0.41, box.y + box.height / 2);
  await page.locator(".traces .traces-reading", { hasText: "beats/min" }).waitFor();
  const lines = await page.locator(".u-cursor-x").evaluateAll((all) => all.map((line) => Math.round(line.getBoundingClientRect().left)));
  assert.equal(lines[0], lines[1]);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width * 0.6, box.y + box.height / 2, { steps: 5 });
  await page.mouse.up();
  await page.getByRole("button", { name: "Whole ride" }).click();
  await page.getByRole("button", { name: "Whole ride" }).waitFor({ state: "detached" });
});

test("a third trace by choice, under the two", async () => {
  const choice = page.getByLabel("A third trace");
  await choice.selectOption("cadence");
  await page.locator(".trace-title-cadence").first().waitFor();
  const titles = await page.locator(".trace-title").allInnerTexts();
  assert.equal(titles[2], "cadence, turns/min");
});

test("evidence is bracketed with the numbers of the reps, and a rep opens at its own seconds", async () => {
  const numbers = await page.locator(".trace-number").allTextContents();
  const reps = await page.locator(".rep").count();
  assert.deepEqual(numbers.slice(0, reps), Array.from({ length: reps }, (_, i) => String(i + 1)));
  await page.getByRole("button", { name: "rep 2: show it in the traces" }).click();
  await page.getByRole("button", { name: "Whole ride" }).waitFor();
  assert.ok((await page.locator(".trace-number").allTextContents()).includes("2"));
});

test("the same as a table: as many columns as panels, means that agree with the server's own", async () => {
  await page.getByText("the traces as a table").click();
  const head = await page.locator(".traces table thead th").allInnerTexts();
  assert.deepEqual(head, ["time", "power, W", "heart rate, beats/min"]);
  assert.ok((await page.locator(".traces table tbody tr").count()) > 10);
});

test("heart rate is never drawn without power above it", async () => {
  for (const path of [places.hard, places.base, places.longest]) {
    await visit(page, server, `/rides/${path}`);
    const titles = await page.locator(".trace-title").allInnerTexts();
    const heart = titles.findIndex((title) => title.startsWith("heart rate"));
    assert.ok(heart !== 0, titles.join());
  }
});

test("a narrower window draws narrower, and the cursor stays usable", async () => {
  await page.setViewportSize({ width: 360, height: 760 });
  await settle(page);
  const widths = await page.locator(".trace-plot canvas").evaluateAll((all) => all.map((canvas) => canvas.getBoundingClientRect().width));
  assert.ok(widths.every((width) => width <= 360), widths.join());
  await panels().focus();
  await page.keyboard.press("End");
  assert.match(await reading(), /beats\/min/);
});

test("in dark, power is drawn in light ink", async () => {
  const brightest = async () => page.locator(".trace-plot canvas").first().evaluate((canvas) => {
    const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
    let most = 0;
    for (let i = 0; i < data.length; i += 4) {
      most = Math.max(most, data[i + 3] > 200 ? data[i] : 0);
    }
    return most;
  });
  await page.emulateMedia({ colorScheme: "dark" });
  await page.waitForTimeout(100);
  assert.ok((await brightest()) > 200);
  await page.emulateMedia({ colorScheme: "light" });
});

test("nothing went wrong meanwhile", () => {
  assert.deepEqual(browser.wrong, []);
  assert.deepEqual(browser.outside, []);
});
