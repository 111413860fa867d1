/* The numbers of a rider's figures as tables, and the rides with hard work. */
import type { DurationReading, Weeks, WorkRide } from "../api_types";
import { number, shortDay } from "../formats";
import { labels } from "../labels";
import { Drop, Mark } from "../parts/mark";
import { shapeOf } from "../readings";
import { ReadingSentence } from "../ride/reading";
import { lasting } from "../traces/ticks";

export function BaseTestTable({ tests }: { readonly tests: Weeks["base_tests"] }) {
  return (
    <table>
      <thead>
        <tr>
          <th scope="col">{labels.fieldDay}</th>
          <th scope="col">{labels.tableRose}</th>
          <th scope="col">{labels.tableLikely}</th>
          <th scope="col">{labels.whyLine}</th>
          <th scope="col">{labels.tableVerdict}</th>
        </tr>
      </thead>
      <tbody>
        {tests.map((test) => (
          <tr key={test.ride}>
            <th scope="row"><a href={`/rides/${test.ride}`}>{shortDay(test.day)}</a></th>
            <td class="number">{number(test.drift_bpm, 0)}</td>
            <td class="number">{number(test.drift_low_bpm, 0)} {labels.to} {number(test.drift_high_bpm, 0)}</td>
            <td class="number">{number(test.limit_bpm, 0)}</td>
            <td><Mark shape={shapeOf(test.answer)} word={test.verdict} /></td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

export function DurationTable({ durations }: { readonly durations: readonly DurationReading[] }) {
  return (
    <table>
      <thead>
        <tr>
          <th scope="col">{labels.tableLasting}</th>
          <th scope="col">{labels.tableEffortsBefore}</th>
          <th scope="col">{labels.tableEffortsNow}</th>
          <th scope="col">{labels.tableVerdict}</th>
        </tr>
      </thead>
      <tbody>
        {durations.map((one) => (
          <tr key={one.duration_s}>
            <th scope="row">{lasting(one.duration_s)}</th>
            <td class="number">{one.efforts_before}</td>
            <td class="number">{one.efforts_now}</td>
            <td><Drop shape={shapeOf(one.answer)} />{one.text}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

export function WeekTable({ weeks, today }: { readonly weeks: Weeks["weeks"]; readonly today: string }) {
  return (
    <table>
      <thead>
        <tr>
          <th scope="col">{labels.tableWeekOf}</th>
          <th scope="col">{labels.tableRides}</th>
          <th scope="col">{labels.tableHours}</th>
          <th scope="col">{labels.tableWork}</th>
          <th scope="col">{labels.tableHardDays}</th>
          <th scope="col">{labels.tableDaysOff}</th>
        </tr>
      </thead>
      <tbody>
        {weeks.map((week) => (
          <tr key={week.monday}>
            <th scope="row">{shortDay(week.monday, today)}{!week.over && <>, {labels.sofar}</>}</th>
            <td class="number">{week.rides}</td>
            <td class="number">{number(week.hours, 1)}</td>
            <td class="number">{week.work_kj.sum === null ? labels.notKnown : number(week.work_kj.sum, 0)}</td>
            <td class="number">{week.hard_days}</td>
            <td class="number">{week.days_off}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/* The newest in full, those before it as lines. */
export function WorkRides({ work, today }: { readonly work: readonly WorkRide[]; readonly today: string }) {
  const [newest, ...before] = work;
  if (newest === undefined) {
    return <p class="sentence">{labels.noHardWork}</p>;
  }
  return (
    <div class="reading">
      <ReadingSentence reading={newest.reading} />
      <p><a href={`/rides/${newest.ride}`}>{labels.readTheRide(newest.day_words)}</a></p>
      {before.length > 0 && (
        <table class="work-rides">
          <caption class="only-read">{labels.workBefore}</caption>
          <tbody>
            {before.map((one) => (
              <tr key={one.ride}>
                <th scope="row"><a href={`/rides/${one.ride}`}>{shortDay(one.day, today)}</a></th>
                <td><Mark shape={shapeOf(one.reading.answer)} word={one.reading.verdict_words} /></td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </div>
  );
}
