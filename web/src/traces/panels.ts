/* The panels of the traces: which there are, what each shows, its scale and its round ticks. */
import type { Mask, Span, TraceAnswer } from "./answer";
import { type Columns, binnedColumns, singleColumns, extremes } from "./columns";
import { isSeen, type Target } from "./spans";
import { numberTicks } from "./ticks";

export type PanelName = "power" | "heart" | "cadence" | "temperature" | "altitude";

interface Kind {
  channel: string;
  /** "power, W" above the panel. */
  title: string;
  /** "power" in a sentence, "W" behind a number. */
  name: string;
  unit: string;
  /** A scale never shows less: noise would look like news. */
  leastSpan: number;
  fromZero: boolean;
  /** Share of the height. */
  share: number;
}

export const KINDS: Readonly<Record<PanelName, Kind>> = {
  power: { channel: "power_w", title: "power, W", name: "power", unit: "W", leastSpan: 50, fromZero: true, share: 1.25 },
  heart: { channel: "heart_rate_bpm", title: "heart rate, beats/min", name: "heart rate", unit: "beats/min",
           leastSpan: 40, fromZero: false, share: 1 },
  cadence: { channel: "cadence_rpm", title: "cadence, turns/min", name: "cadence", unit: "turns/min",
             leastSpan: 40, fromZero: true, share: 0.7 },
  temperature: { channel: "temperature_c", title: "temperature, °C", name: "temperature", unit: "°C",
                 leastSpan: 6, fromZero: false, share: 0.7 },
  altitude: { channel: "altitude_m", title: "altitude, m", name: "altitude", unit: "m",
              leastSpan: 40, fromZero: false, share: 0.7 },
};

export const THIRDS: readonly PanelName[] = ["cadence", "temperature", "altitude"];

/** Where a pixel holds more seconds than this, power becomes a ribbon with its mean in it. */
const RIBBON_SECONDS = 2.5;
/** Pixels of a bin of what is drawn as its mean. */
const MEAN_PIXELS = 2;

export interface Panel {
  name: PanelName;
  /** Seconds, or means of bins: what the line goes through. */
  line: Columns;
  /** What the mean runs through, where a pixel holds many seconds; else null. */
  ribbon: Columns | null;
  /** Heart rate that this power brings, lowest to highest; null = not known. */
  expected: Columns | null;
  low: number;
  high: number;
  ticks: number[];
  targets: Target[];
  masks: Mask[];
  pauses: Span[];
}

export interface Asked {
  view: Span;
  /** Width of the drawn part, CSS pixels. */
  pixels: number;
  targets: readonly Target[];
}

function has(answer: TraceAnswer, name: PanelName): boolean {
  const series = answer.series.get(KINDS[name].channel);
  return series?.mean.some((value) => !Number.isNaN(value)) ?? false;
}

/** The channels of this ride that can be the third panel. */
export function thirdsOf(answer: TraceAnswer): PanelName[] {
  return THIRDS.filter((name) => has(answer, name));
}

export function panelHas(answer: TraceAnswer, name: PanelName): boolean {
  return has(answer, name);
}

function scaleOf(name: PanelName, values: readonly number[]): [number, number] {
  const kind = KINDS[name];
  const known = values.filter((value) => Number.isFinite(value));
  let low = known.length === 0 ? 0 : Math.min(...known);
  let high = known.length === 0 ? kind.leastSpan : Math.max(...known);
  if (kind.fromZero) {
    low = Math.min(low, 0);
    high = Math.max(high, low + kind.leastSpan);
  } else {
    const missing = Math.max(kind.leastSpan - (high - low), 0);
    low -= missing / 2 + 0.04 * (high - low);
    high += missing / 2;
  }
  return [low, high + 0.06 * (high - low)];
}

/** Expected heart rate comes as one series with two ends. */
function expectedOf(answer: TraceAnswer, name: PanelName, asked: Asked): Columns | null {
  const series = name === "heart" ? answer.series.get("heart_expected_bpm") : undefined;
  return series === undefined ? null : binnedColumns(series, asked.view, Math.ceil(asked.pixels / MEAN_PIXELS));
}

export function makePanel(answer: TraceAnswer, name: PanelName, asked: Asked): Panel | null {
  const kind = KINDS[name];
  const series = answer.series.get(kind.channel);
  if (series === undefined) {
    return null;
  }
  const view = asked.view;
  const bins = Math.max(Math.round(asked.pixels), 1);
  const dense = (view.to_s - view.from_s) / bins > RIBBON_SECONDS || series.step_s > RIBBON_SECONDS;
  const single = name === "power" && !dense;
  const expected = expectedOf(answer, name, asked);
  const targets = name === "power" ? asked.targets.filter((target) => isSeen(target, view)) : [];
  const ends = extremes(series, view) ?? [];
  const values = [
    ...ends,
    ...targets.flatMap((target) => [target.low_w ?? NaN, target.high_w ?? NaN]),
    ...(expected === null ? [] : [...expected.low, ...expected.high]),
  ];
  const [low, high] = scaleOf(name, values);
  return {
    name,
    line: single ? singleColumns(series, view) : binnedColumns(series, view, Math.ceil(bins / MEAN_PIXELS)),
    ribbon: name === "power" && dense ? binnedColumns(series, view, bins) : null,
    expected,
    low,
    high,
    ticks: numberTicks(low, high, kind.share > 0.8 ? 5 : 4),
    targets,
    masks: answer.masks.filter((mask) => mask.channel === kind.channel && isSeen(mask, view)),
    pauses: answer.pauses.filter((pause) => isSeen(pause, view)),
  };
}
