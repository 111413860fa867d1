/* No test reaches for the network: a call that isn't stubbed fails at once. */
import { render } from "preact";
import { afterEach, beforeEach, vi } from "vitest";

const hasPage = typeof document !== "undefined";

beforeEach(() => {
  vi.stubGlobal("fetch", vi.fn(() => Promise.reject(new TypeError("no network in tests"))));
});

afterEach(() => {
  if (hasPage) {
    render(null, document.body);
    document.body.replaceChildren();
  }
  vi.unstubAllGlobals();
});
