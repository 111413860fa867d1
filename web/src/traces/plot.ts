/* One panel as a plot: a canvas with its own scale, a cursor and a drag that all panels share. */
import uPlot from "uplot";

import type { Span } from "./answer";
import { colour, paintOver, paintUnder } from "./paint";
import type { Panel } from "./panels";
import { number } from "../formats";

/** Room for the numbers of a scale, the same on every panel so that all share one time axis. */
export const SCALE_WIDTH = 44;
/** So that the last letter of a time finds room. */
export const RIGHT_WIDTH = 12;
const TOP = 4;
/** So that the lowest number of a scale finds room. */
const FOOT = 8;
/** Of a plot's height, what is no panel. */
export const PLOT_PADDING = TOP + FOOT;
/** A drag shorter than this is a click. */
const LEAST_DRAG = 6;

export interface PlotCalls {
  /** The cursor stands at a second, or nowhere. */
  onCursor: (t: number | null) => void;
  onZoom: (span: Span) => void;
}

export interface Plot {
  show: (panel: Panel, view: Span, width: number, height: number) => void;
  /** Puts the panel's cursor there, without telling; null takes it away. */
  point: (t: number | null) => void;
  /** Marks a span, as a drag does. */
  mark: (span: Span | null) => void;
  repaint: () => void;
  end: () => void;
}

function dataOf(panel: Panel): uPlot.AlignedData {
  return [Array.from(panel.line.at), Array.from(panel.line.mean, (value) => (Number.isNaN(value) ? null : value))];
}

export function beginPlot(place: HTMLElement, sync: string, first: Panel, firstView: Span, width: number,
                           height: number, calls: PlotCalls): Plot {
  let panel = first;
  let view = firstView;
  const spanOfSelect = (u: uPlot): Span => ({
    from_s: Math.round(u.posToVal(u.select.left, "x")),
    to_s: Math.round(u.posToVal(u.select.left + u.select.width, "x")),
  });
  const options: uPlot.Options = {
    width,
    height,
    padding: [TOP, RIGHT_WIDTH, FOOT, 0],
    legend: { show: false },
    cursor: {
      y: false,
      points: { show: false },
      sync: { key: sync, scales: ["x", null], setSeries: false },
      drag: { x: true, y: false, setScale: false, dist: LEAST_DRAG },
      /* A double click asks for nothing of its own: Escape and its button lead back. */
      bind: { dblclick: () => () => null },
    },
    scales: {
      x: { time: false, range: () => [view.from_s, view.to_s] },
      y: { range: () => [panel.low, panel.high] },
    },
    axes: [
      { show: false },
      {
        size: SCALE_WIDTH,
        gap: 6,
        font: "12px Inter, sans-serif",
        stroke: () => colour("quiet"),
        grid: { stroke: () => colour("hairline"), width: 1 },
        ticks: { show: false },
        splits: () => panel.ticks,
        values: (_, splits) => splits.map((value) => number(value)),
      },
    ],
    /* The line is painted by paint.ts: it knows dashes, ribbons and lone seconds. */
    series: [{}, { show: true, paths: () => null, points: { show: false } }],
    hooks: {
      drawClear: [(u) => paintUnder(u, panel)],
      draw: [(u) => paintOver(u, panel)],
      setCursor: [
        (u) => {
          const left = u.cursor.left ?? -1;
          if (isPointed && left >= 0) {
            calls.onCursor(u.posToVal(left, "x"));
          }
        },
      ],
      setSelect: [
        (u) => {
          const span = spanOfSelect(u);
          u.setSelect({ left: 0, top: 0, width: 0, height: 0 }, false);
          if (span.to_s > span.from_s) {
            calls.onZoom(span);
          }
        },
      ],
    },
  };
  /* Of the panels that share a cursor only the one under the pointer tells. */
  let isPointed = false;
  const u = new uPlot(options, dataOf(panel), place);
  u.root.setAttribute("aria-hidden", "true");
  u.over.addEventListener("mouseenter", () => {
    isPointed = true;
  });
  u.over.addEventListener("mouseleave", () => {
    isPointed = false;
    calls.onCursor(null);
  });
  return {
    show: (next, nextView, nextWidth, nextHeight) => {
      panel = next;
      view = nextView;
      if (u.width !== nextWidth || u.height !== nextHeight) {
        u.setSize({ width: nextWidth, height: nextHeight });
      }
      u.setData(dataOf(panel));
    },
    point: (t) => {
      u.setCursor(t === null ? { left: -10, top: -10 } : { left: u.valToPos(t, "x"), top: 2 }, false);
    },
    mark: (span) => {
      const from = span === null ? 0 : u.valToPos(span.from_s, "x");
      const to = span === null ? 0 : u.valToPos(span.to_s, "x");
      u.setSelect({ left: from, top: 0, width: to - from, height: u.bbox.height / devicePixelRatio }, false);
    },
    repaint: () => {
      u.redraw(false);
    },
    end: () => u.destroy(),
  };
}
