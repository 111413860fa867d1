/* Mean power against duration, of one range of days or two: own SVG, so that it can be read by
 * pointer and arrow keys, and prints sharp. */
import { useLayoutEffect, useRef, useState } from "preact/hooks";

import { number } from "../formats";
import { lasting } from "../traces/ticks";
import {
  type CurvePoint, durationAt, durationTicks, nearest, pathOf, powerTicks, scaleOf, xOf, yOf,
} from "./curve";
import { bestsWords } from "./words";

export interface MeanPowerProps {
  readonly curve: readonly CurvePoint[];
  readonly against: readonly CurvePoint[];
  readonly unit: string;
  readonly decimals: number;
  /** Which days: "20 July to 31 August". */
  readonly words: string;
  readonly againstWords: string;
}

const LEFT = 44;
const RIGHT = 14;
const TOP = 26;
const BOTTOM = 30;
const LABEL_ROOM = 54;

export function MeanPower({ curve, against, unit, decimals, words, againstWords }: MeanPowerProps) {
  const box = useRef<HTMLDivElement>(null);
  const [width, setWidth] = useState(640);
  const [at, setAt] = useState<number | null>(null);
  useLayoutEffect(() => {
    const place = box.current;
    if (place === null) {
      return undefined;
    }
    const look = (): void => setWidth(Math.max(place.clientWidth, 240));
    look();
    const observer = new ResizeObserver(look);
    observer.observe(place);
    return () => observer.disconnect();
  }, []);
  const height = Math.min(Math.max(width * 0.42, 200), 340);
  const scale = scaleOf([curve, against], width - LEFT - RIGHT, height - TOP - BOTTOM);
  const point = at === null ? null : nearest(curve, at);
  const other = at === null || against.length === 0 ? null : nearest(against, at);
  const told = point === null ? bestsWords.curveHint : [
    `${lasting(point.duration_s)}: ${number(point.value, decimals)}\u00a0${unit}`,
    other === null ? "" : `beside it ${number(other.value, decimals)}\u00a0${unit}`,
  ].filter((part) => part !== "").join(", ");
  const onKey = (event: KeyboardEvent): void => {
    const step = { ArrowRight: 1, ArrowLeft: -1, PageDown: 12, PageUp: -12 }[event.key];
    const from = at === null ? 0 : xOf(scale, at);
    if (step !== undefined) {
      event.preventDefault();
      /* A pixel may hold no further duration: on until one comes. */
      for (let x = from + step * 4; ; x += step) {
        const next = nearest(curve, durationAt(scale, x));
        if (next === null || x < 0 || x > scale.width || next.duration_s !== point?.duration_s) {
          setAt(next?.duration_s ?? null);
          break;
        }
      }
    } else if (event.key === "Home" || event.key === "End") {
      event.preventDefault();
      setAt(event.key === "Home" ? (curve[0]?.duration_s ?? null) : (curve.at(-1)?.duration_s ?? null));
    } else if (event.key === "Escape" && at !== null) {
      event.preventDefault();
      setAt(null);
    }
  };
  const onPoint = (event: PointerEvent): void => {
    const place = box.current?.getBoundingClientRect();
    if (place !== undefined) {
      setAt(durationAt(scale, event.clientX - place.left - LEFT));
    }
  };
  return (
    <figure class="mean-power">
      <p class="traces-reading" role="status">{told}</p>
      <div ref={box} class="mean-power-box" tabIndex={0} role="application"
           aria-label={`${bestsWords.curve}. ${bestsWords.curveHint}`} onKeyDown={onKey} onPointerMove={onPoint}>
        <svg width={width} height={height} viewBox={`0 0 ${width} ${height}`} aria-hidden="true" focusable="false">
          <text class="curve-number fill-ink" x="0" y="12">{`mean power, ${unit}`}</text>
          <g transform={`translate(${LEFT},${TOP})`}>
            {powerTicks(scale).map((tick) => (
              <g key={tick}>
                <path class="stroke-hairline" d={`M0,${yOf(scale, tick)}H${scale.width}`} />
                <text class="curve-number fill-quiet" x="-6" y={yOf(scale, tick) + 4} text-anchor="end">{number(tick, 1)}</text>
              </g>
            ))}
            {durationTicks(scale, LABEL_ROOM).map((tick) => (
              <g key={tick}>
                <path class="stroke-quiet" d={`M${xOf(scale, tick)},${scale.height}v4`} />
                <text class="curve-number fill-quiet" y={scale.height + 18}
                      x={Math.min(xOf(scale, tick), scale.width - 10)} text-anchor="middle">{lasting(tick)}</text>
              </g>
            ))}
            <path class="stroke-quiet" d={`M0,${scale.height}H${scale.width}`} />
            {against.length > 0 && (
              <path class="curve-against" d={pathOf(against, scale)} fill="none" />
            )}
            <path class="stroke-power" d={pathOf(curve, scale)} fill="none" stroke-width="1.6" stroke-linejoin="round" />
            {point !== null && (
              <>
                <path class="stroke-plum" d={`M${xOf(scale, point.duration_s)},0V${scale.height}`} stroke-width="1" />
                <circle class="fill-plum" cx={xOf(scale, point.duration_s)} cy={yOf(scale, point.value)} r="3.5" />
              </>
            )}
          </g>
        </svg>
      </div>
      <figcaption>
        <span class="curve-key"><svg width="28" height="8" aria-hidden="true"><path class="stroke-power" d="M0,4H28" stroke-width="1.6" /></svg> {words}</span>
        {against.length > 0 && (
          <span class="curve-key"><svg width="28" height="8" aria-hidden="true"><path class="curve-against" d="M0,4H28" /></svg> {againstWords}</span>
        )}
      </figcaption>
    </figure>
  );
}
