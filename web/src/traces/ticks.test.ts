import fc from "fast-check";
import { expect, test } from "vitest";

import { clockLabel, clockTicks, lasting, numberTicks } from "./ticks";

test("numbers stand on 1, 2 or 5 times a power of ten, as many as fit", () => {
  expect(numberTicks(0, 345, 5)).toEqual([0, 100, 200, 300]);
  expect(numberTicks(98, 186, 5)).toEqual([100, 120, 140, 160, 180]);
  expect(numberTicks(-0.4, 0.4, 5)).toEqual([-0.4, -0.2, 0, 0.2, 0.4]);
  fc.assert(
    fc.property(fc.double({ min: -1e4, max: 1e4, noNaN: true }), fc.double({ min: 0.01, max: 1e4, noNaN: true }),
                fc.integer({ min: 2, max: 12 }), (low, wide, most) => {
      const ticks = numberTicks(low, low + wide, most);
      expect(ticks.length).toBeLessThanOrEqual(most);
      for (const tick of ticks) {
        expect(tick).toBeGreaterThanOrEqual(low - 1e-6 * wide);
        expect(tick).toBeLessThanOrEqual(low + wide + 1e-6 * wide);
      }
    }),
  );
});

test("times stand on steps that a clock has", () => {
  expect(clockTicks(0, 2160, 8)).toEqual({ step_s: 300, at: [0, 300, 600, 900, 1200, 1500, 1800, 2100] });
  expect(clockTicks(0, 18000, 6)).toEqual({ step_s: 3600, at: [0, 3600, 7200, 10800, 14400, 18000] });
  expect(clockTicks(900, 960, 7).step_s).toBe(10);
});

test("labels of times say their unit", () => {
  expect(clockLabel(600, 300)).toBe("10 min");
  expect(clockLabel(4200, 600)).toBe("1 h 10");
  expect(clockLabel(7200, 3600)).toBe("2 h");
  expect(clockLabel(30, 10)).toBe("30 s");
  expect(clockLabel(90, 30)).toBe("1 min 30");
  expect(clockLabel(3690, 30)).toBe("1:01:30");
});

test("a length of time in words", () => {
  expect(lasting(5)).toBe("5 s");
  expect(lasting(412)).toBe("6 min 52 s");
  expect(lasting(3600)).toBe("1 h");
  expect(lasting(3900)).toBe("1 h 5 min");
  expect(lasting(0)).toBe("0 s");
});
