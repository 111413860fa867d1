import { describe, expect, test } from "vitest";

import type { RidersRow } from "./api_types";
import { arranged, matches } from "./riders";

function row(id: number, name: string, change: Partial<RidersRow> = {}): RidersRow {
  return {
    id, name, coached: true, since: null, threshold: null, marks: [], last_ride: null, next_session: null,
    rides_being_read_again: 0, ...change,
  };
}

const names = (rows: readonly RidersRow[]): string[] => rows.map((one) => one.name);

describe("riders", () => {
  test("typing finds beginnings of words, without accents and capitals", () => {
    expect(matches("Zoë Ångström-Lindqvist", "zoe")).toBe(true);
    expect(matches("Zoë Ångström-Lindqvist", "lind ZO")).toBe(true);
    expect(matches("Zoë Ångström-Lindqvist", "ström")).toBe(false);
    expect(matches("Zoë Ångström-Lindqvist", "  ")).toBe(true);
  });

  test("what isn't known comes last, up and down", () => {
    const rows = [
      row(1, "Aldo"),
      row(2, "Bea", { last_ride: { ride: 1, day: "2026-08-30", minutes: 60, words: "yesterday" } }),
      row(3, "Cas", { last_ride: { ride: 2, day: "2026-08-01", minutes: 60, words: "1 August" } }),
    ];
    expect(names(arranged(rows, "", { by: "last", down: false }))).toEqual(["Cas", "Bea", "Aldo"]);
    expect(names(arranged(rows, "", { by: "last", down: true }))).toEqual(["Bea", "Cas", "Aldo"]);
  });

  test("by the next session: who has none comes last", () => {
    const next = (day: string) => ({ next_session: { number: 1, day, name: "Easy", state: "given" as const } });
    const rows = [row(1, "Aldo"), row(2, "Bea", next("2026-09-03")), row(3, "Cas", next("2026-09-01"))];
    expect(names(arranged(rows, "", { by: "next", down: false }))).toEqual(["Cas", "Bea", "Aldo"]);
  });

  test("by a question: who needs a look first comes first", () => {
    const mark = (answer: "yes" | "no" | "on the line" | "cannot tell"): RidersRow["marks"] => [
      { question: "base state", heading: "Is the base built?", verdict: "v", answer, verdict_words: "v" },
    ];
    const rows = [row(1, "A", { marks: mark("yes") }), row(2, "B", { marks: mark("no") }),
      row(3, "C", { marks: mark("cannot tell") }), row(4, "D", { marks: mark("on the line") }), row(5, "E")];
    expect(names(arranged(rows, "", { by: "base state", down: false }))).toEqual(["B", "D", "C", "A", "E"]);
  });

  test("two hundred of one name keep one order", () => {
    const rows = Array.from({ length: 200 }, (_, i) => row(200 - i, "Same"));
    expect(arranged(rows, "", { by: "name", down: false }).map((one) => one.id)).toEqual(
      Array.from({ length: 200 }, (_, i) => i + 1),
    );
  });
});
