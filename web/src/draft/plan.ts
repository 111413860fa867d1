/* What the Draft screen decides without drawing: the seven lines of a week, what is sent, what may be
 * done with a session, which proposals are one. */
import type { NextProposal, RiderSession, RiderSessions, RideRow, SessionBreach, SessionStep } from "../api_types";
import { dayOf, dayPlus, daysBetween, number } from "../formats";

/* ---- the week ---- */

/* The Monday of a day's week. */
export function mondayOf(iso: string): string {
  const date = dayOf(iso);
  return date === null ? iso : dayPlus(iso, -((date.getUTCDay() + 6) % 7));
}

export interface DiaryLine {
  readonly day: RiderSessions["days"][number];
  readonly rides: readonly RideRow[];
  readonly sessions: readonly RiderSession[]; /* what was withdrawn comes last */
  readonly ahead: boolean; /* today or later: something can still be drafted */
}

export function diaryOf(week: Pick<RiderSessions, "days" | "sessions" | "today">, rides: readonly RideRow[]): DiaryLine[] {
  return week.days.map((day) => ({
    day,
    rides: rides.filter((ride) => ride.day === day.day && ride.ride),
    sessions: week.sessions
      .filter((one) => one.day === day.day)
      .toSorted((a, b) => Number(a.state === "withdrawn") - Number(b.state === "withdrawn")),
    ahead: day.day >= week.today,
  }));
}

/* What came back of it, in words; null while there is nothing to say. */
export function cameOf(session: Pick<RiderSession, "outcome" | "outcome_text">): string | null {
  return session.outcome === "not-yet" ? null : (session.outcome_text ?? null);
}

/* So many days from today on are asked for, to propose what is ridden until `to`; null = none of
 * the week's days are ahead, or they are too far. */
export function daysAsked(today: string, monday: string, to: string): number | null {
  const DAYS_MOST = 14; /* of the API */
  const left = daysBetween(today, to) ?? 0;
  const begins = daysBetween(today, monday) ?? DAYS_MOST;
  return left < 1 || begins >= DAYS_MOST ? null : Math.min(left, DAYS_MOST);
}

/* Ridden, missed or withdrawn: what is asked of it is past, and is read rather than written. */
export function isPast(session: Pick<RiderSession, "day" | "state">, today: string): boolean {
  return session.state === "done" || session.day < today;
}

/* Proposals that say the same of several days are one. */
export function togetherOf(proposals: readonly NextProposal[]): NextProposal[][] {
  const groups = new Map<string, NextProposal[]>();
  for (const one of proposals) {
    const same = JSON.stringify({ ...one, number: null, day: null });
    groups.set(same, [...(groups.get(same) ?? []), one]);
  }
  return [...groups.values()];
}

/* The day that a new session begins on: the first from today on with nothing on it. */
export function freeDay(lines: readonly DiaryLine[]): string | null {
  const ahead = lines.filter((line) => line.ahead);
  const free = ahead.find((line) => line.day.off.length === 0 && line.day.minutes !== 0 &&
    line.sessions.every((one) => one.state === "withdrawn"));
  return (free ?? ahead[0])?.day.day ?? null;
}

/* ---- what stands in the form ---- */

export interface Draft {
  readonly day: string;
  readonly name: string;
  readonly kind: RiderSession["kind"];
  readonly words: string;
  readonly why: string;
  readonly knowingly: readonly string[];
}

export function draftOf(session: RiderSession): Draft {
  return {
    day: session.day,
    name: session.name,
    kind: session.kind,
    words: session.words,
    why: session.why ?? "",
    knowingly: (session.confirmed ?? "").split(/[ ,]+/).filter((name) => name !== ""),
  };
}

export function isSame(a: Draft, b: Draft): boolean {
  return a.day === b.day && a.name === b.name && a.kind === b.kind && a.words.trim() === b.words.trim() &&
    a.why.trim() === b.why.trim() && a.knowingly.toSorted().join(" ") === b.knowingly.toSorted().join(" ");
}

/* A session without a name is called by its first words, cut between two. */
export function nameOf(draft: Pick<Draft, "name" | "words">): string {
  const NAME_MOST = 60;
  const line = draft.words.trim().split("\n")[0]?.trim() ?? "";
  const given = draft.name.trim();
  return given !== "" ? given : line.length > NAME_MOST ? `${line.slice(0, NAME_MOST).replace(/\s\S*$/, "")} …` : line;
}

/* The body that the API takes; of the limits only those that are broken are named. */
export function wishOf(draft: Draft, breaches: readonly SessionBreach[]): Record<string, unknown> {
  return {
    day: draft.day,
    name: nameOf(draft),
    kind: draft.kind,
    words: draft.words,
    why: draft.why.trim() === "" ? null : draft.why.trim(),
    knowingly: breaches.map((one) => one.name).filter((name) => draft.knowingly.includes(name)),
  };
}

/* What stands in the way of saving: refusals, and limits that aren't named yet. */
export function inTheWay(draft: Pick<Draft, "knowingly">, breaches: readonly SessionBreach[]): readonly SessionBreach[] {
  return breaches.filter((one) => one.refused || !draft.knowingly.includes(one.name));
}

/* ---- lines ---- */

/* The line at the caret moved up (-1) or down (1), and the caret with it; as it was at an end. */
export function moveLine(words: string, caret: number, by: -1 | 1): { readonly words: string; readonly caret: number } {
  const lines = words.split("\n");
  const at = words.slice(0, caret).split("\n").length - 1;
  const line = lines[at] ?? "";
  const other = lines[at + by];
  if (other === undefined) {
    return { words, caret };
  }
  lines[at] = other;
  lines[at + by] = line;
  return { words: lines.join("\n"), caret: caret + by * (other.length + 1) };
}

/* ---- what the form says ---- */

/* "106–112", in W; a dash where no range of watts is asked. */
export function wattsOf({ low_w: low, high_w: high }: Pick<SessionStep, "low_w" | "high_w">): string {
  return low === null || high === null ? "–" : low === high ? number(low, 0) : `${number(low, 0)}–${number(high, 0)}`;
}

/* The marked part of a line of text: before, what is meant, behind. */
export function pointedAt(words: string, fault: { readonly line: number; readonly column: number; readonly letters: number }): [string, string, string] {
  const line = Array.from(words.split(/\r\n|\r|\n/)[fault.line - 1] ?? "");
  const from = fault.column - 1;
  return [line.slice(0, from).join(""), line.slice(from, from + fault.letters).join(""), line.slice(from + fault.letters).join("")];
}
