/* Draft: what is to be ridden in a week, and whether it can be: seven lines of a diary, and beside
 * them the session that is being written. */
import "../styles/draft.css";
import "../styles/came.css";

import { useEffect, useRef } from "preact/hooks";

import { useAnswer } from "../answer";
import type { Rider, RideRows, RiderSessions, SessionLibrary } from "../api_types";
import { Diary } from "../draft/diary";
import { Editor } from "../draft/editor";
import { Proposals } from "../draft/next";
import { diaryOf, freeDay, mondayOf } from "../draft/plan";
import { draftWords } from "../draft/words";
import { dayOf, dayPlus, day as dayWords } from "../formats";
import { Failed, Loading } from "../parts/loading";
import { address, go, place } from "../router";
import type { ScreenProps } from "../routes";
import { screenTitle, today } from "../state";

const WEEK = 7;

export default function DraftScreen({ parameters }: ScreenProps) {
  const rider = Number(parameters["rider"]);
  const { query } = place.value;
  const asked = query.get("week");
  const now = today();
  const monday = mondayOf(asked !== null && dayOf(asked) !== null ? asked : now);
  const to = dayPlus(monday, WEEK);
  const week = useAnswer<RiderSessions>(`riders/${rider}/sessions?from=${monday}&to=${to}`);
  const rides = useAnswer<RideRows>(`riders/${rider}/rides?from=${monday}&to=${to}`);
  const file = useAnswer<Rider>(`riders/${rider}`);
  const library = useAnswer<SessionLibrary>("own-sessions");
  const beside = useRef<HTMLDivElement>(null);
  const open = Number(query.get("session")) || null;
  const day = query.get("day");
  const name = week.data?.name;
  useEffect(() => {
    if (name !== undefined) {
      screenTitle.value = `${draftWords.title}: ${name}`;
    }
  }, [name]);
  // Whoever opens a session is taken to it, as soon as it is there.
  const isThere = week.data?.sessions.some((one) => one.number === open) === true;
  useEffect(() => {
    const heading = beside.current?.querySelector<HTMLElement>("h2");
    if (open !== null || day !== null) {
      heading?.focus({ preventScroll: false });
    }
  }, [open, day, week.data !== null, isThere]);
  if (week.data === null) {
    return week.problem === null ? <Loading title={draftWords.title} /> : <Failed title={draftWords.title} answer={week} />;
  }
  const { data } = week;
  const to_ = (next: Record<string, string>): void =>
    go(address("/riders/:rider/draft", { rider: String(rider) }, { week: monday, ...next }), true);
  const lines = diaryOf(data, rides.data?.rides ?? []);
  const session = data.sessions.find((one) => one.number === open) ?? null;
  const begin = day ?? (data.sessions.length === 0 && open === null && asked !== null ? freeDay(lines) : null);
  const proposals = <Proposals rider={rider} monday={monday} to={to} today={data.today}
                               said={file.data?.cautions.map((one) => one.text) ?? []} />;
  const link = (from: string): string => address("/riders/:rider/draft", { rider: String(rider) }, { week: from });
  return (
    <>
      <p class="over"><a href={`/riders/${rider}`}>{data.name}</a></p>
      <h1>{draftWords.weekOf(dayWords(monday, data.today))}</h1>
      <p class="head-line no-print">
        <a href={link(dayPlus(monday, -WEEK))}>{draftWords.before}</a>
        {mondayOf(data.today) !== monday && <> · <a href={link(mondayOf(data.today))}>{draftWords.thisWeek}</a></>}
        {" · "}<a href={link(to)}>{draftWords.after}</a>
      </p>
      {file.data !== null && file.data.cautions.length > 0 && (
        <ul class="cautions">
          {file.data.cautions.map((caution) => <li key={caution.code}>{caution.text}</li>)}
        </ul>
      )}
      {file.data?.threshold === null && (
        <p>{draftWords.firstThreshold} <a href={`/riders/${rider}#threshold`}>{draftWords.firstThresholdDo}</a></p>
      )}
      <div class="draft">
        <div class="draft-week">
          <Diary lines={lines} today={data.today} open={open} openDay={session === null ? begin : null}
                 onOpen={(number) => to_({ session: String(number) })} onNew={(on) => to_({ day: on })} />
          {data.adherence && <p class="small">{data.adherence}</p>}
          {data.sessions.length === 0 && <p class="small quiet">{draftWords.emptyWeek}</p>}
        </div>
        <div class="draft-session" ref={beside}>
          {session === null && begin === null ? proposals : (
            <Editor key={session === null ? `on ${begin ?? ""}` : session.number} rider={rider} session={session}
                    day={begin ?? data.today} library={library.data} today={data.today}
                    onSaved={(number) => to_({ session: String(number) })} onClose={() => {
                      to_({});
                      requestAnimationFrame(() => document.querySelector<HTMLElement>(".diary button")?.focus());
                    }} />
          )}
        </div>
        {(session !== null || begin !== null) && <div class="draft-next">{proposals}</div>}
      </div>
    </>
  );
}
