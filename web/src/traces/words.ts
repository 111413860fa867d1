/* What the traces say besides numbers: names of parts, the keys, the cursor's reading. */
import type { TraceAnswer } from "./answer";
import { valueAt } from "./columns";
import { KINDS, type PanelName, panelHas } from "./panels";
import { clock, number } from "../formats";

const READ: readonly PanelName[] = ["power", "heart", "cadence", "temperature", "altitude"];

export const traceWords = {
  keys: "Arrow keys move the cursor, with shift they mark a span to look into, Escape leads back.",
  point: "Point at the traces, or use the arrow keys, to read a second.",
  whole: "Whole ride",
  third: "A third trace",
  none: "none",
  table: "the traces as a table",
  noPower: "No power was recorded.",
  noHeart: "No heart rate was recorded.",
  noHeartAlone: "Heart rate is not shown without the power beside it.",
  hatched: "Hatched, left out",
  tinted: "Tinted",
  time: "time",
  waiting: "Fetching the traces …",
} as const;

/** "12:40": each channel's value there; a channel that is unknown there says so. */
export function readingAt(answer: TraceAnswer, t: number): { name: PanelName; words: string }[] {
  return READ.filter((name) => panelHas(answer, name)).map((name) => {
    const series = answer.series.get(KINDS[name].channel);
    const value = series === undefined ? NaN : valueAt(series, t);
    const words = Number.isNaN(value) ? "not known" : `${number(value, 0)}\u00a0${KINDS[name].unit}`;
    return { name, words };
  });
}

export function readingLine(answer: TraceAnswer, t: number): string {
  const parts = readingAt(answer, t).map((part) => `${KINDS[part.name].name} ${part.words}`);
  return [`At ${clock(t)}`, ...parts].join(", ");
}
