import { describe, expect, test } from "vitest";

import type { Who, WhoItem } from "./api_types";
import { placeOfAct, sectionsOf } from "./who";

function item(rider: number, group: WhoItem["group"], first: boolean, code = "x"): WhoItem {
  return {
    rider, name: `Rider ${rider}`, group, code, text: "Because.", act: "read-ride", act_words: "Read the ride", ride: 7,
    numbers: {}, first, again: false, mark: null, mark_line: null, last_ride: null, gauge: null, gauge_words: null,
    version: 7,
  };
}

const GROUPS: Who["groups"] = (
  ["look now", "decide this week", "needs a plan", "good news to pass on", "waiting for an answer", "not heard from", "away"] as const
).map((group) => ({ group, heading: group, riders: 0 }));

describe("who first", () => {
  test("a person stands once, with what else there is under the first situation", () => {
    const sections = sectionsOf({
      groups: GROUPS,
      items: [item(1, "look now", true, "a"), item(2, "decide this week", true, "b"), item(1, "good news to pass on", false, "c")],
    });
    expect(sections.map((one) => one.group)).toEqual(["look now", "decide this week"]);
    expect(sections[0]?.people[0]?.also.map((one) => one.code)).toEqual(["c"]);
  });

  test("the order is the server's, group by group and within", () => {
    const sections = sectionsOf({
      groups: GROUPS,
      items: [item(3, "decide this week", true), item(1, "decide this week", true), item(2, "away", true)],
    });
    expect(sections.map((one) => one.people.map((person) => person.item.rider))).toEqual([[3, 1], [2]]);
    expect(sections.map((one) => one.open)).toEqual([true, false]);
  });

  test("if nothing presses, the first group lies open", () => {
    const sections = sectionsOf({ groups: GROUPS, items: [item(1, "good news to pass on", true), item(2, "away", true)] });
    expect(sections.map((one) => one.open)).toEqual([true, false]);
  });

  test("an act leads somewhere or is done on the spot", () => {
    const base = item(4, "look now", true);
    expect(placeOfAct(base)).toBe("/rides/7");
    expect(placeOfAct({ ...base, ride: null })).toBe("/riders/4");
    expect(placeOfAct({ ...base, act: "ask-how" })).toBeNull();
    expect(placeOfAct({ ...base, act: "give-test" })).toBe("/riders/4/draft");
    expect(placeOfAct({ ...base, act: "cap-easy-rides" })).toBe("/riders/4#work");
  });
});
