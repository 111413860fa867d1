/* Where the words of ranges and of hatching find room on a panel: away from the trace, from each
 * other and from the edges.  What finds none goes under the figure. */
import type { Panel } from "./panels";

export interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

export interface Label extends Box {
  words: string;
}

export interface Frame {
  width: number;
  height: number;
  /** Seconds at the left and the right edge. */
  from_s: number;
  to_s: number;
  measure: (words: string) => number;
}

const HEIGHT = 15;
const MARGIN = 3;

export function xOf(frame: Frame, t: number): number {
  return ((t - frame.from_s) / (frame.to_s - frame.from_s)) * frame.width;
}

export function yOf(frame: Frame, panel: Panel, value: number): number {
  return frame.height * (1 - (value - panel.low) / (panel.high - panel.low));
}

function overlaps(a: Box, b: Box): boolean {
  return a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;
}

/** The trace's top and bottom over some pixels; null where it has none. */
function traceWithin(frame: Frame, panel: Panel, from: number, to: number): [number, number] | null {
  const drawn = panel.ribbon ?? panel.line;
  let top = Infinity;
  let bottom = -Infinity;
  for (let i = 0; i < drawn.at.length; i++) {
    const x = xOf(frame, drawn.at[i] ?? NaN);
    const high = drawn.high[i] ?? NaN;
    const low = drawn.low[i] ?? NaN;
    if (x >= from && x <= to && !Number.isNaN(high) && !Number.isNaN(low)) {
      top = Math.min(top, yOf(frame, panel, high));
      bottom = Math.max(bottom, yOf(frame, panel, low));
    }
  }
  return top <= bottom ? [top, bottom] : null;
}

function hasRoom(frame: Frame, panel: Panel, box: Box, taken: readonly Box[]): boolean {
  if (box.x < 0 || box.x + box.width > frame.width || box.y < 0 || box.y + box.height > frame.height) {
    return false;
  }
  const trace = traceWithin(frame, panel, box.x - 2, box.x + box.width + 2);
  const clear = trace === null || trace[0] > box.y + box.height || trace[1] < box.y;
  return clear && taken.every((other) => !overlaps(box, other));
}

/** Just above or below the range along its span, else beside it. */
function candidates(frame: Frame, panel: Panel, span: { from_s: number; to_s: number }, low: number | null,
                    high: number | null, width: number): Box[] {
  const left = Math.max(xOf(frame, span.from_s), 0);
  const right = Math.min(xOf(frame, span.to_s), frame.width);
  const top = high === null ? 0 : yOf(frame, panel, high);
  const bottom = low === null ? frame.height : yOf(frame, panel, low);
  const end = Math.max(right - width, left);
  const out: Box[] = [];
  for (const y of [top - HEIGHT - 2, bottom + 2, top - HEIGHT - 10, bottom + 10, top - HEIGHT - 20]) {
    for (let step = 0; step <= 24; step++) {
      out.push({ x: end - ((end - left) * step) / 24, y, width, height: HEIGHT });
    }
  }
  const beside = (top + bottom - HEIGHT) / 2;
  out.push({ x: left - width - 4, y: beside, width, height: HEIGHT });
  out.push({ x: right + 4, y: beside, width, height: HEIGHT });
  return out;
}

/** Each wording once.  leftOver: what found no room. */
export function labelsOf(frame: Frame, panel: Panel): { labels: Label[]; leftOver: string[] } {
  const labels: Label[] = [];
  const leftOver: string[] = [];
  for (const words of new Set(panel.masks.map((mask) => mask.text).filter((text) => text !== null))) {
    const width = frame.measure(words) + 2 * MARGIN;
    const wide = panel.masks
      .filter((mask) => mask.text === words)
      .map((mask) => ({ left: Math.max(xOf(frame, mask.from_s), 0), right: Math.min(xOf(frame, mask.to_s), frame.width) }))
      .find((mask) => mask.right - mask.left >= width + 4 &&
        labels.every((label) => !overlaps(label, { x: mask.left, y: 4, width: mask.right - mask.left, height: HEIGHT })));
    if (wide === undefined) {
      leftOver.push(words);
    } else {
      labels.push({ x: (wide.left + wide.right - width) / 2, y: 4, width, height: HEIGHT, words });
    }
  }
  for (const words of new Set(panel.targets.map((target) => target.words).filter((text) => text !== ""))) {
    const width = frame.measure(words) + 2 * MARGIN;
    const box = panel.targets
      .filter((target) => target.words === words)
      .flatMap((target) => candidates(frame, panel, target, target.low_w, target.high_w, width))
      .find((candidate) => hasRoom(frame, panel, candidate, labels));
    if (box === undefined) {
      leftOver.push(words);
    } else {
      labels.push({ ...box, words });
    }
  }
  return { labels, leftOver };
}
