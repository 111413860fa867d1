import fc from "fast-check";
import { expect, test } from "vitest";

import { labelsThatFit, lanesOf, ridden } from "./spans";

const bracket = fc.record({ from_s: fc.integer({ min: 0, max: 900 }), long: fc.integer({ min: 1, max: 300 }) })
  .map(({ from_s, long }) => ({ from_s, to_s: from_s + long, words: "1" }));

test("brackets of one lane never cover each other", () => {
  fc.assert(
    fc.property(fc.array(bracket, { maxLength: 30 }), (brackets) => {
      const laned = lanesOf(brackets, { from_s: 0, to_s: 2000 });
      expect(laned.length).toBe(brackets.length);
      for (const a of laned) {
        for (const b of laned) {
          expect(a === b || a.lane !== b.lane || a.to_s <= b.from_s || b.to_s <= a.from_s).toBe(true);
        }
      }
    }),
  );
});

test("what lies outside the view is not shown", () => {
  const brackets = [{ from_s: 0, to_s: 10, words: "1" }, { from_s: 10, to_s: 20, words: "2" }];
  expect(lanesOf(brackets, { from_s: 10, to_s: 30 }).map((one) => one.words)).toEqual(["2"]);
});

test("labels: the first and the last stay, none lies on another", () => {
  expect(labelsThatFit([0, 10, 20, 30].map((middle) => ({ middle, width: 12 })), 2)).toEqual([true, false, false, true]);
  expect(labelsThatFit([0, 40, 80].map((middle) => ({ middle, width: 12 })), 2)).toEqual([true, true, true]);
  expect(labelsThatFit([], 2)).toEqual([]);
});

test("the line of time breaks where the ride stood", () => {
  expect(ridden({ from_s: 0, to_s: 100 }, [{ from_s: 20, to_s: 30 }, { from_s: 90, to_s: 200 }])).toEqual([
    { from_s: 0, to_s: 20 },
    { from_s: 30, to_s: 90 },
  ]);
});
