/* A session's profile: power asked, under it the heart rate to be expected and what is left of W',
 * on one time axis. */
import { useLayoutEffect, useRef, useState } from "preact/hooks";

import type { SessionOutlook, SessionStep } from "../api_types";
import { number } from "../formats";
import { labels } from "../labels";
import { clockLabel, clockTicks, lasting, numberTicks } from "../traces/ticks";
import { type Profile, profileOf, wattsOf } from "./plan";
import { draftWords } from "./words";

const LEFT = 40;
const RIGHT = 8;
const TITLE = 18;
const GAP = 18;
const AXIS = 24;
const POWER = 132;
const HEART = 84;
const W_LEFT = 64;

interface PanelProps {
  readonly title: string;
  readonly top: number;
  readonly height: number;
  readonly width: number;
  readonly low: number;
  readonly high: number;
  readonly children: (y: (value: number) => number) => preact.ComponentChildren;
}

/* A panel with a title over it and round ticks at its left. */
function Panel({ title, top, height, width, low, high, children }: PanelProps) {
  const y = (value: number): number => height - ((value - low) / (high - low)) * height;
  return (
    <g transform={`translate(${LEFT},${top + TITLE})`}>
      <text class="profile-word fill-quiet" x={-LEFT} y={-6}>{title}</text>
      {numberTicks(low, high, 4).map((tick) => (
        <g key={tick}>
          <path class="stroke-hairline" d={`M0,${y(tick)}H${width}`} />
          <text class="profile-word fill-quiet" x={-6} y={y(tick) + 4} text-anchor="end">{number(tick, 1)}</text>
        </g>
      ))}
      {children(y)}
      <path class="stroke-quiet" d={`M0,${height}H${width}`} />
    </g>
  );
}

function Asked({ profile, x, y, threshold_w }: {
  readonly profile: Profile;
  readonly x: (s: number) => number;
  readonly y: (value: number) => number;
  readonly threshold_w: number | null;
}) {
  const line = profile.unit === "W" ? threshold_w : 100;
  return (
    <>
      {profile.parts.map((part, i) => {
        const left = x(part.from_s);
        const wide = Math.max(x(part.to_s) - left, 0.5);
        return part.open ? (
          <rect key={i} class="profile-open" x={left} y={y(part.high)} width={wide} height={y(0) - y(part.high)} />
        ) : (
          <g key={i}>
            <rect class="fill-target" x={left} y={y(part.high)} width={wide} height={y(0) - y(part.high)} />
            <rect class="fill-likely" x={left} y={y(part.high) - 1} width={wide} height={Math.max(y(part.low) - y(part.high), 1) + 2} />
            <path class="stroke-power" d={`M${left},${y((part.low + part.high) / 2)}h${wide}`} stroke-width="1.4" />
          </g>
        );
      })}
      {line !== null && line <= profile.top && (
        <path class="stroke-plum" d={`M0,${y(line)}H${x(profile.seconds)}`} stroke-dasharray="1 4" stroke-width="1.2" />
      )}
    </>
  );
}

/* Mean of a minute, at its middle; gaps where there is none. */
function Heart({ minutes, x, y }: {
  readonly minutes: SessionOutlook["minutes"];
  readonly x: (s: number) => number;
  readonly y: (value: number) => number;
}) {
  const runs: { at: number; low: number; mid: number; high: number }[][] = [[]];
  minutes.forEach((minute, i) => {
    const { heart_rate_bpm: mid, heart_rate_low_bpm: low, heart_rate_high_bpm: high } = minute;
    if (mid === null || low === null || high === null) {
      runs.push([]);
    } else {
      runs.at(-1)?.push({ at: x(60 * i + 30), low, mid, high });
    }
  });
  return (
    <>
      {runs.filter((run) => run.length > 0).map((run, i) => (
        <g key={i}>
          <path class="fill-heart-expected" d={`M${run.map((one) => `${one.at},${y(one.high)}`).join("L")}L${run.toReversed().map((one) => `${one.at},${y(one.low)}`).join("L")}Z`} />
          <path class="stroke-heart" fill="none" stroke-width="1.4" stroke-dasharray="4 3" d={`M${run.map((one) => `${one.at},${y(one.mid)}`).join("L")}`} />
        </g>
      ))}
    </>
  );
}

function Left({ efforts, x, y }: {
  readonly efforts: SessionOutlook["efforts"];
  readonly x: (s: number) => number;
  readonly y: (value: number) => number;
}) {
  return (
    <>
      <path class="stroke-plum" d={`M0,${y(0)}H${x(Number.MAX_SAFE_INTEGER)}`} stroke-width="1.2" />
      {efforts.map((one, i) => {
        const { w_prime_left_j: mid, w_prime_left_low_j: low, w_prime_left_high_j: high } = one;
        const at = x(one.start_s + one.duration_s);
        return mid === null || low === null || high === null ? null : (
          <g key={i}>
            <path class="stroke-likely" stroke-width="7" d={`M${at},${y(low / 1000)}V${y(high / 1000)}`} />
            <circle class="fill-plum" cx={at} cy={y(mid / 1000)} r="3" />
          </g>
        );
      })}
    </>
  );
}

function told(value: number | null | undefined, decimals: number, per = 1): string {
  return value === null || value === undefined ? "–" : number(value / per, decimals);
}

function StepTable({ steps, outlook }: { readonly steps: readonly SessionStep[]; readonly outlook: SessionOutlook | null }) {
  let from = 0;
  const rows = steps.map((step) => {
    const at = from;
    from += step.duration_s;
    return { step, at, effort: outlook?.efforts.find((one) => one.start_s === at) ?? null };
  });
  return (
    <details class="figure-table">
      <summary>{labels.asTable}</summary>
      <div class="scrolls" tabIndex={0} role="group" aria-label={draftWords.profile}>
        <table>
          <thead>
            <tr>
              <th scope="col" class="number">{draftWords.tableFrom}</th>
              <th scope="col">{draftWords.tableAsked}</th>
              <th scope="col" class="number">{draftWords.tableWatts}</th>
              <th scope="col" class="number">{draftWords.tableHeart}</th>
              <th scope="col" class="number">{draftWords.tableLeft}</th>
            </tr>
          </thead>
          <tbody>
            {rows.map(({ step, at, effort }, i) => (
              <tr key={i}>
                <td class="number">{lasting(at)}</td>
                <td>{step.text}</td>
                <td class="number">{wattsOf(step)}</td>
                <td class="number">{told(effort?.heart_end_bpm, 0)}</td>
                <td class="number">{told(effort?.w_prime_left_j, 1, 1000)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </details>
  );
}

export interface ProfileViewProps {
  readonly steps: readonly SessionStep[];
  readonly threshold_w: number | null;
  readonly outlook: SessionOutlook | null;
}

export function ProfileView({ steps, threshold_w, outlook }: ProfileViewProps) {
  const box = useRef<HTMLDivElement>(null);
  const [width, setWidth] = useState(560);
  useLayoutEffect(() => {
    const place = box.current;
    if (place === null || typeof ResizeObserver === "undefined") {
      return undefined;
    }
    const look = (): void => setWidth(Math.max(place.clientWidth, 220));
    look();
    const observer = new ResizeObserver(look);
    observer.observe(place);
    return () => observer.disconnect();
  }, []);
  const profile = profileOf(steps, threshold_w);
  const wide = width - LEFT - RIGHT;
  const x = (s: number): number => (Math.min(s, profile.seconds) / profile.seconds) * wide;
  const beats = (outlook?.minutes ?? []).flatMap((one) => [one.heart_rate_low_bpm, one.heart_rate_high_bpm]).filter((value) => value !== null);
  const left = (outlook?.efforts ?? []).flatMap((one) => [one.w_prime_left_low_j, one.w_prime_left_high_j]).filter((value) => value !== null).map((value) => value / 1000);
  const heartTop = TITLE + POWER + GAP;
  const leftTop = heartTop + (beats.length > 0 ? TITLE + HEART + GAP : 0);
  const bottom = leftTop + (left.length > 0 ? TITLE + W_LEFT + GAP : 0) - GAP;
  const ticks = clockTicks(0, profile.seconds, Math.max(2, Math.floor(wide / 70)));
  const said = `${draftWords.profile}: ${steps.map((step) => step.text).slice(0, 12).join(", ")}`;
  return (
    <figure class="profile">
      <div ref={box}>
        <svg width={width} height={bottom + AXIS} viewBox={`0 0 ${width} ${bottom + AXIS}`} role="img" aria-label={said}>
          <defs>
            <pattern id="profile-open" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
              <path class="stroke-masked" d="M0,0V6" stroke-width="1.5" />
            </pattern>
          </defs>
          <Panel title={draftWords.power(profile.unit)} top={0} height={POWER} width={wide} low={0} high={profile.top}>
            {(y) => <Asked profile={profile} x={x} y={y} threshold_w={threshold_w} />}
          </Panel>
          {beats.length > 0 && outlook !== null && (
            <Panel title={draftWords.heart} top={heartTop} height={HEART} width={wide} low={Math.min(...beats) - 5} high={Math.max(...beats) + 5}>
              {(y) => <Heart minutes={outlook.minutes} x={x} y={y} />}
            </Panel>
          )}
          {left.length > 0 && outlook !== null && (
            <Panel title={draftWords.left} top={leftTop} height={W_LEFT} width={wide} low={Math.min(0, ...left)} high={Math.max(1, ...left)}>
              {(y) => <Left efforts={outlook.efforts} x={x} y={y} />}
            </Panel>
          )}
          {ticks.at.map((tick) => (
            <g key={tick} transform={`translate(${LEFT + x(tick)},${bottom})`}>
              <path class="stroke-quiet" d="M0,0v4" />
              <text class="profile-word fill-quiet" y="18" text-anchor={tick === 0 ? "start" : x(tick) > wide - 20 ? "end" : "middle"}>{clockLabel(tick, ticks.step_s)}</text>
            </g>
          ))}
        </svg>
      </div>
      <figcaption>
        {draftWords.captionProfile}
        {profile.parts.some((part) => part.open) && ` ${draftWords.captionOpen}`}
        {beats.length > 0 && ` ${draftWords.captionHeart}`}
        {left.length > 0 && ` ${draftWords.captionLeft}`}
      </figcaption>
      <StepTable steps={steps} outlook={outlook} />
    </figure>
  );
}
