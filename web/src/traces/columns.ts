/* Seconds at the resolution that a screen can show.
 *
 *   seconds   . : ' . | . : ' : . . :  ' . '      one bin is as wide as some pixels
 *   of a bin  lowest, highest, mean               NaN where it knows no second
 *
 * Where bins hold no more than a few seconds, each second stands for itself. */
import type { Series, Span } from "./answer";

export interface Columns {
  /** Middle of each bin, seconds from the first record. */
  at: Float64Array;
  /** Width of a bin, s. */
  width_s: number;
  mean: Float64Array;
  low: Float64Array;
  high: Float64Array;
}

/** Where step i of a series begins and the next. */
function beginOf(series: Series, i: number): number {
  return series.from_s + i * series.step_s;
}

/** The first step that ends after t, and the first that begins at or after `to`. */
function windowOf(series: Series, view: Span): [number, number] {
  const n = series.mean.length;
  const first = Math.floor((view.from_s - series.from_s) / series.step_s);
  const end = Math.ceil((view.to_s - series.from_s) / series.step_s);
  return [Math.min(Math.max(first, 0), n), Math.min(Math.max(end, 0), n)];
}

/** Every step of the series within view, as it is. */
export function singleColumns(series: Series, view: Span): Columns {
  const [first, end] = windowOf(series, view);
  const n = Math.max(end - first, 0);
  return {
    at: Float64Array.from({ length: n }, (_, i) => beginOf(series, first + i) + series.step_s / 2),
    width_s: series.step_s,
    mean: series.mean.slice(first, end),
    low: series.low.slice(first, end),
    high: series.high.slice(first, end),
  };
}

/** At most n bins over view; of a series that is coarser than that, its own steps. */
export function binnedColumns(series: Series, view: Span, n: number): Columns {
  const width_s = (view.to_s - view.from_s) / Math.max(n, 1);
  if (width_s <= series.step_s) {
    return singleColumns(series, view);
  }
  const at = Float64Array.from({ length: n }, (_, i) => view.from_s + (i + 0.5) * width_s);
  const sum = new Float64Array(n);
  const count = new Float64Array(n);
  const low = new Float64Array(n).fill(NaN);
  const high = new Float64Array(n).fill(NaN);
  const [first, end] = windowOf(series, view);
  for (let i = first; i < end; i++) {
    const value = series.mean[i] ?? NaN;
    const bin = Math.floor((beginOf(series, i) + series.step_s / 2 - view.from_s) / width_s);
    if (Number.isNaN(value) || bin < 0 || bin >= n) {
      continue;
    }
    sum[bin] = (sum[bin] ?? 0) + value;
    count[bin] = (count[bin] ?? 0) + 1;
    const lowest = series.low[i] ?? NaN;
    const highest = series.high[i] ?? NaN;
    low[bin] = Number.isNaN(low[bin] ?? NaN) ? lowest : Math.min(low[bin] ?? NaN, lowest);
    high[bin] = Number.isNaN(high[bin] ?? NaN) ? highest : Math.max(high[bin] ?? NaN, highest);
  }
  return { at, width_s, mean: sum.map((total, i) => total / (count[i] ?? 0)), low, high };
}

/** Lowest and highest known value within view; null if none is known. */
export function extremes(series: Series, view: Span): [number, number] | null {
  const [first, end] = windowOf(series, view);
  let lowest = Infinity;
  let highest = -Infinity;
  for (let i = first; i < end; i++) {
    const low = series.low[i] ?? NaN;
    const high = series.high[i] ?? NaN;
    if (!Number.isNaN(low) && !Number.isNaN(high)) {
      lowest = Math.min(lowest, low);
      highest = Math.max(highest, high);
    }
  }
  return lowest <= highest ? [lowest, highest] : null;
}

/** Mean of the known seconds within a span; NaN if none is known. */
export function meanOver(series: Series, span: Span): number {
  const [first, end] = windowOf(series, span);
  let sum = 0;
  let n = 0;
  for (let i = first; i < end; i++) {
    const value = series.mean[i] ?? NaN;
    if (!Number.isNaN(value)) {
      sum += value;
      n++;
    }
  }
  return n === 0 ? NaN : sum / n;
}

/** The value at t; NaN where none is known or t lies outside. */
export function valueAt(series: Series, t: number): number {
  return series.mean[Math.floor((t - series.from_s) / series.step_s)] ?? NaN;
}
