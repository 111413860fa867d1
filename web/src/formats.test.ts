import fc from "fast-check";
import { describe, expect, test } from "vitest";

import { bytes, clock, count, day, dayOf, dayPlus, daysAway, daysBetween, duration, likelyRange, monthYear, nearDay, number,
  quantity, shortDay, weekdayDay, withDays } from "./formats";

describe("formats", () => {
  test("a number has no idle digits and a true minus", () => {
    expect(number(246)).toBe("246");
    expect(number(3.1)).toBe("3.1");
    expect(number(3.104, 1)).toBe("3.1");
    expect(number(-2.5)).toBe("−2.5");
    expect(number(-0.001, 0)).toBe("0");
    expect(number(1371)).toBe("1,371");
    expect(number(1234567.1234, 4)).toBe("1,234,567.1234");
    expect(number(-1000)).toBe("−1,000");
  });

  test("a unit never leaves its number", () => {
    expect(quantity(246.4, "W")).toBe("246\u00a0W");
    expect(quantity(62.25, "kg", 1)).toBe("62.3\u00a0kg");
  });

  test("a range that isn't known says nothing", () => {
    expect(likelyRange(231, 261)).toBe("likely 231–261");
    expect(likelyRange(null, 261)).toBeNull();
    expect(likelyRange(231, undefined)).toBeNull();
  });

  test("one is one", () => {
    expect(count(1, "rider")).toBe("1 rider");
    expect(count(0, "rider")).toBe("0 riders");
    expect(count(3, "day of rest", "days of rest")).toBe("3 days of rest");
  });

  // The calendar by the language's own, as an outside.
  test("days are written as the browser's British calendar has them", () => {
    const long = new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "long", year: "numeric", timeZone: "UTC" });
    const weekday = new Intl.DateTimeFormat("en-GB", { weekday: "long", timeZone: "UTC" });
    fc.assert(
      fc.property(fc.integer({ min: -20_000, max: 40_000 }), (days) => {
        const date = new Date(days * 86_400_000);
        const iso = date.toISOString().slice(0, 10);
        fc.pre(/^\d{4}-/.test(iso));
        expect(day(iso)).toBe(long.format(date));
        expect(weekdayDay(iso)).toBe(`${weekday.format(date)} ${long.format(date)}`);
      }),
    );
  });

  test("the year of today is left out", () => {
    expect(day("2026-11-09", "2026-11-25")).toBe("9 November");
    expect(day("2025-11-09", "2026-11-25")).toBe("9 November 2025");
    expect(shortDay("2026-11-09", "2026-11-25")).toBe("9 Nov");
  });

  test("days within words", () => {
    expect(withDays("62.2 kg since 2026-07-20, not 2026-13-01", "2026-08-31")).toBe("62.2 kg since 20 Jul, not 2026-13-01");
    expect(monthYear("2025-12-01")).toBe("Dec 2025");
  });

  test("what is no day is shown as it came", () => {
    expect(dayOf("2026-02-30")).toBeNull();
    expect(dayOf("2026-2-3")).toBeNull();
    expect(day("soon")).toBe("soon");
    expect(daysBetween("soon", "2026-01-01")).toBeNull();
  });

  test("a day is counted and taken back", () => {
    fc.assert(
      fc.property(fc.integer({ min: -3000, max: 3000 }), (days) => {
        expect(daysBetween("2026-03-01", dayPlus("2026-03-01", days))).toBe(days);
      }),
    );
  });

  test("near days have names", () => {
    expect(nearDay("2026-11-25", "2026-11-25")).toBe("today");
    expect(nearDay("2026-11-24", "2026-11-25")).toBe("yesterday");
    expect(nearDay("2026-11-21", "2026-11-25")).toBe("Saturday");
    expect(nearDay("2026-11-17", "2026-11-25")).toBe("17 November");
    expect(nearDay("2026-11-26", "2026-11-25")).toBe("tomorrow");
  });

  test("days ahead and behind", () => {
    expect(daysAway("2026-12-01", "2026-11-25")).toBe("in 6 days");
    expect(daysAway("2026-11-24", "2026-11-25")).toBe("1 day ago");
    expect(daysAway("2026-11-25", "2026-11-25")).toBe("today");
  });

  test("spans of time", () => {
    expect(duration(2160)).toBe("36\u00a0min");
    expect(duration(3600)).toBe("1\u00a0h");
    expect(duration(15_000)).toBe("4\u00a0h 10\u00a0min");
    expect(clock(240)).toBe("4:00");
    expect(clock(3750)).toBe("1:02:30");
  });

  test("sizes of files", () => {
    expect(bytes(4200)).toBe("4\u00a0kB");
    expect(bytes(3_400_000)).toBe("3.4\u00a0MB");
  });
});
