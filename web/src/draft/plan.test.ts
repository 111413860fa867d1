import { describe, expect, test } from "vitest";

import type { RiderSession, SessionStep } from "../api_types";
import { dayPlus } from "../formats";
import { cameOf, daysAsked, diaryOf, draftOf, freeDay, inTheWay, isSame, mondayOf, nameOf, pointedAt, profileOf, wattsOf, wishOf } from "./plan";

const session = (more: Partial<RiderSession>): RiderSession => ({
  number: 1, day: "2026-09-02", name: "Easy", kind: "easy", state: "drafted", words: "60 min at 50-60 %", why: null, confirmed: null, version: 1, outcome: null, outcome_text: null, ...more,
});

const day = (iso: string, more: object = {}) => ({ day: iso, minutes: 60, place: null, off: [], events: [], ...more });

const step = (more: Partial<SessionStep>): SessionStep => ({
  text: "10 min at 50 %", role: null, from_s: 0, duration_s: 600, aim: "% of threshold", low: 50, high: 50, low_w: 125, high_w: 125, low_rpm: null, high_rpm: null, words: null, ...more,
});

describe("the week", () => {
  /* ISO 8601: weeks begin on Monday; 31 August 2026 is one. */
  test.each([["2026-08-31", "2026-08-31"], ["2026-09-06", "2026-08-31"], ["2026-09-07", "2026-09-07"], ["2027-01-03", "2026-12-28"]])("the Monday of %s", (iso, monday) => {
    expect(mondayOf(iso)).toBe(monday);
  });

  test("each day has its rides and sessions, what was withdrawn last", () => {
    const week = {
      today: "2026-09-02",
      days: [day("2026-09-01"), day("2026-09-02"), day("2026-09-03")],
      sessions: [session({ number: 1, state: "withdrawn" }), session({ number: 2 })],
    };
    const lines = diaryOf(week, []);
    expect(lines.map((line) => line.ahead)).toEqual([false, true, true]);
    expect(lines[1]?.sessions.map((one) => one.number)).toEqual([2, 1]);
  });

  test("a new session begins on the first day with time and nothing on it", () => {
    const week = {
      today: "2026-09-02",
      days: [day("2026-09-01"), day("2026-09-02"), day("2026-09-03", { minutes: 0 }), day("2026-09-04", { off: ["away"] }), day("2026-09-05", { minutes: null })],
      sessions: [session({})],
    };
    expect(freeDay(diaryOf(week, []))).toBe("2026-09-05");
    expect(freeDay(diaryOf({ ...week, days: [day("2026-09-01")] }, []))).toBeNull();
  });

  test("what came back is said once its day has come, and nothing where an older answer lacks it", () => {
    expect(cameOf(session({ outcome: "missed", outcome_text: "Missed." }))).toBe("Missed.");
    expect(cameOf(session({ outcome: "not-yet", outcome_text: "Not yet." }))).toBeNull();
    expect(cameOf({} as RiderSession)).toBeNull();
  });

  /* 2 September 2026 is a Wednesday: five days of its week are left, twelve until the end of the next. */
  test.each([["2026-08-24", null], ["2026-08-31", 5], ["2026-09-07", 12], ["2026-09-14", 14], ["2026-09-21", null]])("days that are asked for in the week of %s", (monday, days) => {
    expect(daysAsked("2026-09-02", monday, mondayOf(dayPlus(monday, 7)))).toBe(days);
  });
});

describe("the form", () => {
  test("untouched is the same, whatever blanks and the order of names", () => {
    const draft = draftOf(session({ confirmed: "safe_hard_gap_h hard_days_week" }));
    expect(isSame(draft, { ...draft, words: `${draft.words}\n`, knowingly: ["hard_days_week", "safe_hard_gap_h"] })).toBe(true);
    expect(isSame(draft, { ...draft, knowingly: [] })).toBe(false);
  });

  test("only limits that are broken are named, and refusals stand in the way whatever is ticked", () => {
    const gap = { name: "safe_hard_gap_h", refused: false, text: "x" };
    const ill = { name: "ill", refused: true, text: "y" };
    const draft = { ...draftOf(session({})), knowingly: ["safe_hard_gap_h", "ill", "old"] };
    expect(wishOf(draft, [gap])["knowingly"]).toEqual(["safe_hard_gap_h"]);
    expect(inTheWay(draft, [gap])).toEqual([]);
    expect(inTheWay({ knowingly: [] }, [gap])).toEqual([gap]);
    expect(inTheWay(draft, [gap, ill])).toEqual([ill]);
  });

  test("without a name it is called by its first words", () => {
    expect(nameOf({ name: " ", words: "60 min at 50 %\nnote: drink" })).toBe("60 min at 50 %");
    expect(nameOf({ name: "Mill hills", words: "60 min at 50 %" })).toBe("Mill hills");
  });

  test("a fault is pointed at by letters, not by bytes", () => {
    expect(pointedAt("10 min\n“é” 15 mn at 50 %", { line: 2, column: 8, letters: 2 })).toEqual(["“é” 15 ", "mn", " at 50 %"]);
    expect(pointedAt("10", { line: 1, column: 3, letters: 1 })).toEqual(["10", "", ""]);
  });
});

describe("the profile", () => {
  test("parts follow one another; what ends with the button has some room", () => {
    const profile = profileOf([step({}), step({ duration_s: 0, from_s: 600 }), step({ duration_s: 300, low_w: 265, high_w: 280 })], 250);
    expect(profile.unit).toBe("W");
    expect(profile.parts.map((part) => [part.from_s, part.to_s])).toEqual([[0, 600], [600, 660], [660, 960]]);
    expect(profile.top).toBeGreaterThan(280);
  });

  test("without a threshold it is drawn in %, and what has no range is open", () => {
    const none = { low_w: null, high_w: null };
    const profile = profileOf([step(none), step({ ...none, aim: "all out", low: null, high: null })], null);
    expect(profile.unit).toBe("%");
    expect(profile.parts.map((part) => [part.high > 0, part.open])).toEqual([[true, false], [true, true]]);
  });
});

test("a range of watts, one figure, or a dash", () => {
  expect([wattsOf({ low_w: 265, high_w: 280 }), wattsOf({ low_w: 125, high_w: 125 }), wattsOf({ low_w: null, high_w: 1 })]).toEqual(["265–280", "125", "–"]);
});
