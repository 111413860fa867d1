/* What the page weighs, as a browser with an empty cache fetches it. */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { gzipSync } from "node:zlib";

import { openBrowser, visit } from "./browser.mjs";
import { findPlaces, screensOf } from "./screens.mjs";
import { startServer } from "./server.mjs";

const MOST_BYTES = 90_000;

let server;
let browser;

before(async () => {
  server = await startServer();
  browser = await openBrowser(server);
});

after(async () => {
  await browser?.close();
  await server?.stop();
});

test("all of its script, every screen's, is at most 90 kB after gzip", async () => {
  const { page } = browser;
  const scripts = new Map();
  page.on("response", (response) => {
    if (new URL(response.url()).pathname.endsWith(".js")) {
      scripts.set(response.url(), response.body());
    }
  });
  for (const screen of screensOf(await findPlaces(page))) {
    await visit(page, server, screen.path);
  }
  let sum = 0;
  for (const body of scripts.values()) {
    sum += gzipSync(await body, { level: 9 }).length;
  }
  assert.ok(scripts.size > 0);
  assert.ok(sum <= MOST_BYTES, `${sum} bytes`);
});
