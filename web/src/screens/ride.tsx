/* A ride: first what may be trusted, then what it says, then the ride itself. */
import "../styles/ride.css";
import "../styles/came.css";

import { useEffect, useMemo, useState } from "preact/hooks";

import { useAnswer } from "../answer";
import { writes } from "../api";
import { clock, duration, number, weekdayDay } from "../formats";
import { withKeys } from "../keyboard";
import { labels } from "../labels";
import { Act } from "../parts/act";
import { Failed, Loading } from "../parts/loading";
import { RideFigure } from "../parts/rider_figure";
import { Why } from "../parts/why";
import { RideActs } from "../ride/acts";
import { BestsSet } from "../ride/bests_set";
import { bracketsOf, isAnswered, targetsOf, wholeReadings } from "../ride/evidence";
import { DayNotes } from "../ride/notes";
import { ReadingSentence, ReadingView, unsaid } from "../ride/reading";
import { RepRows } from "../ride/reps";
import { RideSessionView } from "../ride/session";
import { WorkAbove } from "../ride/w_prime";
import type { Finding, RideAnswer, RideReading } from "../ride/types";
import { rideWords } from "../ride/words";
import { go, place } from "../router";
import type { ScreenProps } from "../routes";
import type { Span } from "../traces/answer";
import { lasting } from "../traces/ticks";
import { Traces, type Wanted } from "../traces/traces";
import { screenTitle } from "../state";

/* ---- who and when ---- */

function Head({ answer }: { readonly answer: RideAnswer }) {
  const told = [answer.contents, answer.asked.words === null ? null : `Asked: ${answer.asked.words}.`,
                answer.mark.was === null && answer.mark.spoiled_by === null ? null : answer.mark.words];
  return (
    <header class="ride-head">
      <p class="over"><a href={`/riders/${answer.rider}`}>{answer.name}</a></p>
      <h1>{answer.title}</h1>
      <p class="quiet small">{told.filter((words) => words !== null).join(" ")}</p>
      <nav class="ride-neighbours no-print" aria-label="Rides of the same rider">
        {answer.earlier !== null && <a href={`/rides/${answer.earlier}`}>{rideWords.earlier}</a>}
        {answer.later !== null && <a href={`/rides/${answer.later}`}>{rideWords.later}</a>}
        <a href={`/riders/${answer.rider}/bests`}>{rideWords.allBests} {answer.name}</a>
      </nav>
      {answer.same_as !== null && (
        <p>{rideWords.standsFor} <a href={`/rides/${answer.same_as}`}>{rideWords.thatOne}</a>.</p>
      )}
      {!answer.current && <p class="quiet small">{rideWords.beingRead}</p>}
    </header>
  );
}

/* ---- what may be trusted ---- */

const EFFECTS = { masked: rideWords.hatched, noted: rideWords.noted, spoils: rideWords.spoils } as const;

function FindingRow({ finding, onLook }: { readonly finding: Finding; readonly onLook: (span: Span) => void }) {
  const { from_s, to_s } = finding;
  return (
    <li>
      <span class={finding.effect === "masked" ? "swatch swatch-hatched" : "swatch"} aria-hidden="true" />
      <span>
        {finding.text} <span class="quiet">{EFFECTS[finding.effect]}</span>{" "}
        {from_s !== null && to_s !== null && (
          <span class="no-print">
            <Act quiet label={`show it in the traces, at ${clock(from_s)}`} onAct={() => onLook({ from_s, to_s })}>at {clock(from_s)}</Act>
          </span>
        )}
      </span>
    </li>
  );
}

function Trust({ answer, onLook }: { readonly answer: RideAnswer; readonly onLook: (span: Span) => void }) {
  const { findings, readings, cautions } = answer.ride;
  const trust = readings.find((reading) => reading.question === "trust");
  const heading = trust?.heading ?? rideWords.trust;
  return (
    <section class="reading trust">
      {cautions.length > 0 && (
        <div class="caution" role="note">
          <b>{rideWords.cautions}</b> {cautions.map((caution) => caution.text).join(" ")}
        </div>
      )}
      <h2>{heading}</h2>
      {trust !== undefined && <ReadingSentence reading={trust} />}
      {findings.length > 0 && (
        <ul class="findings" aria-label={rideWords.found}>
          {findings.map((finding, i) => <FindingRow key={i} finding={finding} onLook={onLook} />)}
        </ul>
      )}
      {trust !== undefined && <Why reading={trust} of={heading} />}
    </section>
  );
}

/* ---- what it doesn't answer ---- */

function Unanswered({ readings }: { readonly readings: readonly RideReading[] }) {
  return (
    <section class="unanswered">
      <h2>{rideWords.unanswered}</h2>
      {readings.map((reading) => {
        const settle = unsaid(reading, reading.settle_by);
        const heading = reading.heading ?? reading.question;
        return (
          <div key={reading.question} class="unanswered-one">
            <h3>{heading}</h3>
            <p class="sentence-small">{reading.text}</p>
            {settle.length > 0 && <p class="quiet small"><b>{labels.settle}</b> {settle.join(" ")}</p>}
            <Why reading={reading} of={heading} />
          </div>
        );
      })}
    </section>
  );
}

/* ---- zones ---- */

function Zones({ answer }: { readonly answer: RideAnswer }) {
  const { zones } = answer.ride;
  if (zones.length === 0) {
    return null;
  }
  return (
    <details class="figure-table">
      <summary>{rideWords.zones}</summary>
      <table>
        <thead>
          <tr>
            <th scope="col">{rideWords.zone}</th>
            <th scope="col" class="number">{rideWords.upTo}</th>
            <th scope="col" class="number">time</th>
          </tr>
        </thead>
        <tbody>
          {zones.map((zone, i) => (
            <tr key={zone.name}>
              <th scope="row">{i + 1} {zone.name}</th>
              <td class="number">{zone.upper_pct === null ? "above" : number(zone.upper_pct, 0)}</td>
              <td class="number">{zone.seconds === null ? "–" : clock(zone.seconds)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </details>
  );
}

/* ---- the page ---- */

/* "?at=854&for=300": what another page asks to see. */
function askedSpan(): Span | null {
  const at = Number(place.value.query.get("at") ?? NaN);
  const seconds = Number(place.value.query.get("for") ?? NaN);
  return Number.isInteger(at) && at >= 0 && Number.isInteger(seconds) && seconds > 0
    ? { from_s: at, to_s: at + seconds } : null;
}

/* A span with some of what lay around it. */
function around(span: Span, cursor = span.from_s): Wanted {
  const room = Math.max(Math.round(0.5 * (span.to_s - span.from_s)), 20);
  return { from_s: Math.max(span.from_s - room, 0), to_s: span.to_s + room, cursor };
}

function Page({ answer }: { readonly answer: RideAnswer }) {
  const first = useMemo(askedSpan, [answer.id]);
  const [wanted, setWanted] = useState<Wanted | null>(() => (first === null ? null : around(first)));
  const [best, setBest] = useState<{ span: Span; words: string } | null>(() =>
    first === null ? null : { span: first, words: `best ${lasting(first.to_s - first.from_s)}` });
  const { ride } = answer;
  const seconds = ride.recording.seconds + 1;
  const look = (span: Span): void => setWanted(around(span));
  const lookAtBest = (span: Span, words: string): void => {
    setBest({ span, words });
    setWanted(around(span));
  };
  const whole = wholeReadings(ride.readings).filter((reading) => reading.question !== "trust");
  const answered = whole.filter(isAnswered);
  const unanswered = whole.filter((reading) => !isAnswered(reading));
  const brackets = useMemo(
    () => [...bracketsOf(answer), ...(best === null ? [] : [{ ...best.span, words: best.words }])], [answer, best]);
  const targets = useMemo(() => targetsOf(answer), [answer]);
  const caption = [
    `Power above, heart rate under it, over ${duration(seconds)}.`,
    ride.reps.length > 0 ? "Numbered brackets: the reps." : "",
    ride.findings.some((finding) => finding.effect === "masked") ? "Hatched: left out." : "",
  ].filter((words) => words !== "").join(" ");
  return (
    <article class="ride">
      <Head answer={answer} />
      <div class="ride-main">
        <Trust answer={answer} onLook={look} />
        {answered.map((reading) => (
          <ReadingView key={reading.question} reading={reading} heading={reading.heading ?? reading.question} />
        ))}
        {answer.day !== null && <RideSessionView ride={answer.id} day={answer.day} />}
        <section class="ride-traces">
          <h2>{rideWords.traces}</h2>
          <Traces ride={answer.id} seconds={seconds} brackets={brackets} targets={targets} wanted={wanted} caption={caption}
                  edition={writes.value} />
        </section>
        {answer.day !== null && ride.recording.ride && (
          <section class="ride-heart">
            <h2>{rideWords.heart}</h2>
            <RideFigure ride={answer.id} name="heart" caption={rideWords.captionHeart} />
          </section>
        )}
        {answer.day !== null && ride.reps.length > 0 && (
          <section class="ride-left">
            <h2>{rideWords.left}</h2>
            <RideFigure ride={answer.id} name="left" caption={rideWords.captionLeft} />
            <WorkAbove ride={ride} />
          </section>
        )}
        {ride.reps.length > 0 && (
          <section>
            <h2>{targets.length === 0 ? rideWords.repsFound : answer.asked.words === null ? rideWords.repsMeant : rideWords.reps}</h2>
            <RepRows ride={answer.id} reps={ride.reps} readings={ride.readings} isAsked={answer.asked.words !== null}
                   onLook={look} />
          </section>
        )}
        {unanswered.length > 0 && <Unanswered readings={unanswered} />}
      </div>
      <aside class="ride-side" aria-label={rideWords.side}>
        <RideActs answer={answer} />
        <DayNotes answer={answer} />
        {ride.bests.length > 0 && (
          <section>
            <h2>{rideWords.bests}</h2>
            <BestsSet bests={ride.bests} efforts={ride.efforts} onLook={lookAtBest} />
            <Zones answer={answer} />
          </section>
        )}
      </aside>
    </article>
  );
}

export default function Ride({ parameters }: ScreenProps) {
  const answered = useAnswer<RideAnswer>(`rides/${parameters["ride"] ?? ""}`);
  const answer = answered.data;
  useEffect(() => {
    if (answer === null) {
      return undefined;
    }
    screenTitle.value = `${answer.name}, ${answer.day === null ? answer.title : weekdayDay(answer.day)}`;
    const to = (ride: number | null) => (): void => {
      if (ride !== null) {
        go(`/rides/${ride}`);
      }
    };
    return withKeys([
      { keys: ["["], does: rideWords.keysEarlier, run: to(answer.earlier) },
      { keys: ["]"], does: rideWords.keysLater, run: to(answer.later) },
    ]);
  }, [answer]);
  if (answer === null) {
    return answered.problem === null ? <Loading title={labels.ride} /> : <Failed title={labels.ride} answer={answered} />;
  }
  return <Page answer={answer} />;
}
