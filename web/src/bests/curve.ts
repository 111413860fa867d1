/* Mean power against duration: a logarithmic axis of time with ticks that a clock has, a straight
 * axis of power with round ones. */
import { numberTicks } from "../traces/ticks";

export interface CurvePoint {
  readonly duration_s: number;
  readonly value: number;
}

export interface CurveScale {
  readonly width: number;
  readonly height: number;
  readonly longest_s: number;
  readonly highest: number;
}

/** Durations with a tick, in the order in which they get room. */
const TICKS_S = [60, 5, 3600, 300, 1200, 10, 1, 30, 600, 10800, 120, 2, 7200, 15, 1800, 20, 180];

export function xOf(scale: CurveScale, duration_s: number): number {
  return (Math.log(Math.max(duration_s, 1)) / Math.log(Math.max(scale.longest_s, 2))) * scale.width;
}

export function yOf(scale: CurveScale, value: number): number {
  return scale.height * (1 - value / scale.highest);
}

/** The duration at a place of the axis. */
export function durationAt(scale: CurveScale, x: number): number {
  return Math.exp((Math.min(Math.max(x, 0), scale.width) / scale.width) * Math.log(Math.max(scale.longest_s, 2)));
}

/** Durations whose labels, this wide, don't touch. */
export function durationTicks(scale: CurveScale, room: number): number[] {
  const kept: number[] = [];
  for (const tick of TICKS_S) {
    const x = xOf(scale, tick);
    if (tick <= scale.longest_s && kept.every((other) => Math.abs(xOf(scale, other) - x) >= room)) {
      kept.push(tick);
    }
  }
  return kept.sort((a, b) => a - b);
}

export function scaleOf(curves: readonly (readonly CurvePoint[])[], width: number, height: number): CurveScale {
  const points = curves.flat();
  const highest = Math.max(1, ...points.map((point) => point.value));
  return {
    width,
    height,
    longest_s: Math.max(60, ...points.map((point) => point.duration_s)),
    /* Up to a round tick, so that the highest label has its line. */
    highest: highest * 1.06,
  };
}

export function powerTicks(scale: CurveScale): number[] {
  return numberTicks(0, scale.highest, 6);
}

export function pathOf(curve: readonly CurvePoint[], scale: CurveScale): string {
  return curve
    .map((point, i) => `${i === 0 ? "M" : "L"}${xOf(scale, point.duration_s).toFixed(1)},${yOf(scale, point.value).toFixed(1)}`)
    .join("");
}

/** The point nearest to a duration, as the axis shows nearness; null of no points. */
export function nearest(curve: readonly CurvePoint[], duration_s: number): CurvePoint | null {
  let best: CurvePoint | null = null;
  for (const point of curve) {
    if (best === null ||
        Math.abs(Math.log(point.duration_s / duration_s)) < Math.abs(Math.log(best.duration_s / duration_s))) {
      best = point;
    }
  }
  return best;
}
