/* The two traces: power above, heart rate under it, one shared time axis, and a third by choice.
 *
 * One cursor, moved by pointer or arrow keys, reads all channels.  A drag, or shift with the arrows,
 * looks closer and fetches the seconds of that span; Escape leads back.  Heart rate is never shown
 * without the power beside it. */
import "uplot/dist/uPlot.min.css";

import type { ComponentChildren } from "preact";
import { useEffect, useId, useLayoutEffect, useMemo, useRef, useState } from "preact/hooks";

import { Problem } from "../api";
import { bytesMade } from "../jobs";
import { clock, number } from "../formats";
import { decodeAnswer, BadAnswer, type Span, type TraceAnswer } from "./answer";
import { meanOver } from "./columns";
import { type Place, markedOf, placeInto, placeKey, placeRelease, wholePlace } from "./keys";
import { labelsOf } from "./labels";
import { KINDS, type Panel, panelHas, makePanel, type PanelName, thirdsOf } from "./panels";
import { type Plot, beginPlot, PLOT_PADDING, RIGHT_WIDTH, SCALE_WIDTH } from "./plot";
import { type Polite, beginPolite } from "./polite";
import type { Bracket, Target } from "./spans";
import { Strip } from "./strip";
import { readingAt, readingLine, traceWords } from "./words";

/** Height of a share of one, px. */
const UNIT = 128;
const UNIT_NARROW = 104;
const NARROW = 520;
/** Rows of the table: few enough to read. */
const TABLE_ROWS = 30;

/** A span that something else on the page asks to see; a new object each time it is asked. */
export interface Wanted extends Span {
  cursor?: number;
}

export interface TracesProps {
  readonly ride: number;
  /** Seconds of the whole ride. */
  readonly seconds: number;
  readonly brackets: readonly Bracket[];
  readonly targets: readonly Target[];
  readonly wanted: Wanted | null;
  readonly caption: ComponentChildren;
  /** Grows when the ride was read again: what was left out may have changed. */
  readonly edition?: number;
}

async function fetchTraces(ride: number, view: Span | null, points: number, abort: AbortSignal): Promise<TraceAnswer> {
  const span = view === null ? "" : `&from=${view.from_s}&to=${view.to_s}`;
  return decodeAnswer(await bytesMade(`rides/${ride}/traces?points=${points}${span}`, abort));
}

/** Words as wide as they will be drawn. */
function useMeasure(): (words: string) => number {
  return useMemo(() => {
    const context = document.createElement("canvas").getContext("2d");
    return (words: string): number => {
      if (context === null) {
        return words.length * 7;
      }
      context.font = "12.5px Inter, sans-serif";
      return context.measureText(words).width;
    };
  }, []);
}

function useWidth(): { ref: { current: HTMLDivElement | null }; width: number } {
  const ref = useRef<HTMLDivElement>(null);
  const [width, setWidth] = useState(0);
  useLayoutEffect(() => {
    const box = ref.current;
    if (box === null) {
      return undefined;
    }
    const look = (): void => setWidth(Math.floor(box.clientWidth));
    look();
    const observer = new ResizeObserver(look);
    observer.observe(box);
    return () => observer.disconnect();
  }, []);
  return { ref, width };
}

interface PanelViewProps {
  readonly panel: Panel;
  readonly view: Span;
  readonly width: number;
  readonly height: number;
  readonly sync: string;
  readonly measure: (words: string) => number;
  readonly plots: Map<PanelName, Plot>;
  readonly onCursor: (t: number | null) => void;
  readonly onZoom: (span: Span) => void;
}

function PanelView(props: PanelViewProps) {
  const { panel, view, width, height, plots } = props;
  const place = useRef<HTMLDivElement>(null);
  const calls = useRef(props);
  calls.current = props;
  useLayoutEffect(() => {
    const box = place.current;
    if (box === null) {
      return undefined;
    }
    const plot = beginPlot(box, props.sync, panel, view, width, height, {
      onCursor: (t) => calls.current.onCursor(t),
      onZoom: (span) => calls.current.onZoom(span),
    });
    plots.set(panel.name, plot);
    return () => {
      plots.delete(panel.name);
      plot.end();
    };
  }, [panel.name]);
  useLayoutEffect(() => plots.get(panel.name)?.show(panel, view, width, height), [panel, view, width, height]);
  const frame = {
    width: width - SCALE_WIDTH - RIGHT_WIDTH,
    height: height - PLOT_PADDING,
    from_s: view.from_s,
    to_s: view.to_s,
    measure: props.measure,
  };
  const { labels } = labelsOf(frame, panel);
  return (
    <div class="trace-panel">
      <p class={`trace-title trace-title-${panel.name}`}>{KINDS[panel.name].title}</p>
      <div class="trace-plot">
        <div ref={place} />
        {labels.map((label) => (
          <span key={label.words} class="trace-label" aria-hidden="true"
                style={{ left: `${SCALE_WIDTH + label.x}px`, top: `${label.y + 4}px` }}>
            {label.words}
          </span>
        ))}
      </div>
    </div>
  );
}

function leftOverOf(panel: Panel, view: Span, width: number, height: number, measure: (words: string) => number): string[] {
  const frame = { width: width - SCALE_WIDTH - RIGHT_WIDTH, height: height - PLOT_PADDING, from_s: view.from_s,
                  to_s: view.to_s, measure };
  const { leftOver } = labelsOf(frame, panel);
  return leftOver.map((words) => {
    const mask = panel.masks.find((other) => other.text === words);
    const name = KINDS[panel.name].name;
    if (mask === undefined) {
      return `${traceWords.tinted} in ${name}: ${words}.`;
    }
    const places = panel.masks.filter((other) => other.text === words).length;
    const where = places > 1 ? `${places} places, the first at ${clock(mask.from_s)}` : `at ${clock(mask.from_s)}`;
    return `${traceWords.hatched} of ${name}: ${words}, ${where}.`;
  });
}

function TraceTable({ answer, view, names }: { answer: TraceAnswer; view: Span; names: readonly PanelName[] }) {
  const seconds = view.to_s - view.from_s;
  const step = [1, 5, 10, 30, 60, 120, 300, 600, 900, 1800, 3600].find((s) => seconds / s <= TABLE_ROWS) ?? 7200;
  const rows: Span[] = [];
  for (let t = view.from_s; t < view.to_s; t += step) {
    rows.push({ from_s: t, to_s: Math.min(t + step, view.to_s) });
  }
  return (
    <table class="numbers">
      <caption>Means from the time in the first column to that of the next row.</caption>
      <thead>
        <tr>
          <th scope="col">{traceWords.time}</th>
          {names.map((name) => <th key={name} scope="col">{KINDS[name].title}</th>)}
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => (
          <tr key={row.from_s}>
            <th scope="row">{clock(row.from_s)}</th>
            {names.map((name) => {
              const series = answer.series.get(KINDS[name].channel);
              const mean = series === undefined ? NaN : meanOver(series, row);
              return <td key={name}>{Number.isNaN(mean) ? "–" : number(mean, 0)}</td>;
            })}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

export function Traces(props: TracesProps) {
  const { ride, seconds, wanted } = props;
  const sync = useId();
  const measure = useMeasure();
  const { ref, width } = useWidth();
  const plots = useRef(new Map<PanelName, Plot>());
  const [place, setPlace] = useState<Place>(() => wholePlace(seconds));
  const [whole, setWhole] = useState<TraceAnswer | null>(null);
  const [detail, setDetail] = useState<TraceAnswer | null>(null);
  const [wrong, setWrong] = useState<string | null>(null);
  const [third, setThird] = useState<PanelName | null>(null);
  const [told, setTold] = useState("");
  const polite = useRef<Polite | null>(null);
  const byKey = useRef(false);
  const { view } = place;
  const points = Math.ceil(((width - SCALE_WIDTH - RIGHT_WIDTH) * Math.min(devicePixelRatio, 2)) / 100) * 100;

  useEffect(() => {
    const own = beginPolite(setTold);
    polite.current = own;
    return () => own.end();
  }, []);

  useEffect(() => setPlace(wholePlace(seconds)), [ride, seconds]);

  useEffect(() => {
    if (wanted !== null) {
      setPlace((now) => {
        const next = placeInto(now, wanted, seconds);
        return wanted.cursor === undefined ? next : { ...next, cursor: wanted.cursor };
      });
      ref.current?.scrollIntoView({ block: "center" });
      byKey.current = true;
    }
  }, [wanted]);

  const isWhole = view.from_s <= 0 && view.to_s >= seconds;
  useEffect(() => {
    if (points <= 0) {
      return undefined;
    }
    const abort = new AbortController();
    fetchTraces(ride, isWhole ? null : view, points, abort.signal).then(
      (answer) => {
        setWrong(null);
        if (isWhole) {
          setWhole(answer);
        } else {
          setDetail(answer);
        }
      },
      (error: unknown) => {
        if (error instanceof Problem || error instanceof BadAnswer) {
          setWrong(error.message);
        } else if (!abort.signal.aborted) {
          throw error;
        }
      },
    );
    return () => abort.abort();
  }, [ride, view.from_s, view.to_s, points > 0 ? Math.ceil(points / 500) : 0, props.edition]);

  const isDetailed = detail !== null && detail.from_s <= view.from_s && detail.to_s >= view.to_s && !isWhole;
  const answer = isDetailed ? detail : whole ?? detail;
  const unit = width < NARROW ? UNIT_NARROW : UNIT;
  const inner = width - SCALE_WIDTH - RIGHT_WIDTH;
  const panels = useMemo(() => {
    if (answer === null || inner <= 0) {
      return [];
    }
    const names: PanelName[] = ["power", ...(panelHas(answer, "power") ? (["heart"] as const) : []),
                                ...(third === null ? [] : [third])];
    return names
      .filter((name) => panelHas(answer, name))
      .map((name) => makePanel(answer, name, { view, pixels: inner, targets: props.targets }))
      .filter((panel) => panel !== null);
  }, [answer, view.from_s, view.to_s, inner, third, props.targets]);

  /* What was drawn anew has no cursor yet. */
  useEffect(() => plots.current.forEach((plot) => plot.point(place.cursor)), [panels]);

  useEffect(() => {
    if (byKey.current || place.cursor === null) {
      for (const plot of plots.current.values()) {
        plot.point(place.cursor);
        plot.mark(markedOf(place));
      }
    }
    byKey.current = false;
    if (place.cursor !== null && answer !== null) {
      polite.current?.say(readingLine(answer, place.cursor));
    }
  }, [place, panels]);

  useEffect(() => {
    const repaint = (): void => {
      for (const plot of plots.current.values()) {
        plot.repaint();
      }
    };
    const queries = ["(prefers-color-scheme: dark)", "print"].map((query) => matchMedia(query));
    queries.forEach((query) => query.addEventListener("change", repaint));
    const observer = new MutationObserver(repaint);
    observer.observe(document.documentElement, { attributes: true });
    void document.fonts.ready.then(repaint);
    return () => {
      queries.forEach((query) => query.removeEventListener("change", repaint));
      observer.disconnect();
    };
  }, []);

  const onKey = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.altKey || event.metaKey) {
      return;
    }
    const next = placeKey(place, { key: event.key, shift: event.shiftKey }, inner, seconds);
    if (next !== null) {
      event.preventDefault();
      event.stopPropagation();
      byKey.current = true;
      setPlace(next);
    }
  };
  const onKeyUp = (event: KeyboardEvent): void => {
    if (event.key === "Shift" && place.anchor !== null) {
      byKey.current = true;
      setPlace(placeRelease(place, seconds));
    }
  };
  const onCursor = (t: number | null): void => {
    setPlace((now) => ({ ...now, cursor: t === null ? null : Math.round(t), anchor: null }));
  };
  const onZoom = (span: Span): void => setPlace((now) => placeInto(now, span, seconds));
  const heightOf = (panel: Panel): number => Math.round(KINDS[panel.name].share * unit);
  const known = whole ?? detail;
  const thirds = known === null ? [] : thirdsOf(known);
  const keyLines = panels.flatMap((panel) => leftOverOf(panel, view, width, heightOf(panel), measure));
  const reading = answer === null || place.cursor === null ? [] : readingAt(answer, place.cursor);

  return (
    <figure class="traces">
      <div class="traces-head">
        <p class="traces-reading" aria-hidden="true">
          {place.cursor === null || answer === null ? traceWords.point : (
            <>
              <b>{clock(place.cursor)}</b>
              {reading.map((part) => (
                <span key={part.name} class={`trace-title-${part.name}`}>{part.words}</span>
              ))}
            </>
          )}
        </p>
        {!isWhole && (
          <button type="button" class="act act-quiet" onClick={() => setPlace((now) => ({ ...wholePlace(seconds), cursor: now.cursor }))}>
            {traceWords.whole}
          </button>
        )}
        {thirds.length > 0 && (
          <label class="traces-third">
            {traceWords.third}
            <select value={third ?? ""} onInput={(event) => {
              const name = event.currentTarget.value;
              setThird(thirds.find((other) => other === name) ?? null);
            }}>
              <option value="">{traceWords.none}</option>
              {thirds.map((name) => <option key={name} value={name}>{KINDS[name].name}</option>)}
            </select>
          </label>
        )}
      </div>
      <div class="traces-panels" ref={ref} role="application" tabIndex={0}
           aria-label={`Traces of power and heart rate. ${traceWords.keys}`} onKeyDown={onKey} onKeyUp={onKeyUp}>
        {wrong !== null && <p class="wrong" role="alert">{wrong}</p>}
        {answer === null && wrong === null && <p class="traces-waiting">{traceWords.waiting}</p>}
        {answer !== null && !panelHas(answer, "power") && (
          <p class="trace-note">{traceWords.noPower} {panelHas(answer, "heart") ? traceWords.noHeartAlone : ""}</p>
        )}
        {panels.map((panel) => (
          <PanelView key={panel.name} panel={panel} view={view} width={width} height={heightOf(panel)} sync={sync}
                     measure={measure} plots={plots.current} onCursor={onCursor} onZoom={onZoom} />
        ))}
        {answer !== null && !panelHas(answer, "heart") && <p class="trace-note">{traceWords.noHeart}</p>}
        {panels.length > 0 && (
          <Strip view={view} width={width} brackets={props.brackets} pauses={answer?.pauses ?? []} measure={measure} />
        )}
      </div>
      <p class="only-read" role="status" aria-live="polite">{told}</p>
      {keyLines.length > 0 && <p class="traces-key">{keyLines.join(" ")}</p>}
      <figcaption>{props.caption}</figcaption>
      {answer !== null && panels.length > 0 && (
        <details class="figure-table">
          <summary>{traceWords.table}</summary>
          <div class="scrolls" tabIndex={0} role="region" aria-label={traceWords.table}>
            <TraceTable answer={answer} view={view} names={panels.map((panel) => panel.name)} />
          </div>
        </details>
      )}
    </figure>
  );
}

