/* A figure as the server laid it out (api/scene.schema.json), drawn as SVG in the page's own two
 * font families and its colour tokens, so that dark and print follow by themselves.
 *
 *     <Scene scene={reading.gauge} caption="Heart rate over the hour" size="gauge" />
 *
 * A scene scales as one picture: where there is less room it gets smaller, never clipped.  Its
 * parts carry their words; a table of the numbers goes into `table`. */
import type { ComponentChildren, VNode } from "preact";
import { useId } from "preact/hooks";

import { labels } from "../labels";

export interface SceneRun {
  readonly face: string;
  readonly colour: string;
  readonly words: string;
}

export type SceneItem =
  | {
      readonly kind: "text";
      readonly x: number;
      readonly y: number;
      readonly anchor: "start" | "middle" | "end";
      readonly size: number;
      readonly face: string;
      readonly colour: string;
      readonly words: string;
      readonly width: number;
    }
  | {
      readonly kind: "paragraph";
      readonly x: number;
      readonly y: number;
      readonly width: number;
      readonly height: number;
      readonly size: number;
      readonly lines: readonly { readonly x: number; readonly y: number; readonly runs: readonly SceneRun[] }[];
    }
  | {
      readonly kind: "path";
      readonly colour: string;
      readonly stroke_width: number;
      readonly dash: number;
      readonly points: readonly number[];
    }
  | { readonly kind: "area"; readonly colour: string; readonly points: readonly number[] }
  | {
      readonly kind: "hatch";
      readonly colour: string;
      readonly x: number;
      readonly y: number;
      readonly width: number;
      readonly height: number;
    }
  | {
      readonly kind: "mark";
      readonly x: number;
      readonly y: number;
      readonly size: number;
      readonly mark: "full" | "hollow" | "half" | "dotted";
      readonly outline: string;
      readonly left_half: string | null;
      readonly stroke_width: number;
      readonly dash: number;
    }
  | { readonly kind: "begin"; readonly role: string; readonly label: string | null }
  | { readonly kind: "end"; readonly role: string };

export interface SceneTable {
  readonly caption: string;
  readonly heads: readonly string[];
  readonly rows: readonly (readonly string[])[];
}

export interface SceneData {
  readonly title: string;
  readonly width: number;
  readonly height: number;
  readonly items: readonly SceneItem[];
  readonly table?: SceneTable; /* its numbers in words */
}

/* Classes of page.css; a name that isn't known gives ink and sans. */
const word = (name: string): string => name.replace(/[^a-z0-9-]/g, "");

/* "x,y x,y ..." of a flat list. */
export function pointList(points: readonly number[]): string {
  const pairs: string[] = [];
  for (let i = 0; i + 1 < points.length; i += 2) {
    pairs.push(`${points[i] ?? 0},${points[i + 1] ?? 0}`);
  }
  return pairs.join(" ");
}

/* What the parts say to who can't see them, one after the other. */
export function sceneLabels(scene: SceneData): string[] {
  return scene.items.flatMap((item) => (item.kind === "begin" && item.label !== null ? [item.label] : []));
}

function drawn(item: SceneItem, i: number, hatch: string): VNode | null {
  switch (item.kind) {
    case "text":
      return (
        <text key={i} class={`face-${word(item.face)} fill-${word(item.colour)}`} x={item.x} y={item.y}
              font-size={item.size} text-anchor={item.anchor}>
          {item.words}
        </text>
      );
    case "paragraph":
      return (
        <g key={i} font-size={item.size}>
          {item.lines.map((line, k) => (
            <text key={k} x={line.x} y={line.y} xml:space="preserve">
              {line.runs.map((run, n) => (
                <tspan key={n} class={`face-${word(run.face)} fill-${word(run.colour)}`}>
                  {run.words}
                </tspan>
              ))}
            </text>
          ))}
        </g>
      );
    case "path":
      return (
        <polyline key={i} class={`stroke-${word(item.colour)}`} points={pointList(item.points)} fill="none"
                  stroke-width={item.stroke_width} stroke-linejoin="round"
                  {...(item.dash > 0 ? { "stroke-dasharray": item.dash } : {})} />
      );
    case "area":
      return <polygon key={i} class={`fill-${word(item.colour)}`} points={pointList(item.points)} />;
    case "hatch":
      return (
        <rect key={i} class={`stroke-${word(item.colour)}`} stroke="none" x={item.x} y={item.y}
              width={item.width} height={item.height} fill={`url(#${hatch})`} />
      );
    case "mark":
      return (
        <g key={i}>
          {item.mark !== "full" && <path class="fill-paper" d={item.outline} />}
          {item.mark === "full" && <path class="fill-plum" d={item.outline} />}
          {item.left_half !== null && <path class="fill-plum" d={item.left_half} />}
          {item.mark !== "full" && (
            <path class="stroke-plum" d={item.outline} fill="none" stroke-width={item.stroke_width}
                  {...(item.dash > 0 ? { "stroke-dasharray": item.dash } : {})} />
          )}
        </g>
      );
    case "begin":
    case "end":
      return null;
  }
}

/* The first cell of a row names it. */
function OwnTable({ table }: { readonly table: SceneTable }) {
  return (
    <table>
      <caption class="only-read">{table.caption}</caption>
      <thead>
        <tr>{table.heads.map((head) => <th key={head} scope="col">{head}</th>)}</tr>
      </thead>
      <tbody>
        {table.rows.map((row, i) => (
          <tr key={i}>
            {row.map((cell, k) => (k === 0 ? <th key={k} scope="row">{cell}</th> : <td key={k} class="number">{cell}</td>))}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

export interface SceneProps {
  readonly scene: SceneData;
  readonly caption?: ComponentChildren;
  readonly table?: ComponentChildren; /* of the same numbers, opened on demand; else the scene's own */
  readonly tableLabel?: string;
  readonly words?: string | null; /* the figure for who can't see it; else what its parts say */
  readonly size?: "gauge" | "wide";
}

/* Pixels of a point: letters of 8 points are then as large as small print on a screen. */
export const PIXELS = 1.5;

export function Scene({ scene, caption, table, tableLabel = labels.asTable, words, size = "wide" }: SceneProps) {
  const id = useId();
  const parts = sceneLabels(scene);
  const shown = table ?? (scene.table === undefined ? undefined : <OwnTable table={scene.table} />);
  const said = words ?? (parts.length > 0 ? parts.join(" ") : scene.title);
  return (
    <figure class={`scene scene-${size}`}>
      <svg viewBox={`0 0 ${scene.width} ${scene.height}`} width={scene.width * PIXELS}
           height={scene.height * PIXELS} role="img" aria-labelledby={`${id}-words`} focusable="false">
        <title id={`${id}-words`}>{said}</title>
        <defs>
          <pattern id={`${id}-hatch`} width="5" height="5" patternUnits="userSpaceOnUse">
            <path class="stroke-masked" d="M-1,1 l2,-2 M0,5 l5,-5 M4,6 l2,-2" stroke-width="0.6" />
          </pattern>
        </defs>
        {scene.items.map((item, i) => drawn(item, i, `${id}-hatch`))}
      </svg>
      {caption !== undefined && <figcaption>{caption}</figcaption>}
      {shown !== undefined && (
        <details class="figure-table">
          <summary>{tableLabel}</summary>
          <div class="scrolls" tabIndex={0} role="region" aria-label={`${tableLabel}: ${scene.title}`}>{shown}</div>
        </details>
      )}
    </figure>
  );
}
