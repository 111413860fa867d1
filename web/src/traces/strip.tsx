/* Under the panels: evidence in numbered brackets, then the line of time, broken where the ride
 * stood. */
import type { Span } from "./answer";
import { RIGHT_WIDTH, SCALE_WIDTH } from "./plot";
import { type Bracket, labelsThatFit, lanesOf, ridden } from "./spans";
import { clockLabel, clockTicks } from "./ticks";

const LANE = 20;
const AXIS = 24;

export interface StripProps {
  readonly view: Span;
  readonly width: number;
  readonly brackets: readonly Bracket[];
  readonly pauses: readonly Span[];
  readonly measure: (words: string) => number;
}

export function Strip({ view, width, brackets, pauses, measure }: StripProps) {
  const inner = width - SCALE_WIDTH - RIGHT_WIDTH;
  const x = (t: number): number => SCALE_WIDTH + ((t - view.from_s) / (view.to_s - view.from_s)) * inner;
  const within = (t: number): number => Math.min(Math.max(x(t), SCALE_WIDTH), SCALE_WIDTH + inner);
  const laned = lanesOf(brackets, view);
  const lanes = Math.max(0, ...laned.map((bracket) => bracket.lane + 1));
  const top = 4 + lanes * LANE;
  const ticks = clockTicks(view.from_s, view.to_s, Math.max(Math.floor(inner / 62), 2));
  const height = top + AXIS;
  const middles = laned.map((bracket) => {
    const wide = measure(bracket.words) / 2;
    const middle = (within(bracket.from_s) + within(bracket.to_s)) / 2;
    return Math.min(Math.max(middle, SCALE_WIDTH + wide), SCALE_WIDTH + inner - wide);
  });
  const laneShown = laned.map((bracket, i) => {
    const peers = laned.flatMap((other, k) => (other.lane === bracket.lane ? [k] : []));
    const fits = labelsThatFit(peers.map((k) => ({ middle: middles[k] ?? 0, width: measure(laned[k]?.words ?? "") })), 4);
    return fits[peers.indexOf(i)] ?? false;
  });
  return (
    <svg class="trace-strip" width={width} height={height} viewBox={`0 0 ${width} ${height}`} aria-hidden="true"
         focusable="false">
      {laned.map((bracket, i) => {
        const y = 3 + bracket.lane * LANE;
        const left = within(bracket.from_s);
        const right = Math.max(within(bracket.to_s), left + 1);
        const begin = bracket.from_s >= view.from_s ? `M${left},${y}v4` : `M${left},${y + 4}`;
        const end = bracket.to_s <= view.to_s ? `H${right}v-4` : `H${right}`;
        return (
          <g key={`${bracket.from_s}-${bracket.to_s}-${bracket.words}`}>
            <path class="stroke-ink" d={begin + end} fill="none" />
            {laneShown[i] === true && (
              <text class="trace-number fill-ink" x={middles[i]} y={y + 16} text-anchor="middle">{bracket.words}</text>
            )}
          </g>
        );
      })}
      {ridden(view, pauses).map((span) => (
        <path key={span.from_s} class="stroke-quiet" d={`M${x(span.from_s)},${top}H${x(span.to_s)}`} />
      ))}
      {ticks.at.map((t) => {
        const words = clockLabel(t, ticks.step_s);
        const half = measure(words) / 2 + 1;
        return (
          <g key={t}>
            <path class="stroke-quiet" d={`M${x(t)},${top}v4`} />
            <text class="trace-time fill-quiet" x={Math.min(Math.max(x(t), half), width - half)} y={top + 17}
                  text-anchor="middle">{words}</text>
          </g>
        );
      })}
    </svg>
  );
}
