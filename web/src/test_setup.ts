/* No test reaches for the network: a call that isn't stubbed fails at once. */
import { afterEach, beforeEach, vi } from "vitest";
import { render } from "preact";

beforeEach(() => {
  vi.stubGlobal("fetch", vi.fn(() => Promise.reject(new TypeError("no network in tests"))));
});

afterEach(() => {
  render(null, document.body);
  document.body.replaceChildren();
  vi.unstubAllGlobals();
});
