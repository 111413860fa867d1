/* A rider: one long page whose headings are the coach's questions, and beside it what is on file. */
import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";

import { useAnswer } from "../answer";
import type { NextAnswer, Rider as RiderAnswer, RiderSessions, Weeks, Who } from "../api_types";
import { togetherOf } from "../draft/plan";
import { draftWords } from "../draft/words";
import { entryKinds, valuesOf, wish } from "../entries";
import { daysAway, shortDay } from "../formats";
import { importAsked } from "../imports";
import { labels } from "../labels";
import { Act } from "../parts/act";
import { EntryForm } from "../parts/entry_form";
import { EntryList, sendEntry } from "../parts/entry_list";
import { Failed, Loading } from "../parts/loading";
import { ReadingView } from "../parts/reading_view";
import { RiderFigure } from "../parts/rider_figure";
import type { ScreenProps } from "../routes";
import { screenTitle } from "../state";
import { placeOfAct } from "../who";
import { BaseTestTable, DurationTable, WeekTable, WorkRides } from "./rider_tables";
import { CriticalPower, HeartResponse } from "./rider_power";
import { RiderRides } from "./rider_rides";
import { RiderSide } from "./rider_side";

/* ---- who it is ---- */

function goalWords(goal: RiderAnswer["goals"][number], today: string): string {
  if (goal.reached !== null) {
    return `${goal.words}, ${labels.reached} ${shortDay(goal.reached, today)}`;
  }
  return goal.due === null ? goal.words : `${goal.words}, ${labels.by} ${shortDay(goal.due, today)} (${daysAway(goal.due, today)})`;
}

function eventWords(event: RiderAnswer["events"][number], today: string): string {
  const words = `${event.name} (${event.weight}), ${shortDay(event.day, today)} (${daysAway(event.day, today)})`;
  return event.note === null ? words : `${words}: ${event.note}`;
}

function Head({ data }: { readonly data: RiderAnswer }) {
  const [open, setOpen] = useState(false);
  const { person } = data;
  return (
    <div class="rider-head">
      <h1>{person.name}</h1>
      <p class="head-line">
        {data.head}{data.head !== null && " "}
        {!open && <Act faint onAct={() => setOpen(true)} label={`${labels.change}: ${person.name}`}>{labels.change}</Act>}
        <a class="only-narrow" href="#on-file"> · {labels.onFile}</a>
      </p>
      {open && (
        <EntryForm name={person.name} fields={entryKinds.person.fields} onClose={() => setOpen(false)}
                   values={valuesOf(entryKinds.person.fields, person, data.today)}
                   onSave={(values) =>
                     sendEntry("PUT", `riders/${person.id}`, {
                       zone: person.zone,
                       accepts: person.accepts,
                       ...wish(entryKinds.person.fields, values, false),
                     }, person.version)} />
      )}
      {data.cautions.length > 0 && (
        <ul class="cautions" aria-label={labels.cautions}>
          {data.cautions.map((caution) => <li key={caution.code}>{caution.text}</li>)}
        </ul>
      )}
      <div class="aims">
        <section aria-labelledby="goals">
          <h2 id="goals">{labels.goal}</h2>
          <EntryList rider={person.id} kind={entryKinds.goals} entries={data.goals} empty={labels.noGoal}
                     show={(goal) => goalWords(goal, data.today)} />
        </section>
        <section aria-labelledby="events">
          <h2 id="events">{labels.events}</h2>
          <EntryList rider={person.id} kind={entryKinds.events} entries={data.events} empty={labels.noEvent}
                     show={(event) => eventWords(event, data.today)} />
        </section>
      </div>
    </div>
  );
}

/* ---- the questions ---- */

function Question({ id, heading, children }: { readonly id: string; readonly heading: string; readonly children: ComponentChildren }) {
  return (
    <section class="question" id={id} aria-labelledby={`${id}-heading`} tabIndex={-1}>
      <h2 id={`${id}-heading`}>{heading}</h2>
      {children}
    </section>
  );
}

function headingOf(weeks: Weeks, question: string, otherwise: string): string {
  return weeks.readings.find((one) => one.question === question)?.heading ?? otherwise;
}

function Readings({ weeks, questions, children }: { readonly weeks: Weeks; readonly questions: readonly string[]; readonly children?: ComponentChildren }) {
  const found = weeks.readings.filter((one) => questions.includes(one.question));
  return (
    <>
      {found.map((reading, i) => (
        <ReadingView key={`${reading.question}-${i}`} reading={reading}>
          {i === found.length - 1 && children}
        </ReadingView>
      ))}
    </>
  );
}

/* What is to be ridden in the coming days, and what the list of whom to see first holds. */
function Next({ rider, today }: { readonly rider: number; readonly today: string }) {
  const who = useAnswer<Who>("who");
  const plan = useAnswer<RiderSessions>(`riders/${rider}/sessions`);
  const next = useAnswer<NextAnswer>(`riders/${rider}/next`).data;
  const proposed = togetherOf(next?.proposals.filter((one) => one.session !== null) ?? []);
  const items = (who.data?.items ?? []).filter((item) => item.rider === rider);
  const sessions = (plan.data?.sessions ?? []).filter((one) => one.state !== "withdrawn");
  return (
    <Question id="next" heading={labels.whatNext}>
      {items.length > 0 && (
        <ul class="next">
          {items.map((item) => {
            const place = placeOfAct(item);
            const elsewhere = place !== null && !place.startsWith(`/riders/${rider}#`) && place !== `/riders/${rider}`;
            return (
              <li key={item.code}>
                <span class="next-why">{item.text}</span>{" "}
                {elsewhere ? <a href={place}>{item.act_words}</a> : <span class="quiet">{item.act_words}.</span>}
              </li>
            );
          })}
        </ul>
      )}
      {sessions.length > 0 && (
        <ul class="next">
          {sessions.map((one) => (
            <li key={one.number}>
              {shortDay(one.day, today)}: <a href={`/riders/${rider}/draft?week=${one.day}&session=${one.number}`}>{one.name}</a>{" "}
              <span class="quiet">{draftWords.states[one.state]}</span>
            </li>
          ))}
        </ul>
      )}
      {plan.data === null && <p class="quiet">{plan.problem?.message ?? labels.loading}</p>}
      {plan.data !== null && sessions.length === 0 && <p class="quiet">{labels.nextNothing}</p>}
      {plan.data?.adherence && <p>{plan.data.adherence}</p>}
      {proposed.length > 0 && (
        <>
          <h3>{labels.nextProposed}</h3>
          <ul class="next">
            {proposed.map((all) => (
              <li key={all[0]?.number}>
                {all.map((one) => (one.day === null ? "" : shortDay(one.day, today))).join(", ")}: <b>{all[0]?.session?.name}</b>.{" "}
                <span class="quiet">{all[0]?.why}</span>
              </li>
            ))}
          </ul>
        </>
      )}
      {next?.stands.filter((one) => one.unfit_text !== null).map((one) => (
        <p key={one.number}>{shortDay(one.day, today)}: {one.name}. {one.unfit_text}</p>
      ))}
      <p class="no-print"><a href={`/riders/${rider}/draft`}>{labels.draftWeek}</a></p>
    </Question>
  );
}

/* Made when it is asked for. */
function Teaching({ rider }: { readonly rider: number }) {
  const [open, setOpen] = useState(false);
  return (
    <details class="figure-table" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{labels.teachingSummary}</summary>
      {open && <RiderFigure rider={rider} name="teaching" caption={labels.captionTeaching} />}
    </details>
  );
}

function Questions({ rider, weeks }: { readonly rider: number; readonly weeks: Weeks }) {
  const comeback = weeks.readings.filter((one) => one.question === "comeback" && one.verdict !== "no break");
  return (
    <>
      {weeks.rides_being_read_again > 0 && (
        <p class="small quiet">{labels.beingReadHere(weeks.rides_being_read_again)}</p>
      )}
      {weeks.rides_waiting_for_usual > 0 && (
        <p class="small quiet">{labels.usualBeingMade(weeks.rides_waiting_for_usual)}</p>
      )}
      <Question id="how" heading={headingOf(weeks, "how", labels.columnHow)}>
        <Readings weeks={weeks} questions={["how"]}>
          <RiderFigure rider={rider} name="heart-weeks" caption={labels.captionHeartWeeks} />
          <HeartResponse rider={rider} />
        </Readings>
        {comeback.map((reading) => <ReadingView key={reading.question} reading={reading} />)}
      </Question>
      <Question id="base" heading={headingOf(weeks, "base state", labels.columnBase)}>
        <Readings weeks={weeks} questions={["base state"]}>
          {weeks.base_tests.length > 0 && (
            <RiderFigure rider={rider} name="base-tests" caption={labels.captionBaseTests}
                         table={<BaseTestTable tests={weeks.base_tests} />} />
          )}
        </Readings>
      </Question>
      <Question id="work" heading={labels.workHeading}>
        <WorkRides work={weeks.work} today={weeks.today} />
        <Readings weeks={weeks} questions={["easy weeks"]} />
      </Question>
      <Question id="progress" heading={headingOf(weeks, "progress", labels.columnProgress)}>
        <Readings weeks={weeks} questions={["progress"]}>
          <RiderFigure rider={rider} name="ladder" caption={labels.captionLadder}
                       table={<DurationTable durations={weeks.durations} />} />
          <p class="small quiet">{weeks.several_durations}</p>
        </Readings>
        <Readings weeks={weeks} questions={["stalled"]} />
        <h3>{labels.durationsHeading}</h3>
        <RiderFigure rider={rider} name="durations" caption={labels.captionDurations} />
        <CriticalPower rider={rider} />
        <Teaching rider={rider} />
        <p><a href={`/riders/${rider}/bests`}>{labels.allBests}</a></p>
      </Question>
      <Question id="load" heading={headingOf(weeks, "load", labels.loadHeading)}>
        <Readings weeks={weeks} questions={["load"]}>
          {weeks.weeks.length > 0 && (
            <RiderFigure rider={rider} name="week-load" caption={labels.captionWeekLoad}
                         table={<WeekTable weeks={weeks.weeks} today={weeks.today} />} />
          )}
        </Readings>
      </Question>
    </>
  );
}

/* ---- the screen ---- */

/* Who came to a question by its address is taken there once it is there. */
function useAnchor(there: boolean): void {
  useEffect(() => {
    if (there && location.hash.length > 1) {
      const section = document.getElementById(location.hash.slice(1));
      section?.scrollIntoView();
      section?.focus({ preventScroll: true });
    }
  }, [there]);
}

export default function Rider({ parameters }: ScreenProps) {
  const id = Number(parameters["rider"]);
  const rider = useAnswer<RiderAnswer>(`riders/${id}`);
  const weeks = useAnswer<Weeks>(`riders/${id}/weeks`);
  const name = rider.data?.person.name;
  useEffect(() => {
    if (name !== undefined) {
      screenTitle.value = name;
    }
  }, [name]);
  useAnchor(rider.data !== null && weeks.data !== null);
  if (rider.data === null) {
    return rider.problem === null ? <Loading title={labels.rider} /> : <Failed title={labels.rider} answer={rider} />;
  }
  const { data } = rider;
  return (
    <div class="rider-page">
      <div class="rider-main">
        <Head data={data} />
        {weeks.data !== null ? (
          data.last_ride === null ? (
            <Question id="rides" heading={labels.noRidesHeading}>
              <p class="sentence">{labels.noRides}</p>
              <p class="acts">
                <Act onAct={() => { importAsked.value = { rider: id, files: [] }; }}>{labels.importTitle}</Act>
              </p>
            </Question>
          ) : (
            <Questions rider={id} weeks={weeks.data} />
          )
        ) : (
          <p class="loading">{weeks.problem?.message ?? labels.loading}</p>
        )}
        <Next rider={id} today={data.today} />
        {data.last_ride !== null && <RiderRides rider={id} today={data.today} />}
      </div>
      <RiderSide data={data} />
    </div>
  );
}
