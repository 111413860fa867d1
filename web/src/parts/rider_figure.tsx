/* A figure about a rider or a ride, laid out by the server for the width that there is. */
import type { ComponentChildren, RefObject } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";

import { useAnswer } from "../answer";
import type { Scene as SceneAnswer } from "../api_types";
import { labels } from "../labels";
import { PIXELS, Scene } from "./scene";

const NARROWEST = 215;
const WIDEST = 620;
const STEP = 20; /* a window that is pulled wider doesn't ask for every pixel */

/* Points for so many pixels: as many as fit, in steps, so that the figure is never shrunk. */
export function pointsFor(pixels: number): number {
  const fits = Math.floor(pixels / PIXELS / STEP) * STEP;
  return Math.min(WIDEST, Math.max(NARROWEST, fits));
}

/* An element, and the points that fit into it; null before it was measured. */
export function usePoints(): [RefObject<HTMLDivElement | null>, number | null] {
  const box = useRef<HTMLDivElement>(null);
  const [points, setPoints] = useState<number | null>(null);
  useEffect(() => {
    const element = box.current;
    if (element === null) {
      return undefined;
    }
    const measure = (): void => setPoints(pointsFor(element.clientWidth));
    measure();
    if (typeof ResizeObserver === "undefined") {
      return undefined;
    }
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return [box, points];
}

interface LaidFigureProps {
  readonly path: string; /* of the answer: "riders/4/figures/ladder" */
  readonly caption: ComponentChildren;
  readonly table?: ComponentChildren; /* else the one that the scene brings */
  readonly query?: string;
}

function LaidFigure({ path, caption, table, query = "" }: LaidFigureProps) {
  const [box, points] = usePoints();
  const scene = useAnswer<SceneAnswer>(
    points === null ? null : `${path}?width=${points}${query === "" ? "" : `&${query}`}`,
  );
  // While another width is on its way the one that was there stays, only scaled.
  const last = useRef<SceneAnswer | null>(null);
  last.current = scene.data ?? last.current;
  return (
    <div class="rider-figure" ref={box}>
      {last.current !== null ? (
        <Scene scene={last.current} caption={caption} {...(table === undefined ? {} : { table })} />
      ) : (
        <p class="loading">{scene.problem?.message ?? labels.loading}</p>
      )}
    </div>
  );
}

export interface RiderFigureProps {
  readonly rider: number;
  readonly name: "ladder" | "base-tests" | "week-load" | "curves" | "heart-weeks" | "durations" | "teaching";
  readonly caption: ComponentChildren;
  readonly table?: ComponentChildren;
  readonly query?: string;
}

export function RiderFigure({ rider, name, ...rest }: RiderFigureProps) {
  return <LaidFigure path={`riders/${rider}/figures/${name}`} {...rest} />;
}

export interface RideFigureProps {
  readonly ride: number;
  readonly name: "heart" | "left";
  readonly caption: ComponentChildren;
}

export function RideFigure({ ride, name, ...rest }: RideFigureProps) {
  return <LaidFigure path={`rides/${ride}/figures/${name}`} {...rest} />;
}
