import { describe, expect, test } from "vitest";

import { entryKinds, movedBy, valuesOf, wish, wrongIn } from "./entries";
import { weekForm, weekWish } from "./parts/availability";

const TODAY = "2026-08-31";

describe("entries", () => {
  test("what stands in a form goes back as it came", () => {
    const said = {
      day: "2026-08-30", effort_0_10: 7.5, legs_1_5: 2, sleep_1_5: null, stress_1_5: null,
      soreness_1_5: 4, sleep_h: 6, fan: false, temperature_c: null, drink_l: 0.5, caffeine: "more", words: "slept badly",
    };
    // What isn't ticked isn't said: the answer has no third way for these.
    const note = { ...said, id: 4, ride: null, version: 2, text: "x", hot: true, dehydrated: false, ill: false,
      hard_day_before: true };
    const sent = { ...said, hot: true, dehydrated: null, ill: null, hard_day_before: true };
    const { fields } = entryKinds.notes;
    expect(wish(fields, valuesOf(fields, note, TODAY), false)).toEqual(sent);
  });

  test("the day of a fact stays: it is not sent again", () => {
    const { fields } = entryKinds.thresholds;
    const fact = { number: 1, from: "2026-08-06", value: 244, unit: "W", low: 232, high: 256, meter: null,
      known_by: "20-minute test", note: null };
    expect(wish(fields, valuesOf(fields, fact, TODAY), false)).toEqual({
      value: 244, low: 232, high: 256, known_by: "20-minute test", meter: null, note: null,
    });
  });

  test("a new entry begins today, and an empty day means today", () => {
    const { fields } = entryKinds.contacts;
    const values = valuesOf(fields, null, TODAY);
    expect(values["day"]).toBe(TODAY);
    expect(wish(fields, { ...values, words: "How the summer went.", day: "" }, true)).toEqual({
      words: "How the summer went.", how: null,
    });
  });

  test("a comma is a point, nothing is null and never 0", () => {
    const { fields } = entryKinds.weights;
    expect(wish(fields, { value: "62,4", from: TODAY, note: "" }, true)).toEqual({ value: 62.4, from: TODAY, note: null });
    expect(wish(entryKinds.notes.fields, { effort_0_10: " " }, true)["effort_0_10"]).toBeNull();
  });

  test("questions answered yes go as a list", () => {
    const { fields } = entryKinds.screenings;
    expect(wish(fields, { yes: "fainting medicine", day: TODAY }, true)["yes"]).toEqual(["fainting", "medicine"]);
    expect(wish(fields, { yes: "", day: TODAY }, true)["yes"]).toEqual([]);
  });

  test("what is wrong is said before it is sent", () => {
    const { fields } = entryKinds.thresholds;
    expect(Object.keys(wrongIn(fields, { value: "", from: "" }))).toEqual(["value", "from"]);
    expect(Object.keys(wrongIn(fields, { value: "two", from: "2026-02-30" }))).toEqual(["value", "from"]);
    expect(wrongIn(entryKinds.notes.fields, { effort_0_10: "11" })["effort_0_10"]).toBe("From 0 to 10.");
    expect(wrongIn(fields, { value: "244", from: TODAY })).toEqual({});
  });

  test("a week goes into its form and back", () => {
    const available = { from: "2026-01-01", version: 1, text: "x", days: [
      { weekday: 2, minutes: 60, place: "indoors" as const }, { weekday: 7, minutes: 180, place: "either" as const },
    ] };
    expect(weekWish(weekForm(available))).toEqual(available.days);
    expect(weekWish(weekForm(null))).toEqual([]);
  });

  test("a week with half a minute, or longer than a day, is refused", () => {
    expect(weekWish([{ minutes: "30.5", place: "either" }])).toBeNull();
    expect(weekWish([{ minutes: "1441", place: "either" }])).toBeNull();
  });
});

describe("movedBy", () => {
  const fields = entryKinds.thresholds.fields;
  const begun = { value: "240", low: "228", high: "252" };

  test("a likely range moves with its threshold, as wide in proportion", () => {
    expect(movedBy(fields, begun, { ...begun, value: "200" }, "value", new Set())).toEqual({ value: "200", low: "190", high: "210" });
  });

  test("what was set by hand stays, and so does all while there is no number", () => {
    const set = { ...begun, value: "200", low: "180" };
    expect(movedBy(fields, begun, set, "value", new Set(["low"]))).toEqual({ ...set, high: "210" });
    expect(movedBy(fields, begun, { ...begun, value: "" }, "value", new Set())).toEqual({ ...begun, value: "" });
    expect(movedBy(fields, { value: "", low: "", high: "" }, { value: "200", low: "", high: "" }, "value", new Set())["low"]).toBe("");
  });
});
