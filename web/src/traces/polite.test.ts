import { afterEach, expect, test, vi } from "vitest";

import { beginPolite } from "./polite";

afterEach(() => {
  vi.useRealTimers();
});

test("at most once a second, and the last word is said", () => {
  vi.useFakeTimers();
  const told: string[] = [];
  const polite = beginPolite((words) => told.push(words));
  for (let i = 0; i < 20; i++) {
    polite.say(String(i));
    vi.advanceTimersByTime(100);
  }
  vi.advanceTimersByTime(2000);
  expect(told.length).toBeLessThanOrEqual(4);
  expect(told[0]).toBe("0");
  expect(told.at(-1)).toBe("19");
  polite.end();
});
