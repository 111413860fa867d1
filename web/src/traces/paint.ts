/* What a panel's canvas shows besides its scale: tints, hatching, lines.  Colours are the page's
 * custom properties, read whenever it is painted, so that dark and print are right. */
import type uPlot from "uplot";
import type { Columns } from "./columns";
import type { Panel, PanelName } from "./panels";

export type Colour =
  | "paper" | "ink" | "quiet" | "hairline" | "plum" | "target" | "power" | "power-ribbon" | "heart"
  | "heart-text" | "heart-expected" | "cadence" | "temperature" | "altitude" | "masked";

export function colour(name: Colour): string {
  return getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim() || "#808080";
}

const LINES: Readonly<Record<PanelName, Colour>> = {
  power: "power",
  heart: "heart",
  cadence: "cadence",
  temperature: "temperature",
  altitude: "altitude",
};

function xAt(u: uPlot, t: number): number {
  return u.valToPos(t, "x", true);
}

function yAt(u: uPlot, panel: Panel, value: number): number {
  return u.valToPos(Math.min(Math.max(value, panel.low), panel.high), "y", true);
}

function clip(u: uPlot, draw: () => void): void {
  const { ctx, bbox } = u;
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  draw();
  ctx.restore();
}

function paintTargets(u: uPlot, panel: Panel, edges: boolean): void {
  const { ctx } = u;
  for (const target of panel.targets) {
    const left = xAt(u, target.from_s);
    const right = xAt(u, target.to_s);
    const top = yAt(u, panel, target.high_w ?? panel.high);
    const bottom = yAt(u, panel, target.low_w ?? panel.low);
    if (!edges) {
      ctx.fillStyle = colour("target");
      ctx.fillRect(left, top, right - left, bottom - top);
      continue;
    }
    ctx.strokeStyle = colour("plum");
    ctx.lineWidth = 0.7 * devicePixelRatio;
    ctx.beginPath();
    for (const [end, y] of [[target.high_w, top], [target.low_w, bottom]] as const) {
      if (end !== null) {
        ctx.moveTo(left, y);
        ctx.lineTo(right, y);
      }
    }
    ctx.stroke();
  }
}

/** Diagonal lines on one grid of the canvas; a narrow span gets a tick above it, to be seen at all. */
function paintMasks(u: uPlot, panel: Panel): void {
  const { ctx, bbox } = u;
  const ratio = devicePixelRatio;
  const apart = 6 * ratio;
  ctx.strokeStyle = colour("masked");
  for (const mask of panel.masks) {
    const left = Math.max(xAt(u, mask.from_s), bbox.left);
    const right = Math.min(Math.max(xAt(u, mask.to_s), left + ratio), bbox.left + bbox.width);
    ctx.save();
    ctx.beginPath();
    ctx.rect(left, bbox.top, right - left, bbox.height);
    ctx.clip();
    ctx.lineWidth = 0.8 * ratio;
    ctx.beginPath();
    for (let x = Math.floor((left - bbox.height) / apart) * apart; x < right; x += apart) {
      ctx.moveTo(x, bbox.top + bbox.height);
      ctx.lineTo(x + bbox.height, bbox.top);
    }
    ctx.stroke();
    ctx.restore();
    if (right - left < 3 * ratio) {
      ctx.lineWidth = 1.5 * ratio;
      ctx.beginPath();
      ctx.moveTo((left + right) / 2, bbox.top);
      ctx.lineTo((left + right) / 2, bbox.top + 5 * ratio);
      ctx.stroke();
    }
  }
}

/** Runs of known columns, first and last index. */
export function runsOf(columns: Columns): [number, number][] {
  const runs: [number, number][] = [];
  let begin = -1;
  for (let i = 0; i <= columns.mean.length; i++) {
    const known = i < columns.mean.length && !Number.isNaN(columns.mean[i] ?? NaN);
    if (known && begin < 0) {
      begin = i;
    }
    if (!known && begin >= 0) {
      runs.push([begin, i - 1]);
      begin = -1;
    }
  }
  return runs;
}

/** The area between the ends of the columns; `foot`: from the bottom of the panel instead. */
function paintBand(u: uPlot, panel: Panel, columns: Columns, fill: Colour, foot: boolean): void {
  const { ctx, bbox } = u;
  const half = columns.width_s / 2;
  ctx.fillStyle = colour(fill);
  for (const [begin, end] of runsOf(columns)) {
    ctx.beginPath();
    for (let i = begin; i <= end; i++) {
      const y = yAt(u, panel, columns.high[i] ?? NaN);
      const t = columns.at[i] ?? NaN;
      ctx.lineTo(xAt(u, t - half), y);
      ctx.lineTo(xAt(u, t + half), y);
    }
    for (let i = end; i >= begin; i--) {
      const y = foot ? bbox.top + bbox.height : yAt(u, panel, columns.low[i] ?? NaN) + 0.5 * devicePixelRatio;
      const t = columns.at[i] ?? NaN;
      ctx.lineTo(xAt(u, t + half), y);
      ctx.lineTo(xAt(u, t - half), y);
    }
    ctx.closePath();
    ctx.fill();
  }
}

function paintLine(u: uPlot, panel: Panel): void {
  const { ctx } = u;
  const columns = panel.line;
  const ratio = devicePixelRatio;
  ctx.strokeStyle = colour(LINES[panel.name]);
  ctx.lineWidth = (panel.name === "power" ? 1 : 1.4) * ratio;
  ctx.lineJoin = "round";
  ctx.setLineDash(panel.name === "heart" ? [4 * ratio, 2.5 * ratio] : []);
  for (const [begin, end] of runsOf(columns)) {
    ctx.beginPath();
    if (begin === end) {
      /* A column alone is a dash as wide as itself. */
      const y = yAt(u, panel, columns.mean[begin] ?? NaN);
      ctx.moveTo(xAt(u, (columns.at[begin] ?? NaN) - columns.width_s / 2), y);
      ctx.lineTo(xAt(u, (columns.at[begin] ?? NaN) + columns.width_s / 2), y);
    }
    for (let i = begin; i <= end && end > begin; i++) {
      ctx.lineTo(xAt(u, columns.at[i] ?? NaN), yAt(u, panel, columns.mean[i] ?? NaN));
    }
    ctx.stroke();
  }
  ctx.setLineDash([]);
}

/** What lies under the lines of the scale. */
export function paintUnder(u: uPlot, panel: Panel): void {
  clip(u, () => {
    paintTargets(u, panel, false);
    if (panel.name === "altitude") {
      paintBand(u, panel, panel.line, "altitude", true);
    }
    if (panel.expected !== null) {
      paintBand(u, panel, panel.expected, "heart-expected", false);
    }
  });
}

/** What lies over them. */
export function paintOver(u: uPlot, panel: Panel): void {
  clip(u, () => {
    paintMasks(u, panel);
    if (panel.ribbon !== null) {
      paintBand(u, panel, panel.ribbon, "power-ribbon", false);
    }
    if (panel.name !== "altitude") {
      paintLine(u, panel);
    }
    paintTargets(u, panel, true);
  });
}
