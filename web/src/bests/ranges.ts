/* Which days are compared with which: what the address says, and the ranges that have a name. */
import { dayOf, dayPlus } from "../formats";

export interface Days {
  /** First day; null = from the first ride on. */
  readonly from: string | null;
  /** First day that no longer counts; null = the day after today. */
  readonly to: string | null;
  /** "before", "last-year", "FROM..TO"; null = nothing beside it. */
  readonly against: string | null;
}

export type Named = "weeks" | "season" | "all" | "own";

/** Six weeks: the window that progress is told by. */
const WEEKS_DAYS = 42;
/** A season of the road begins with November, when the racing of the year before is over: common
 * practice, no source.  Other days can be typed. */
const SEASON_MONTH = 11;

export function namedDays(name: Named, today: string): { from: string | null; to: string | null } {
  if (name === "weeks") {
    return { from: dayPlus(today, 1 - WEEKS_DAYS), to: null };
  }
  if (name === "season") {
    const year = Number(today.slice(0, 4));
    const month = Number(today.slice(5, 7));
    return { from: `${month >= SEASON_MONTH ? year : year - 1}-${SEASON_MONTH}-01`, to: null };
  }
  return { from: null, to: null };
}

/** The name of some days, if they have one. */
export function nameOf(days: Days, today: string): Named {
  const names: readonly Named[] = ["weeks", "season", "all"];
  return names.find((name) => {
    const named = namedDays(name, today);
    return named.from === days.from && named.to === days.to;
  }) ?? "own";
}

function dayIn(query: URLSearchParams, key: string): string | null {
  const value = query.get(key);
  return value !== null && dayOf(value) !== null ? value : null;
}

const AGAINST = /^(before|last-year|\d{4}-\d{2}-\d{2}\.\.\d{4}-\d{2}-\d{2})$/;

/** What the address asks; without a word the last six weeks against those before. */
export function daysOf(query: URLSearchParams, today: string): Days {
  if (!["from", "to", "against", "all"].some((key) => query.has(key))) {
    return { ...namedDays("weeks", today), against: "before" };
  }
  const against = query.get("against");
  const from = dayIn(query, "from");
  const to = dayIn(query, "to");
  /* Days before the first there is are none. */
  const known = against !== null && AGAINST.test(against) && (from !== null || against.includes("..")) ? against : null;
  return { from, to, against: known };
}

/** The same as a query, for the page's address and for the server. */
export function queryOf(days: Days): string {
  const query = new URLSearchParams();
  for (const key of ["from", "to", "against"] as const) {
    const value = days[key];
    if (value !== null) {
      query.set(key, value);
    }
  }
  return query.toString();
}

export function addressQuery(days: Days): string {
  const query = queryOf(days);
  return query === "" ? "all" : query;
}
