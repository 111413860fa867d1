/* What of a ride is drawn on its traces: the spans that a reading rests on, and what was asked. */
import type { Bracket, Target } from "../traces/spans";
import { lasting } from "../traces/ticks";
import type { Rep, RideAnswer, RideReading } from "./types";

/** Readings that stand for the whole ride, not for one set or rep of it. */
export function wholeReadings(readings: readonly RideReading[]): RideReading[] {
  return readings.filter((reading) => reading.about === undefined || reading.about === "ride");
}

/** The reading of one rep. */
export function readingOf(rep: Rep, readings: readonly RideReading[]): RideReading | null {
  return readings.find((reading) => reading.about === "rep" && reading.spans[0]?.[0] === rep.start_s) ?? null;
}

/** True where the ride says something: what it can't answer is one line further down. */
export function isAnswered(reading: RideReading): boolean {
  return reading.verdict !== "cannot tell" || reading.estimate !== null;
}

export function bracketsOf(answer: RideAnswer): Bracket[] {
  const { reps, readings } = answer.ride;
  const numbered = reps.map((rep, i) => ({ from_s: rep.start_s, to_s: rep.start_s + rep.duration_s, words: String(i + 1) }));
  const steady = wholeReadings(readings)
    .filter((reading) => reading.question === "base" && isAnswered(reading))
    .flatMap((reading) => reading.spans)
    .flatMap(([from_s, to_s]) => (from_s === undefined || to_s === undefined ? []
      : [{ from_s, to_s, words: `steady, ${lasting(to_s - from_s)}` }]));
  return [...numbered, ...steady];
}

function known(value: number | null | undefined): number | null {
  return value === null || value === undefined || value <= 0 ? null : value;
}

/** "265–300 W", "from 265 W", "to 300 W". */
export function rangeWords(low: number | null, high: number | null): string {
  if (low !== null && high !== null) {
    return `${Math.round(low)}–${Math.round(high)}\u00a0W`;
  }
  if (low !== null) {
    return `from ${Math.round(low)}\u00a0W`;
  }
  return high === null ? "" : `to ${Math.round(high)}\u00a0W`;
}

/** "106–120 % of threshold": what was asked, or what its kind means, as shares of the threshold it was
 * judged by. */
function shareWords(answer: RideAnswer, low_w: number | null, high_w: number | null): string | null {
  const { asked } = answer;
  if (asked.low_pct !== null && asked.high_pct !== null) {
    return `${asked.low_pct}–${asked.high_pct}\u00a0% of threshold`;
  }
  const threshold = answer.ride.readings.find((reading) => reading.question === "hard work")?.basis.threshold_w ?? null;
  if (threshold === null || low_w === null || high_w === null || asked.low_w !== null || asked.high_w !== null) {
    return null;
  }
  const share = (watts: number): number => Math.round((100 * watts) / threshold);
  return `${share(low_w)}–${share(high_w)}\u00a0% of threshold`;
}

export function targetsOf(answer: RideAnswer): Target[] {
  return answer.ride.reps.flatMap((rep) => {
    const low_w = known(rep.target_low_w);
    const high_w = known(rep.target_high_w);
    const words = shareWords(answer, low_w, high_w) ?? rangeWords(low_w, high_w);
    return low_w === null && high_w === null ? []
      : [{ from_s: rep.start_s, to_s: rep.start_s + rep.duration_s, low_w, high_w, words }];
  });
}
