import { describe, expect, test } from "vitest";

import type { AnswerKind } from "./api_types";
import { saidBy, shapeOf } from "./readings";

const cause = (text: string) => ({ code: "x", numbers: {}, text });

describe("readings", () => {
  test("every answer has a shape of its own", () => {
    const kinds: AnswerKind[] = ["yes", "no", "on the line", "cannot tell"];
    expect(new Set(kinds.map(shapeOf)).size).toBe(4);
  });

  test("each sentence of the server stands exactly once", () => {
    const reading = {
      text: "Much as usual. Effort 5.0 of 10. 4.5 h in the last 7 days. Ride on.",
      lead: "Much as usual.",
      because: [cause("Effort 5.0 of 10."), cause("4.5 h in the last 7 days.")],
      cannot_because: [],
      settle_by: [cause("Ride on.")],
    };
    expect(saidBy(reading)).toEqual({
      lead: "Much as usual.",
      first: "Effort 5.0 of 10.",
      because: ["4.5 h in the last 7 days."],
      settle: ["Ride on."],
    });
  });

  test("what is neither verdict nor reason stays beside the verdict", () => {
    const said = saidBy({
      text: "Started too hard. The last third fell short.",
      lead: "Started too hard.",
      because: [],
      cannot_because: [],
      settle_by: [],
    });
    expect(said).toEqual({ lead: "Started too hard.", first: "The last third fell short.", because: [], settle: [] });
  });

  test("without a lead the verdict is what no reason says", () => {
    const said = saidBy({
      text: "Can't tell. Caffeine out of habit.",
      lead: null,
      because: [],
      cannot_because: [cause("Caffeine out of habit.")],
      settle_by: [],
    });
    expect(said.lead).toBe("Can't tell.");
    expect(said.first).toBe("Caffeine out of habit.");
  });

  test("a text that can't be parted stands whole", () => {
    const said = saidBy({ text: "All of it.", because: [cause("All of it.")], cannot_because: [], settle_by: [] });
    expect(said).toEqual({ lead: "All of it.", first: null, because: [], settle: [] });
  });
});
