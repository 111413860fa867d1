import fc from "fast-check";
import { expect, test } from "vitest";

import type { Series } from "./answer";
import { binnedColumns, extremes, meanOver, singleColumns, valueAt } from "./columns";

function series(values: readonly number[], from_s = 0): Series {
  const array = Float64Array.from(values);
  return { name: "power_w", unit: "W", from_s, step_s: 1, mean: array, low: array, high: array };
}

const seconds = fc.array(fc.option(fc.integer({ min: 0, max: 500 }), { nil: NaN, freq: 4 }), { minLength: 1, maxLength: 300 });

test("bins hold what a slow reading of each second says", () => {
  fc.assert(
    fc.property(seconds, fc.integer({ min: 1, max: 60 }), fc.integer({ min: 0, max: 40 }), (values, bins, from_s) => {
      const view = { from_s, to_s: from_s + values.length };
      const columns = binnedColumns(series(values, from_s), view, bins);
      if (values.length / bins <= 1) {
        expect([...columns.mean]).toEqual(values);
        return;
      }
      columns.at.forEach((at, k) => {
        const own = values.filter((value, i) =>
          !Number.isNaN(value) && Math.floor((i + 0.5) / (values.length / bins)) === k);
        expect(at).toBeCloseTo(from_s + (k + 0.5) * (values.length / bins));
        expect(columns.low[k]).toBe(own.length === 0 ? NaN : Math.min(...own));
        expect(columns.high[k]).toBe(own.length === 0 ? NaN : Math.max(...own));
        if (own.length > 0) {
          expect(columns.mean[k]).toBeCloseTo(own.reduce((a, b) => a + b, 0) / own.length);
        }
      });
    }),
  );
});

test("no spike is lost, however coarse the bins", () => {
  const values = Array.from({ length: 18000 }, () => 200);
  values[12345] = 1400;
  const columns = binnedColumns(series(values), { from_s: 0, to_s: 18000 }, 700);
  expect(Math.max(...columns.high)).toBe(1400);
});

test("a view shows its own seconds and no others", () => {
  const all = series([1, 2, 3, 4, 5], 10);
  expect([...singleColumns(all, { from_s: 11, to_s: 13 }).mean]).toEqual([2, 3]);
  expect([...singleColumns(all, { from_s: 11, to_s: 13 }).at]).toEqual([11.5, 12.5]);
  expect(singleColumns(all, { from_s: 40, to_s: 50 }).at.length).toBe(0);
  expect(extremes(all, { from_s: 12, to_s: 14 })).toEqual([3, 4]);
  expect(extremes(series([NaN]), { from_s: 0, to_s: 1 })).toBeNull();
  expect(meanOver(all, { from_s: 10, to_s: 15 })).toBe(3);
  expect(meanOver(all, { from_s: 0, to_s: 10 })).toBeNaN();
  expect(valueAt(all, 14.9)).toBe(5);
  expect(valueAt(all, 15)).toBeNaN();
});
