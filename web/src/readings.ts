/* What a reading says, taken apart for showing: nothing here makes a sentence, it only finds the
 * sentences that the server sent. */
import type { SceneData } from "./parts/scene";

export interface Cause {
  readonly code: string;
  readonly numbers: Readonly<Record<string, number | null>>;
  readonly text: string;
}

export interface Reading {
  readonly question: string;
  readonly verdict: string;
  readonly estimate: number | null;
  readonly low: number | null;
  readonly high: number | null;
  readonly unit: string | null;
  readonly limit: { readonly value: number | null; readonly source: string } | null;
  readonly because: readonly Cause[];
  readonly cannot_because: readonly Cause[];
  readonly settle_by: readonly Cause[];
  readonly spans: readonly (readonly number[])[];
  readonly basis: {
    readonly method: string;
    readonly threshold_w: number | null;
    readonly threshold_known_by: string | null;
    readonly limits: Readonly<Record<string, number | null>>;
    readonly intent: string | null;
  };
  readonly text: string;
  readonly gauge?: SceneData | null;
}

export interface Said {
  readonly lead: string; /* the verdict, in its own sentence */
  readonly first: string | null; /* what says it best, beside the lead */
  readonly because: readonly string[]; /* the rest of the reasons */
  readonly settle: readonly string[]; /* what would settle it, or what to do next time */
}

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

/* The server's one text, and the same sentences by what they are for.  If they can't be told apart
 * the text stands whole. */
export function saidBy(reading: Pick<Reading, "text" | "because" | "cannot_because" | "settle_by">): Said {
  const reasons = [...reading.cannot_because, ...reading.because].map((cause) => cause.text);
  const settle = reading.settle_by.map((cause) => cause.text);
  const lead = without(reading.text, [...reasons, ...settle]);
  if (lead === "") {
    return { lead: reading.text, first: null, because: [], settle: [] };
  }
  // What the text leaves out of the reasons is still a reason.
  return { lead, first: reasons[0] ?? null, because: reasons.slice(1), settle };
}
