import { describe, expect, test } from "vitest";

import type { NextProposal, RiderSession } from "../api_types";
import { dayPlus } from "../formats";
import { cameOf, daysAsked, diaryOf, draftOf, freeDay, inTheWay, isPast, isSame, mondayOf, moveLine, nameOf, pointedAt, togetherOf, wattsOf, wishOf } from "./plan";

const session = (more: Partial<RiderSession>): RiderSession => ({
  number: 1, day: "2026-09-02", name: "Easy", kind: "easy", state: "drafted", words: "60 min at 50-60 %", why: null, confirmed: null, version: 1, brief: "1 h", outcome: null, outcome_text: null, ...more,
});

const day = (iso: string, more: object = {}) => ({ day: iso, minutes: 60, place: null, off: [], events: [], ...more });

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
    expect(nameOf({ name: "", words: "15 min at 50-65 %, then 5 times (4 min at 106-112 %, 4 min at 50 %)" }))
      .toBe("15 min at 50-65 %, then 5 times (4 min at 106-112 %, 4 min …");
    expect(nameOf({ name: "Mill hills", words: "60 min at 50 %" })).toBe("Mill hills");
  });

  test("a fault is pointed at by letters, not by bytes", () => {
    expect(pointedAt("10 min\n“é” 15 mn at 50 %", { line: 2, column: 8, letters: 2 })).toEqual(["“é” 15 ", "mn", " at 50 %"]);
    expect(pointedAt("10", { line: 1, column: 3, letters: 1 })).toEqual(["10", "", ""]);
  });
});

describe("lines", () => {
  const words = "warm up 15 min\n4 times (4 min)\ncool down 10 min";

  test("the line at the caret goes up or down, and the caret with it", () => {
    expect(moveLine(words, 20, -1)).toEqual({ words: "4 times (4 min)\nwarm up 15 min\ncool down 10 min", caret: 5 });
    expect(moveLine(words, 20, 1)).toEqual({ words: "warm up 15 min\ncool down 10 min\n4 times (4 min)", caret: 37 });
  });

  test("the first doesn't go up, the last not down", () => {
    expect(moveLine(words, 3, -1)).toEqual({ words, caret: 3 });
    expect(moveLine(words, words.length, 1)).toEqual({ words, caret: words.length });
  });
});

test("what was ridden, or whose day is over, is past", () => {
  expect(isPast({ day: "2026-09-02", state: "given" }, "2026-09-02")).toBe(false);
  expect(isPast({ day: "2026-09-02", state: "done" }, "2026-09-02")).toBe(true);
  expect(isPast({ day: "2026-09-01", state: "drafted" }, "2026-09-02")).toBe(true);
});

test("proposals that say the same of several days stand together", () => {
  const proposal = (number: number, on: string, why: string) => ({ number, day: on, why }) as unknown as NextProposal;
  const [a, b, c] = [proposal(1, "2026-09-08", "base"), proposal(2, "2026-09-09", "other"), proposal(3, "2026-09-10", "base")];
  expect(togetherOf([a, b, c])).toEqual([[a, c], [b]]);
});

test("a range of watts, one figure, or a dash", () => {
  expect([wattsOf({ low_w: 265, high_w: 280 }), wattsOf({ low_w: 125, high_w: 125 }), wattsOf({ low_w: null, high_w: 1 })]).toEqual(["265–280", "125", "–"]);
});
