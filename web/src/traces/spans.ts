/* Spans that are evidence, as brackets in lanes, so that none covers another. */
import type { Span } from "./answer";

export interface Bracket extends Span {
  /** As numbered in the text. */
  words: string;
}

export interface Target extends Span {
  low_w: number | null;
  high_w: number | null;
  words: string;
}

export interface Laned extends Bracket {
  lane: number;
}

export function isSeen(span: Span, view: Span): boolean {
  return span.from_s < view.to_s && span.to_s > view.from_s;
}

/** Those within view, each in the first lane where it covers no other. */
export function lanesOf(brackets: readonly Bracket[], view: Span): Laned[] {
  const ends: number[] = [];
  const rising = [...brackets].sort((a, b) => a.from_s - b.from_s);
  return rising
    .filter((bracket) => isSeen(bracket, view))
    .map((bracket) => {
      let lane = ends.findIndex((end) => end <= bracket.from_s);
      if (lane < 0) {
        lane = ends.length;
      }
      ends[lane] = bracket.to_s;
      return { ...bracket, lane };
    });
}

/** Which of some labels of given places and widths stay: the first, the last, then whatever room is
 * left for. */
export function labelsThatFit(places: readonly { middle: number; width: number }[], gap: number): boolean[] {
  const order = places.map((_, i) => i);
  const last = order.pop();
  if (last !== undefined) {
    order.splice(Math.min(1, order.length), 0, last);
  }
  const kept = places.map(() => false);
  const taken: [number, number][] = [];
  for (const i of order) {
    const place = places[i];
    if (place === undefined) {
      continue;
    }
    const from = place.middle - place.width / 2 - gap;
    const to = place.middle + place.width / 2 + gap;
    if (taken.every(([low, high]) => to <= low || from >= high)) {
      kept[i] = true;
      taken.push([from + gap, to - gap]);
    }
  }
  return kept;
}

/** What of view is ridden: view without pauses, as spans. */
export function ridden(view: Span, pauses: readonly Span[]): Span[] {
  const out: Span[] = [];
  let at = view.from_s;
  for (const pause of [...pauses].sort((a, b) => a.from_s - b.from_s)) {
    if (!isSeen(pause, view)) {
      continue;
    }
    if (pause.from_s > at) {
      out.push({ from_s: at, to_s: pause.from_s });
    }
    at = Math.max(at, pause.to_s);
  }
  if (at < view.to_s) {
    out.push({ from_s: at, to_s: view.to_s });
  }
  return out;
}
