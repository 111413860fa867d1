/* The same coach without a mouse: every step by Tab, Enter and the keys that `?` lists. */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";

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
  await page.mouse.move(0, 0);
});

after(async () => {
  await browser?.close();
  await server?.stop();
});

const focused = () => page.evaluate(() => {
  const { activeElement: element } = document;
  const box = element.getBoundingClientRect();
  const style = getComputedStyle(element);
  return {
    tag: element.tagName,
    name: element.getAttribute("aria-label") ?? element.textContent.trim(),
    seen: box.width > 0 && box.height > 0,
    outlined: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 1,
  };
});

/* Tab until the focus is on what is looked for. */
async function tabTo(what, most = 200) {
  for (let i = 0; i < most; i++) {
    await page.keyboard.press("Tab");
    const here = await focused();
    if (what.test(here.name)) {
      return here;
    }
  }
  throw new Error(`no Tab leads to ${what}`);
}

test("the first Tab leads past the header", async () => {
  await visit(page, server, "/");
  await page.keyboard.press("Tab");
  assert.match((await focused()).name, /Skip/);
  await page.keyboard.press("Enter");
  await page.keyboard.press("Tab");
  assert.ok(await page.evaluate(() => document.querySelector("main").contains(document.activeElement)));
});

test("? lists the keys and Escape shuts the list", async () => {
  await page.keyboard.press("?");
  await page.getByRole("dialog").waitFor();
  assert.ok((await page.getByRole("dialog").locator("kbd").count()) > 4);
  await page.keyboard.press("Escape");
  await page.getByRole("dialog").waitFor({ state: "detached" });
});

test("to the riders and to a rider, by keys alone; the screen gets the focus", async () => {
  await page.keyboard.press("g");
  await page.keyboard.press("r");
  await page.waitForURL(/\/riders$/);
  await settle(page);
  assert.ok(await page.evaluate(() => document.querySelector("main").contains(document.activeElement)));
  await tabTo(/^Jonas Ebbeck$/);
  await page.keyboard.press("Enter");
  await page.waitForURL(/\/riders\/\d+$/);
  await settle(page);
});

test("whatever Tab reaches on a ride is seen and shows that it has the focus", async () => {
  await visit(page, server, `/rides/${places.hard}`);
  const unseen = [];
  const names = [];
  for (let i = 0; i < 120; i++) {
    await page.keyboard.press("Tab");
    const here = await focused();
    if (here.tag === "BODY") {
      break;
    }
    names.push(here.name);
    if (!here.seen || !here.outlined) {
      unseen.push(`${here.tag} ${here.name}`);
    }
  }
  assert.deepEqual(unseen, []);
  assert.ok(names.some((name) => name.startsWith("Traces of power")));
  assert.ok(names.some((name) => name === "This was a test"));
});

test("the traces: Tab leads in and out again", async () => {
  await visit(page, server, `/rides/${places.hard}`);
  await tabTo(/^Traces of power/);
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("Tab");
  assert.doesNotMatch((await focused()).name, /^Traces of power/);
});

test("[ and ] lead to the rides before and after", async () => {
  await visit(page, server, `/rides/${places.hard}`);
  const heading = await page.locator("h1").innerText();
  await page.keyboard.press("[");
  await page.waitForFunction((words) => document.querySelector("main h1")?.textContent !== words, heading);
  await settle(page);
  await page.keyboard.press("]");
  await page.waitForFunction((words) => document.querySelector("main h1")?.textContent === words, heading);
});

test("an act and its undo by keys", async () => {
  await settle(page);
  await tabTo(/^This was a race$/);
  await page.keyboard.press("Enter");
  await page.locator(".line-said").waitFor();
  await page.locator("main").focus();
  await page.evaluate(() => document.querySelector(".header a").focus());
  await tabTo(/^undo/i);
  await page.keyboard.press("Enter");
  await page.getByRole("button", { name: "This was a race" }).waitFor();
});

test("the curve of bests is read by arrows", async () => {
  await visit(page, server, `/riders/${places.rider}/bests`);
  await page.locator(".mean-power").waitFor();
  await tabTo(/^Mean power against duration/);
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("ArrowRight");
  assert.match(await page.locator(".mean-power .traces-reading").innerText(), /: \d+\sW/);
});

test("nothing went wrong meanwhile", () => {
  assert.deepEqual(browser.wrong, []);
});
