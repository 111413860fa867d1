/* Reps as rows of small traces against what was asked: one scale of watts and one of time for all,
 * so that a glance along the rows sees which began too hard and which faded. */
import { useEffect, useState } from "preact/hooks";

import { bytesMade } from "../jobs";
import { clock, number } from "../formats";
import { Drop } from "../parts/mark";
import { shapeOf } from "../readings";
import { decodeAnswer, type Series, type Span } from "../traces/answer";
import { binnedColumns } from "../traces/columns";
import { rangeWords, readingOf } from "./evidence";
import type { Rep, RideReading } from "./types";

const WIDTH = 200;
const HEIGHT = 40;
/** More seconds than this at once come in buckets. */
const POINTS_MOST = 4096;
/** The scale leaves out so much of the seconds at each end, so that one coasting second flattens no row. */
const LEFT_OUT = 0.02;

interface Scale {
  low: number;
  high: number;
  seconds: number;
}

function quantile(sorted: readonly number[], share: number): number {
  return sorted[Math.min(Math.floor(share * sorted.length), sorted.length - 1)] ?? NaN;
}

function known(value: number | null): number | null {
  return value === null || value <= 0 ? null : value;
}

export function scaleOf(reps: readonly Rep[], power: Series): Scale {
  const values = reps
    .flatMap((rep) => [...binnedColumns(power, spanOf(rep), rep.duration_s).mean])
    .filter((value) => !Number.isNaN(value))
    .sort((a, b) => a - b);
  const ends = reps.flatMap((rep) => [known(rep.target_low_w), known(rep.target_high_w)]).filter((end) => end !== null);
  const low = Math.min(quantile(values, LEFT_OUT), ...ends);
  const high = Math.max(quantile(values, 1 - LEFT_OUT), ...ends);
  const room = 0.08 * Math.max(high - low, 20);
  return { low: low - room, high: high + room, seconds: Math.max(...reps.map((rep) => rep.duration_s)) };
}

function spanOf(rep: Rep): Span {
  return { from_s: rep.start_s, to_s: rep.start_s + rep.duration_s };
}

/** The row's line as the d of paths, one a run of known seconds. */
export function linesOf(rep: Rep, power: Series, scale: Scale): string {
  const columns = binnedColumns(power, spanOf(rep), WIDTH);
  let d = "";
  let open = false;
  columns.mean.forEach((value, i) => {
    if (Number.isNaN(value)) {
      open = false;
      return;
    }
    const x = (((columns.at[i] ?? 0) - rep.start_s) / scale.seconds) * WIDTH;
    const y = HEIGHT * (1 - (Math.min(Math.max(value, scale.low), scale.high) - scale.low) / (scale.high - scale.low));
    d += `${open ? "L" : "M"}${x.toFixed(1)},${y.toFixed(1)}`;
    open = true;
  });
  return d;
}

function SmallTrace({ rep, power, scale }: { readonly rep: Rep; readonly power: Series; readonly scale: Scale }) {
  const y = (value: number): number => HEIGHT * (1 - (value - scale.low) / (scale.high - scale.low));
  const low = known(rep.target_low_w);
  const high = known(rep.target_high_w);
  const wide = (rep.duration_s / scale.seconds) * WIDTH;
  const top = high === null ? 0 : y(high);
  const bottom = low === null ? HEIGHT : y(low);
  return (
    <svg class="rep-trace" viewBox={`0 0 ${WIDTH} ${HEIGHT}`} width={WIDTH} height={HEIGHT} aria-hidden="true" focusable="false">
      {(low !== null || high !== null) && (
        <>
          <rect class="fill-target" x="0" y={top} width={wide} height={Math.max(bottom - top, 1)} />
          {high !== null && <path class="stroke-plum" d={`M0,${top}h${wide}`} stroke-width="0.6" />}
          {low !== null && <path class="stroke-plum" d={`M0,${bottom}h${wide}`} stroke-width="0.6" />}
        </>
      )}
      <path class="stroke-power" d={linesOf(rep, power, scale)} fill="none" stroke-width="1" stroke-linejoin="round" />
    </svg>
  );
}

export interface RepRowsProps {
  readonly ride: number;
  readonly reps: readonly Rep[];
  readonly readings: readonly RideReading[];
  /** False: the range is what such reps are ridden at, nobody asked for it. */
  readonly isAsked: boolean;
  readonly onLook: (span: Span) => void;
}

export function RepRows({ ride, reps, readings, isAsked, onLook }: RepRowsProps) {
  const [power, setPower] = useState<Series | null>(null);
  const from = Math.min(...reps.map((rep) => rep.start_s));
  const to = Math.max(...reps.map((rep) => rep.start_s + rep.duration_s));
  useEffect(() => {
    const abort = new AbortController();
    const points = Math.min(Math.max(to - from, 16), POINTS_MOST);
    bytesMade(`rides/${ride}/traces?from=${from}&to=${to}&points=${points}`, abort.signal).then(
      (bytes) => setPower(decodeAnswer(bytes).series.get("power_w") ?? null),
      // The rows' words stand without their lines; the traces above say what went wrong.
      () => setPower(null),
    );
    return () => abort.abort();
  }, [ride, from, to]);
  const scale = power === null ? null : scaleOf(reps, power);
  let before = "";
  return (
    <ol class="reps">
      {reps.map((rep, i) => {
        const range = rangeWords(known(rep.target_low_w), known(rep.target_high_w));
        const showsRange = range !== "" && range !== before;
        before = range;
        const reading = readingOf(rep, readings);
        const inside = rep.in_s === null || range === "" ? "" : ` · ${clock(rep.in_s)} in range`;
        return (
          <li key={rep.start_s} class="rep">
            <button type="button" class="rep-number act act-quiet" aria-label={`rep ${i + 1}: show it in the traces`}
                    onClick={() => onLook(spanOf(rep))}>{i + 1}</button>
            <span class="rep-drawn">{power !== null && scale !== null && <SmallTrace rep={rep} power={power} scale={scale} />}</span>
            <span class="rep-range">{showsRange ? `${isAsked ? "asked" : "range"} ${range}` : ""}</span>
            <span class="rep-mean">mean {rep.mean_power_w === null ? "–" : `${number(rep.mean_power_w, 0)}\u00a0W`}</span>
            <span class="rep-time">{clock(rep.duration_s)}{inside}</span>
            <span class="rep-verdict">
              {rep.verdict !== "described" && <Drop shape={shapeOf(reading?.answer ?? "cannot tell")} />}
              {rep.verdict}
            </span>
          </li>
        );
      })}
    </ol>
  );
}
