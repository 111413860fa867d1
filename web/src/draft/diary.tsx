/* A week as seven lines of a diary: what was ridden, what is drafted and given, who is away, and the
 * time that there is. */
import { duration, shortDay, weekdayDay } from "../formats";
import { labels } from "../labels";
import { Act } from "../parts/act";
import { cameOf, type DiaryLine } from "./plan";
import { draftWords } from "./words";

function time(day: DiaryLine["day"]): string {
  if (day.minutes === null) {
    return draftWords.timeUnknown;
  }
  if (day.minutes === 0) {
    return draftWords.noTime;
  }
  const place = day.place === null || day.place === "either" ? "" : `, ${labels.places[day.place]}`;
  return `${duration(60 * day.minutes)}${place}`;
}

export interface DiaryProps {
  readonly lines: readonly DiaryLine[];
  readonly today: string;
  readonly open: number | null; /* the session that is open beside it */
  readonly openDay: string | null; /* or the day that a new one is written for */
  readonly onOpen: (number: number) => void;
  readonly onNew: (day: string) => void;
}

export function Diary({ lines, today, open, openDay, onOpen, onNew }: DiaryProps) {
  return (
    <ol class="diary" aria-label={draftWords.diary}>
      {lines.map((line) => {
        const { day } = line;
        const isEmpty = line.rides.length === 0 && line.sessions.length === 0 && day.off.length === 0 && day.events.length === 0;
        return (
          <li key={day.day} class={day.day === today ? "diary-line diary-today" : "diary-line"}>
            <div class="diary-day">
              <b>{weekdayDay(day.day).slice(0, 3)}</b> {shortDay(day.day, today)}
              {day.day === today && <span class="quiet"> {draftWords.today}</span>}
            </div>
            <div class="diary-what">
              {day.events.map((event) => <p key={event}><b>{event}</b></p>)}
              {day.off.map((off) => <p key={off} class="quiet">{off}</p>)}
              {line.sessions.map((one) => (
                <p key={one.number} class={`diary-session diary-${one.state}`}>
                  <button type="button" class="act act-quiet" {...(one.number === open ? { "aria-current": "true" as const } : {})}
                          onClick={() => onOpen(one.number)}>{one.name}</button>
                  {" "}<span class="diary-state">{cameOf(one) ?? draftWords.states[one.state]}</span>
                  <span class="diary-brief">{one.brief}</span>
                </p>
              ))}
              {line.rides.map((ride) => (
                <p key={ride.id} class="diary-rode">{draftWords.rode} <a href={`/rides/${ride.id}`}>{duration(ride.seconds)}</a></p>
              ))}
              {isEmpty && <p class="quiet">{draftWords.nothing}</p>}
            </div>
            <div class="diary-act quiet">
              {line.ahead && <span>{time(day)}</span>}
              {line.ahead && openDay !== day.day && (
                <Act faint label={draftWords.addOn(weekdayDay(day.day, today))} onAct={() => onNew(day.day)}>{draftWords.add}</Act>
              )}
            </div>
          </li>
        );
      })}
    </ol>
  );
}
