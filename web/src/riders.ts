/* The table of riders: found by typing, sorted by a column. */
import type { AnswerKind, RidersRow } from "./api_types";

export type RidersSort = "name" | "since" | "threshold" | "last" | "next" | RidersRow["marks"][number]["question"];

export interface RidersOrder {
  readonly by: RidersSort;
  readonly down: boolean;
}

/* Letters without their accents, small: "Zoë" is found by "zoe". */
export function folded(text: string): string {
  return text.normalize("NFD").replace(/\p{M}/gu, "").toLocaleLowerCase("en-GB");
}

/* Every word typed begins a word of the name. */
export function matches(name: string, typed: string): boolean {
  const words = folded(name).split(/[\s'’-]+/);
  return folded(typed)
    .split(/\s+/)
    .filter((part) => part !== "")
    .every((part) => words.some((word) => word.startsWith(part)));
}

/* What needs a look first: no, on the line, cannot tell, yes. */
const NEED: Readonly<Record<AnswerKind, number>> = { no: 0, "on the line": 1, "cannot tell": 2, yes: 3 };

function compare(a: string | number | null, b: string | number | null): number {
  if (a === null || b === null) {
    return a === b ? 0 : a === null ? 1 : -1; // what isn't known comes last, both ways
  }
  return typeof a === "string" && typeof b === "string" ? a.localeCompare(b, "en-GB") : Number(a) - Number(b);
}

function valueOf(row: RidersRow, by: RidersSort): string | number | null {
  switch (by) {
    case "name":
      return row.name;
    case "since":
      return row.since;
    case "threshold":
      return row.threshold?.value ?? null;
    case "last":
      return row.last_ride?.day ?? null;
    case "next":
      return row.next_session?.day ?? null;
    case "how":
    case "base state":
    case "easy weeks":
    case "hard work":
    case "progress": {
      const mark = row.marks.find((one) => one.question === by);
      return mark === undefined ? null : NEED[mark.answer];
    }
  }
}

/* Same value: by name, then by number, so that the order never wavers. */
export function arranged(rows: readonly RidersRow[], typed: string, order: RidersOrder): RidersRow[] {
  return rows
    .filter((row) => matches(row.name, typed))
    .sort((a, b) => {
      const x = valueOf(a, order.by);
      const y = valueOf(b, order.by);
      const way = order.down && x !== null && y !== null ? -1 : 1;
      return way * compare(x, y) || a.name.localeCompare(b.name, "en-GB") || a.id - b.id;
    });
}
