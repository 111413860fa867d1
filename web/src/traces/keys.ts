/* What the arrow keys do on the traces: one cursor, one marked span, a way in and a way back.  Pure:
 * a state and a key give the next state. */
import type { Span } from "./answer";

export interface Place {
  view: Span;
  /** Views to go back to, the nearest last. */
  back: readonly Span[];
  cursor: number | null;
  /** Where a marked span began; it ends at the cursor. */
  anchor: number | null;
}

export interface Key {
  key: string;
  shift: boolean;
}

/** No closer than this: a line of a few seconds says nothing. */
export const LEAST_VIEW_S = 10;

export function wholePlace(seconds: number): Place {
  return { view: { from_s: 0, to_s: seconds }, back: [], cursor: null, anchor: null };
}

/** One pixel's seconds, at least one: what an arrow key moves. */
export function stepOf(view: Span, pixels: number): number {
  return Math.max(Math.round((2 * (view.to_s - view.from_s)) / Math.max(pixels, 1)), 1);
}

function clamp(t: number, view: Span): number {
  return Math.min(Math.max(t, view.from_s), view.to_s - 1);
}

export function markedOf(place: Place): Span | null {
  if (place.anchor === null || place.cursor === null || place.anchor === place.cursor) {
    return null;
  }
  return { from_s: Math.min(place.anchor, place.cursor), to_s: Math.max(place.anchor, place.cursor) };
}

/** Into a span, widened where it is too short to show. */
export function placeInto(place: Place, span: Span, seconds: number): Place {
  const missing = Math.max(LEAST_VIEW_S - (span.to_s - span.from_s), 0);
  const from_s = Math.max(Math.floor(span.from_s - missing / 2), 0);
  const to_s = Math.min(Math.max(Math.ceil(span.to_s + missing / 2), from_s + LEAST_VIEW_S), seconds);
  const view = { from_s: Math.max(Math.min(from_s, to_s - LEAST_VIEW_S), 0), to_s };
  if (view.from_s === place.view.from_s && view.to_s === place.view.to_s) {
    return { ...place, anchor: null };
  }
  const cursor = place.cursor === null ? null : clamp(place.cursor, view);
  return { view, back: [...place.back, place.view], cursor, anchor: null };
}

/** One view back; at the outermost the cursor goes. */
export function placeBack(place: Place): Place {
  if (place.anchor !== null) {
    return { ...place, anchor: null };
  }
  const view = place.back.at(-1);
  if (view === undefined) {
    return { ...place, cursor: null };
  }
  return { ...place, view, back: place.back.slice(0, -1) };
}

/** The next state, or null for a key that means nothing here. */
export function placeKey(place: Place, key: Key, pixels: number, seconds: number): Place | null {
  const { view } = place;
  const step = stepOf(view, pixels);
  const at = place.cursor ?? view.from_s;
  const start = place.cursor === null ? view.from_s : null;
  const to = (t: number): Place => ({
    ...place,
    cursor: clamp(t, view),
    anchor: key.shift ? (place.anchor ?? at) : null,
  });
  switch (key.key) {
    case "ArrowRight":
      return to(start ?? at + step);
    case "ArrowLeft":
      return to(place.cursor === null ? view.to_s - 1 : at - step);
    case "PageDown":
      return to(at + Math.max(Math.round((view.to_s - view.from_s) / 10), 1));
    case "PageUp":
      return to(at - Math.max(Math.round((view.to_s - view.from_s) / 10), 1));
    case "Home":
      return to(view.from_s);
    case "End":
      return to(view.to_s - 1);
    case "Enter": {
      const marked = markedOf(place);
      return marked === null ? null : placeInto(place, marked, seconds);
    }
    case "Escape":
      /* Nothing to go back to: the key belongs to whoever is around. */
      return place.anchor === null && place.back.length === 0 && place.cursor === null ? null : placeBack(place);
    default:
      return null;
  }
}

/** Shift was let go: a marked span is zoomed into, as when the pointer is let go. */
export function placeRelease(place: Place, seconds: number): Place {
  const marked = markedOf(place);
  return marked === null ? { ...place, anchor: null } : placeInto(place, marked, seconds);
}
