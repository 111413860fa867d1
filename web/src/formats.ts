/* Numbers, days and spans of time as the pages write them: one formatter a unit, shared by every
 * screen.  No false digits, the unit always beside the number, British words. */

const MONTHS = ["January", "February", "March", "April", "May", "June", "July", "August", "September",
  "October", "November", "December"];
const WEEKDAYS = ["Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"];
const DAY_MS = 86_400_000;

/* "1,371", "−2.5": a true minus sign; up to `decimals` digits, none of them idle. */
export function number(value: number, decimals = 2): string {
  const text = Number(value.toFixed(decimals)).toString();
  return text === "-0" ? "0" : text.replace("-", "−").replace(/\B(?=(\d{3})+(?!\d))(?<!\.\d*)/g, ",");
}

/* Whole units: "246 W", "14 beats".  The blank never breaks. */
export function quantity(value: number, unit: string, decimals = 0): string {
  return `${number(value, decimals)}\u00a0${unit}`;
}

/* "likely 231–261". */
export function likelyRange(low: number | null | undefined, high: number | null | undefined, decimals = 0): string | null {
  return low === null || low === undefined || high === null || high === undefined
    ? null
    : `likely ${number(low, decimals)}–${number(high, decimals)}`;
}

/* "one ride", "12 rides". */
export function count(n: number, one: string, many = `${one}s`): string {
  return n === 1 ? `1 ${one}` : `${number(n, 0)} ${many}`;
}

/* The day as a date at midnight UTC; null for what is no day. */
export function dayOf(iso: string): Date | null {
  const parts = /^(\d{4})-(\d{2})-(\d{2})$/.exec(iso);
  if (parts === null) {
    return null;
  }
  const date = new Date(Date.UTC(Number(parts[1]), Number(parts[2]) - 1, Number(parts[3])));
  return date.toISOString().slice(0, 10) === iso ? date : null;
}

/* Whole days from one day to another; negative when `to` is earlier. */
export function daysBetween(from: string, to: string): number | null {
  const a = dayOf(from);
  const b = dayOf(to);
  return a === null || b === null ? null : Math.round((b.getTime() - a.getTime()) / DAY_MS);
}

export function dayPlus(iso: string, days: number): string {
  const date = dayOf(iso);
  return date === null ? iso : new Date(date.getTime() + days * DAY_MS).toISOString().slice(0, 10);
}

/* "9 November 2026"; the year left out when it is that of `today`. */
export function day(iso: string, today?: string): string {
  const date = dayOf(iso);
  if (date === null) {
    return iso;
  }
  const words = `${date.getUTCDate()} ${MONTHS[date.getUTCMonth()] ?? ""}`;
  return today !== undefined && today.slice(0, 4) === iso.slice(0, 4) ? words : `${words} ${date.getUTCFullYear()}`;
}

/* "9 Nov", "9 Nov 2025": for tables. */
export function shortDay(iso: string, today?: string): string {
  const date = dayOf(iso);
  if (date === null) {
    return iso;
  }
  const words = `${date.getUTCDate()} ${(MONTHS[date.getUTCMonth()] ?? "").slice(0, 3)}`;
  return today !== undefined && today.slice(0, 4) === iso.slice(0, 4) ? words : `${words} ${date.getUTCFullYear()}`;
}

/* "Dec 2025". */
export function monthYear(iso: string): string {
  const date = dayOf(iso);
  return date === null ? iso : `${(MONTHS[date.getUTCMonth()] ?? "").slice(0, 3)} ${date.getUTCFullYear()}`;
}

/* The server's words with their ISO days as people write them. */
export function withDays(text: string, today: string): string {
  return text.replace(/\b\d{4}-\d{2}-\d{2}\b/g, (iso) => shortDay(iso, today));
}

/* "Wednesday 25 November". */
export function weekdayDay(iso: string, today?: string): string {
  const date = dayOf(iso);
  return date === null ? iso : `${WEEKDAYS[date.getUTCDay()] ?? ""} ${day(iso, today)}`;
}

/* How a coach would say it: "today", "yesterday", "Tuesday" within the week, else the day. */
export function nearDay(iso: string, today: string): string {
  const ago = daysBetween(iso, today);
  const date = dayOf(iso);
  if (ago === null || date === null) {
    return iso;
  }
  if (ago === 0) {
    return "today";
  }
  if (ago === 1) {
    return "yesterday";
  }
  if (ago === -1) {
    return "tomorrow";
  }
  return Math.abs(ago) < 7 ? (WEEKDAYS[date.getUTCDay()] ?? iso) : day(iso, today);
}

/* "in 52 days", "today", "12 days ago". */
export function daysAway(iso: string, today: string): string {
  const ahead = daysBetween(today, iso);
  if (ahead === null) {
    return iso;
  }
  if (ahead === 0) {
    return "today";
  }
  return ahead > 0 ? `in ${count(ahead, "day")}` : `${count(-ahead, "day")} ago`;
}

/* "36 min", "4 h 10 min". */
export function duration(seconds: number): string {
  const minutes = Math.round(seconds / 60);
  if (minutes < 60) {
    return `${minutes}\u00a0min`;
  }
  const rest = minutes % 60;
  const hours = `${Math.floor(minutes / 60)}\u00a0h`;
  return rest === 0 ? hours : `${hours} ${rest}\u00a0min`;
}

/* "4:00", "1:02:30": a clock for spans within a ride. */
export function clock(seconds: number): string {
  const whole = Math.round(seconds);
  const two = (n: number): string => String(n).padStart(2, "0");
  const h = Math.floor(whole / 3600);
  const m = Math.floor((whole % 3600) / 60);
  return h > 0 ? `${h}:${two(m)}:${two(whole % 60)}` : `${m}:${two(whole % 60)}`;
}

/* "3.4 MB". */
export function bytes(n: number): string {
  return n < 1_000_000 ? quantity(n / 1000, "kB") : quantity(n / 1_000_000, "MB", 1);
}
