/* A rider's bests over some days: first whether they changed, then how they lie, then where each was
 * ridden and what says that it was all-out. */
import "../styles/bests.css";
import "../styles/ride.css";

import { useEffect, useState } from "preact/hooks";

import { useAnswer } from "../answer";
import { type CurvePoint } from "../bests/curve";
import { MeanPower } from "../bests/mean_power";
import { addressQuery, type Days, daysOf, namedDays, type Named, nameOf, queryOf } from "../bests/ranges";
import { bestsWords } from "../bests/words";
import { day, dayPlus, number, shortDay } from "../formats";
import type { components } from "../generated/api_schema";
import { labels } from "../labels";
import { Act } from "../parts/act";
import { Field } from "../parts/field";
import { Failed, Loading } from "../parts/loading";
import { RiderFigure } from "../parts/rider_figure";
import { go, place } from "../router";
import type { ScreenProps } from "../routes";
import { screenTitle, session, today } from "../state";
import { lasting } from "../traces/ticks";

type BestsAnswer = components["schemas"]["bests"];
type Best = BestsAnswer["bests"][number];
type Range = BestsAnswer["range"];

/* ---- which days ---- */

const NAMES: readonly { readonly value: Named; readonly label: string }[] = [
  { value: "weeks", label: bestsWords.weeks },
  { value: "season", label: bestsWords.season },
  { value: "all", label: bestsWords.all },
  { value: "own", label: bestsWords.own },
];

type Beside = "nothing" | "before" | "last-year" | "own";

function besideOf(against: string | null): Beside {
  return against === null ? "nothing" : against === "before" || against === "last-year" ? against : "own";
}

function Choice({ rider, days }: { readonly rider: string; readonly days: Days }) {
  const now = today();
  const custom = /^(.*)\.\.(.*)$/.exec(days.against ?? "");
  const [name, setName] = useState<Named>(nameOf(days, now));
  const [from, setFrom] = useState(days.from ?? "");
  const [until, setUntil] = useState(days.to === null ? "" : dayPlus(days.to, -1));
  const [beside, setBeside] = useState<Beside>(besideOf(days.against));
  const [otherFrom, setOtherFrom] = useState(custom?.[1] ?? "");
  const [otherUntil, setOtherUntil] = useState(custom?.[2] === undefined ? "" : dayPlus(custom[2], -1));
  const chosen = (wantedName: Named, wantedBeside: Beside): Days => {
    const named = wantedName === "own"
      ? { from: from === "" ? null : from, to: until === "" ? null : dayPlus(until, 1) }
      : namedDays(wantedName, now);
    const other = otherFrom !== "" && otherUntil !== "" ? `${otherFrom}..${dayPlus(otherUntil, 1)}` : null;
    const against = wantedBeside === "nothing" ? null : wantedBeside === "own" ? other : wantedBeside;
    return { ...named, against: named.from === null && against !== null && !against.includes("..") ? null : against };
  };
  const show = (next: Days): void => go(`/riders/${rider}/bests?${addressQuery(next)}`);
  const hasFrom = name === "own" ? from !== "" : name !== "all";
  const options = [
    { value: "nothing", label: bestsWords.nothing },
    ...(hasFrom ? [{ value: "before", label: bestsWords.before }, { value: "last-year", label: bestsWords.lastYear }] : []),
    { value: "own", label: bestsWords.custom },
  ];
  const typed = name === "own" || beside === "own";
  return (
    <form class="choice no-print" onSubmit={(event) => {
      event.preventDefault();
      show(chosen(name, beside));
    }}>
      <Field label={bestsWords.range} value={name} options={NAMES} onInput={(value) => {
        const next = NAMES.find((row) => row.value === value)?.value ?? "weeks";
        const nextBeside = next === "all" && beside !== "own" ? "nothing" : beside;
        setName(next);
        setBeside(nextBeside);
        if (next !== "own" && nextBeside !== "own") {
          show(chosen(next, nextBeside));
        }
      }} />
      {name === "own" && (
        <>
          <Field label={bestsWords.from} type="date" value={from} onInput={setFrom} />
          <Field label={bestsWords.until} type="date" value={until} onInput={setUntil} />
        </>
      )}
      <Field label={bestsWords.against} value={beside} options={options} onInput={(value) => {
        const next = (["before", "last-year", "own"] as const).find((other) => other === value) ?? "nothing";
        setBeside(next);
        if (next !== "own" && name !== "own") {
          show(chosen(name, next));
        }
      }} />
      {beside === "own" && (
        <>
          <Field label={`${bestsWords.against}: ${bestsWords.from}`} type="date" value={otherFrom} onInput={setOtherFrom} />
          <Field label={`${bestsWords.against}: ${bestsWords.until}`} type="date" value={otherUntil} onInput={setOtherUntil} />
        </>
      )}
      {typed && <Act type="submit">{bestsWords.show}</Act>}
    </form>
  );
}

/* ---- how they lie ---- */

function rangeWords(range: Range): string {
  return `${day(range.from)} to ${day(dayPlus(range.to, -1))}`;
}

function pointsOf(bests: readonly Best[], perKilo: boolean): CurvePoint[] {
  return bests.flatMap((best) => {
    const value = perKilo ? best.w_per_kg : best.power_w;
    return value === null || value <= 0 ? [] : [{ duration_s: best.duration_s, value }];
  });
}

function againstOf(bests: readonly Best[], perKilo: boolean): CurvePoint[] {
  return bests.flatMap((best) => {
    const value = perKilo ? best.against?.w_per_kg : best.against?.power_w;
    return value === undefined || value === null || value <= 0 ? [] : [{ duration_s: best.duration_s, value }];
  });
}

function Curve({ rider, days }: { readonly rider: string; readonly days: Days }) {
  const query = queryOf(days);
  const answer = useAnswer<BestsAnswer>(`riders/${rider}/bests?all=true${query === "" ? "" : `&${query}`}`).data;
  const [perKilo, setPerKilo] = useState(false);
  if (answer === null) {
    return <p class="loading">{labels.loading}</p>;
  }
  const hasWeight = answer.bests.some((best) => best.w_per_kg !== null);
  const isPerKilo = perKilo && hasWeight;
  return (
    <>
      {hasWeight && (
        <p class="unit-choice no-print">
          <label>
            {bestsWords.unit}{" "}
            <select value={isPerKilo ? "kg" : "w"} onInput={(event) => setPerKilo(event.currentTarget.value === "kg")}>
              <option value="w">{bestsWords.watts}</option>
              <option value="kg">{bestsWords.perKilo}</option>
            </select>
          </label>
        </p>
      )}
      <MeanPower curve={pointsOf(answer.bests, isPerKilo)} against={againstOf(answer.bests, isPerKilo)}
                 unit={isPerKilo ? bestsWords.perKilo : bestsWords.watts} decimals={isPerKilo ? 2 : 0}
                 words={rangeWords(answer.range)} againstWords={answer.against === null ? "" : rangeWords(answer.against)} />
    </>
  );
}

/* ---- where each was ridden ---- */

interface Ridden {
  readonly power_w: number;
  readonly w_per_kg: number | null;
  readonly ride: number;
  readonly day: string | null;
  readonly at_least: boolean;
  readonly start_s?: number | null;
  readonly evidence_words?: string | null;
}

function RiddenCell({ best, lasts, now }: { readonly best: Ridden; readonly lasts: number; readonly now: string }) {
  const at = best.start_s === null || best.start_s === undefined ? "" : `?at=${best.start_s}&for=${lasts}`;
  const where = best.day === null ? labels.ride : shortDay(best.day, now);
  return (
    <>
      <span class="best-watts">{best.at_least ? "≥ " : ""}{number(best.power_w, 0)}&nbsp;W</span>
      {best.w_per_kg !== null && <span class="quiet"> {best.w_per_kg.toFixed(2)}&nbsp;W/kg</span>}
      <br />
      <a href={`/rides/${best.ride}${at}`} aria-label={`${lasting(lasts)}, ${where}: ${bestsWords.open}`}>{where}</a>
      <span class="best-evidence"> {best.evidence_words ?? ""}</span>
    </>
  );
}

function isShown(best: Best): boolean {
  return best.duration_s === 1 || best.duration_s === 5 || best.duration_s >= 10;
}

function changeWords(best: Best): string {
  if (best.against === null) {
    return bestsWords.notRidden;
  }
  const { change_w: watts, change_pct: share } = best.against;
  const sign = watts > 0 ? "+" : "";
  return `${sign}${number(watts, 0)}\u00a0W (${sign}${number(share, 1)}\u00a0%)`;
}

/* What of a difference between two meters is the meters'. */
function meterWords(best: Best): string {
  const part = best.against?.other_meter ?? null;
  if (part === null) {
    return "";
  }
  const range = `${number(part.low_pct, 1)} to ${number(part.high_pct, 1)}\u00a0%`;
  return part.checked ? `${bestsWords.byCheck} ${number(part.change_pct, 1)}\u00a0% (${range})`
    : `${bestsWords.unchecked} ${range}`;
}

function BestsTable({ answer }: { readonly answer: BestsAnswer }) {
  const now = today();
  const shown = answer.bests.filter(isShown);
  const compares = answer.against !== null;
  return (
    <>
      <div class="scrolls" tabIndex={0} role="region" aria-label={bestsWords.list}>
        {/* Roles as well: on a telephone the rows are no boxes of a table, but still its rows. */}
        <table class="bests-table" role="table">
          <thead role="rowgroup">
            <tr role="row">
              <th scope="col" role="columnheader">{bestsWords.duration}</th>
              <th scope="col" role="columnheader">{rangeWords(answer.range)}</th>
              {answer.against !== null && <th scope="col" role="columnheader">{rangeWords(answer.against)}</th>}
              {compares && <th scope="col" role="columnheader">{bestsWords.change}</th>}
            </tr>
          </thead>
          <tbody role="rowgroup">
            {shown.map((best) => (
              <tr key={best.duration_s} role="row">
                <th scope="row" role="rowheader">{lasting(best.duration_s)}</th>
                <td role="cell"><RiddenCell best={best} lasts={best.duration_s} now={now} /></td>
                {compares && (
                  <td role="cell">{best.against === null ? bestsWords.notRidden
                    : <RiddenCell best={best.against} lasts={best.duration_s} now={now} />}</td>
                )}
                {compares && (
                  <td role="cell" class="best-change">
                    {changeWords(best)}
                    {meterWords(best) !== "" && <span class="best-evidence"> {meterWords(best)}</span>}
                  </td>
                )}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p class="small quiet">
        {bestsWords.more} {bestsWords.noEvidence}
        {shown.some((best) => best.at_least || best.against?.at_least === true) && ` ≥ ${answer.at_least_words}`}
      </p>
    </>
  );
}

/* ---- the page ---- */

function Page({ rider, days }: { readonly rider: string; readonly days: Days }) {
  const query = queryOf(days);
  const list = useAnswer<BestsAnswer>(`riders/${rider}/bests${query === "" ? "" : `?${query}`}`);
  const answer = list.data;
  useEffect(() => {
    if (answer !== null) {
      screenTitle.value = `${answer.rider.name}, ${bestsWords.title.toLowerCase()}`;
    }
  }, [answer]);
  if (answer === null) {
    return list.problem === null ? <Loading title={bestsWords.title} /> : <Failed title={bestsWords.title} answer={list} />;
  }
  return (
    <>
      <p class="over"><a href={`/riders/${rider}`}>{answer.rider.name}</a></p>
      <h1>{bestsWords.title}</h1>
      <p class="quiet small">
        {rangeWords(answer.range)}
        {answer.against !== null && `, beside ${rangeWords(answer.against)}`}
      </p>
      <Choice key={query} rider={rider} days={days} />
      {answer.bests.length === 0 ? <p>{bestsWords.none}</p> : (
        <>
          <section>
            <h2>{bestsWords.ladder}</h2>
            <RiderFigure rider={Number(rider)} name="ladder" query={query} caption={bestsWords.ladderCaption} />
          </section>
          <section>
            <h2>{bestsWords.curve}</h2>
            <Curve rider={rider} days={days} />
          </section>
          <section>
            <h2>{bestsWords.list}</h2>
            <BestsTable answer={answer} />
          </section>
        </>
      )}
    </>
  );
}

export default function Bests({ parameters }: ScreenProps) {
  /* The last six weeks end with the roster's own today. */
  if (session.value === null) {
    return <Loading title={bestsWords.title} />;
  }
  return <article class="bests"><Page rider={parameters["rider"] ?? ""} days={daysOf(place.value.query, today())} /></article>;
}
