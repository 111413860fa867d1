/* Riders of whom little or nonsense is on file (tests/cli/odd_roster.py): every page of theirs stands,
 * whole, with reasons in place of numbers; no page shows a number that is none. */
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { fileURLToPath } from "node:url";

import { openBrowser, settle, visit } from "./browser.mjs";
import { overflowing } from "./look.mjs";
import { build, startServer } from "./server.mjs";

const TODAY = "2026-03-30";
const maker = fileURLToPath(new URL("../cli/odd_roster.py", import.meta.url));

let folder;
let server;
let browser;
let people;

before(async () => {
  folder = mkdtempSync(join(tmpdir(), "plumbline-odd-"));
  const roster = execFileSync("/usr/bin/python3", [maker, join(build, "plumbline"), folder], { encoding: "utf8" }).trim();
  server = await startServer(["--today", TODAY], { of: roster });
  browser = await openBrowser(server);
  people = await browser.page.evaluate(async () => {
    const get = async (path) => (await fetch(`/api/1/${path}`, { headers: { Prefer: "wait=30" } })).json();
    const { riders } = await get("riders?all=true");
    const rides = await Promise.all(riders.map(({ id }) => get(`riders/${id}/rides?all=true`)));
    return riders.map(({ id, name }, i) => ({ id, name, rides: rides[i].rides.map((ride) => ride.id) }));
  });
});

after(async () => {
  await browser?.close();
  await server?.stop();
  rmSync(folder, { recursive: true, force: true });
});

/* Words and attributes of the whole document, what is folded away too, that show a missing number. */
function noNumbers(page) {
  return page.evaluate(() => {
    const none = /(?<![A-Za-z])[-+−]?(nan|inf|infinity|undefined|null)(?![A-Za-z])|\[object |Invalid Date/i;
    const texts = [];
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_ELEMENT | NodeFilter.SHOW_TEXT);
    for (let node = walk.nextNode(); node !== null; node = walk.nextNode()) {
      if (node.nodeType === Node.TEXT_NODE) {
        if (node.parentElement.closest("script, style") === null) {
          texts.push(node.data);
        }
      } else {
        texts.push(...[...node.attributes].map((one) => `${node.tagName} ${one.name}="${one.value}"`));
      }
    }
    return texts.filter((text) => none.test(text)).map((text) => text.trim().slice(0, 160));
  });
}

async function wrongOn(page, path, act = () => Promise.resolve()) {
  await visit(page, server, path);
  await act(page);
  await page.locator("main details").evaluateAll((all) => all.forEach((one) => { one.open = true; }));
  await settle(page);
  return [...await noNumbers(page), ...await overflowing(page)].map((line) => `${path}: ${line}`);
}

/* A session as it would be drafted: its profile, heart rate by the minute, what it would cost. */
const asked = async (page) => {
  const read = page.waitForResponse((answer) => answer.url().includes("/session-words"));
  await page.getByLabel("To be ridden").fill("15 min at 50-65 %\n5 times (4 min at 106-112 %, 4 min at 50 %)\n10 min at 45 %");
  await read;
};

test("the pages of an odd roster stand, and show no number that is none", async () => {
  const { page } = browser;
  const wrong = [];
  for (const path of ["/", "/record", "/riders"]) {
    wrong.push(...await wrongOn(page, path));
  }
  assert.deepEqual(wrong, []);
});

test("the pages of odd riders stand, and show no number that is none", async (t) => {
  const { page } = browser;
  const wrong = [];
  let pages = 0;
  for (const [i, { id, rides }] of people.entries()) {
    /* Bests and drafts of every second rider: a page takes half a second. */
    for (const path of [`/riders/${id}`, ...rides.slice(-1).map((ride) => `/rides/${ride}`), ...(i % 2 === 0 ? [`/riders/${id}/bests`] : [])]) {
      wrong.push(...await wrongOn(page, path));
      pages++;
    }
    if (i % 2 === 1) {
      wrong.push(...await wrongOn(page, `/riders/${id}/draft?week=${TODAY}&day=${TODAY}`, asked));
      pages++;
    }
  }
  assert.deepEqual(wrong, []);
  assert.ok(pages > 40, `${pages} pages`);
  t.diagnostic(`${pages} pages`);
});

test("nothing went wrong, and nothing left the machine", () => {
  assert.deepEqual(browser.wrong, []);
  assert.deepEqual(browser.outside, []);
});
