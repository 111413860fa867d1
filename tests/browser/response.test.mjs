/* What only a model can say, on the pages of rider and ride: drawn by the server for the width that
 * there is, with its table, heart rate never without the power beside it. */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { openBrowser, visit } from "./browser.mjs";
import { inaccessible, overflowing } from "./look.mjs";
import { startServer } from "./server.mjs";

let server;
let browser;
let places;

before(async () => {
  server = await startServer();
  browser = await openBrowser(server);
  places = await browser.page.evaluate(async () => {
    const get = async (path) => (await fetch(`/api/1/${path}`, { headers: { Prefer: "wait=30" } })).json();
    const rider = (await get("riders")).riders.find((row) => row.name === "Maren Oslund").id;
    const { rides } = await get(`riders/${rider}/rides`);
    const hard = rides.findLast((ride) => ride.readings.some((one) => one.question === "hard work" && one.verdict === "done"));
    return { rider, ride: hard.id };
  });
});

after(async () => {
  await browser?.close();
  await server?.stop();
});

/* The figure under a heading or in a question, with its table opened. */
async function figureIn(page, part, nth = 0) {
  const figure = page.locator(`${part} figure.scene-wide`).nth(nth);
  await figure.waitFor();
  await figure.locator("details.figure-table > summary").click();
  return {
    said: await figure.locator("svg > title").textContent(),
    words: await figure.locator("svg text").allTextContents(),
    rows: await figure.locator("tbody tr").count(),
  };
}

for (const width of [1240, 360]) {
  test(`${width} px: rides against usual, with the power of each, and power against duration`, async () => {
    const { page } = browser;
    await page.setViewportSize({ width, height: 900 });
    await visit(page, server, `/riders/${places.rider}`);
    const usual = await figureIn(page, "#how");
    assert.match(usual.said, /^Heart rate against usual in \d+ rides, with the mean power of each/);
    assert.ok(usual.words.includes("power, W"), usual.words.join(" | "));
    assert.ok(usual.rows > 10, `${usual.rows} rows`);
    const durations = await figureIn(page, "#progress", 1);
    const { critical, shown } = await page.evaluate(async (rider) => ({
      critical: await (await fetch(`/api/1/riders/${rider}/critical`)).json(),
      shown: document.querySelector("#progress").textContent,
    }), places.rider);
    assert.equal(critical.forms.length + critical.forms_missing.length, 4);
    for (const told of [...critical.forms.map((one) => one.form), ...critical.forms_missing.map((one) => one.text)]) {
      assert.ok(shown.includes(told), told);
    }
    assert.match(durations.said, /^Mean power against duration of \d+ all-out effort/);
    assert.ok(durations.rows > 0);
    assert.deepEqual(await overflowing(page), []);
    assert.deepEqual(await inaccessible(page), []);
  });

  test(`${width} px: a ride's heart rate against usual, power above it`, async () => {
    const { page } = browser;
    await page.setViewportSize({ width, height: 900 });
    await visit(page, server, `/rides/${places.ride}`);
    const heart = await figureIn(page, ".ride-heart");
    assert.match(heart.said, /^Power, under it heart rate/);
    assert.ok(heart.words.indexOf("power, W") < heart.words.indexOf("heart rate, beats/min"));
    assert.ok(heart.words.includes("heart rate against usual, beats"));
    assert.ok(heart.rows > 10, `${heart.rows} rows`);
    await page.locator(".ride-left svg").first().waitFor();
    assert.deepEqual(await overflowing(page), []);
    assert.deepEqual(await inaccessible(page), []);
  });
}

test("the session in two ways is drawn when it is asked for", async () => {
  const { page } = browser;
  await visit(page, server, `/riders/${places.rider}`);
  const details = page.locator("#progress details", { hasText: "One session ridden" });
  assert.equal(await details.locator("svg").count(), 0);
  await details.locator("summary").first().click();
  await details.locator("svg").waitFor();
});

test("nothing went wrong, and nothing left the machine", () => {
  assert.deepEqual(browser.wrong, []);
  assert.deepEqual(browser.outside, []);
});
