/* What a reading says, taken apart for showing: nothing here makes a sentence, it only parts the
 * sentences that the server sent. */
import type { AnswerKind, Reading } from "./api_types";
import type { MarkShape } from "./parts/mark";

const SHAPES: Readonly<Record<AnswerKind, MarkShape>> = {
  yes: "full",
  no: "hollow",
  "on the line": "half",
  "cannot tell": "dotted",
};

/* The drop that stands beside an answer. */
export function shapeOf(answer: AnswerKind): MarkShape {
  return SHAPES[answer];
}

export interface Said {
  readonly lead: string; /* the verdict, in its own sentence */
  readonly first: string | null; /* the reason that says it best, beside it */
  readonly because: readonly string[]; /* the rest of the reasons */
  readonly settle: readonly string[]; /* what would settle it, or what to do next time */
}

type Told = Pick<Reading, "text" | "because" | "cannot_because" | "settle_by"> & {
  readonly lead?: string | null | undefined;
};

function without(text: string, parts: readonly string[]): string {
  let rest = text;
  for (const part of parts) {
    const at = part === "" ? -1 : rest.indexOf(part);
    if (at >= 0) {
      rest = `${rest.slice(0, at)} ${rest.slice(at + part.length)}`;
    }
  }
  return rest.replace(/\s+/g, " ").trim();
}

/* The sentences of a reading by what they are for: its verdict, its reasons, what would settle it.
 * Every sentence of the server stands exactly once; if they can't be told apart the text stands
 * whole. */
export function saidBy(reading: Told): Said {
  const reasons = [...reading.cannot_because, ...reading.because].map((cause) => cause.text);
  const settle = reading.settle_by.map((cause) => cause.text);
  const lead = reading.lead ?? "";
  const rest = without(reading.text, [lead, ...reasons, ...settle]);
  if (lead === "" && rest === "") {
    return { lead: reading.text, first: null, because: [], settle: [] };
  }
  if (lead === "") {
    return { lead: rest, first: reasons[0] ?? null, because: reasons.slice(1), settle };
  }
  // What is in the text beside verdict and reasons belongs to the verdict.
  const first = [rest, reasons[0] ?? ""].filter((part) => part !== "").join(" ");
  return { lead, first: first === "" ? null : first, because: reasons.slice(1), settle };
}
