/* What the rider sent lately, the newest first, each a way to its page. */
import { useState } from "preact/hooks";

import { useAnswer } from "../answer";
import type { RideRow, RideRows } from "../api_types";
import { dayPlus, duration, number, weekdayDay } from "../formats";
import { labels } from "../labels";
import { Act } from "../parts/act";
import { Mark } from "../parts/mark";
import { shapeOf } from "../readings";

const DAYS = 28;

function Verdicts({ row }: { readonly row: RideRow }) {
  return (
    <>
      {row.readings
        .filter((one) => one.question !== "hard day" && one.question !== "trust")
        .map((one) => {
          if (!one.current) {
            return <span class="verdict quiet" key={one.question}>{labels.beingReadShort}</span>;
          }
          if (one.answer === null || one.answer === undefined || one.answer === "cannot tell" || one.verdict === null) {
            return null;
          }
          return (
            <span class="verdict" key={one.question}>
              <Mark shape={shapeOf(one.answer)} word={`${labels.questions[one.question]}: ${one.verdict}`} />
            </span>
          );
        })}
    </>
  );
}

export function RiderRides({ rider, today }: { readonly rider: number; readonly today: string }) {
  const [days, setDays] = useState(DAYS);
  const rides = useAnswer<RideRows>(`riders/${rider}/rides?from=${dayPlus(today, -days)}`);
  const rows = [...(rides.data?.rides ?? [])].reverse();
  return (
    <section class="question" id="rides" aria-labelledby="rides-heading">
      <h2 id="rides-heading">{labels.ridesHeading(days / 7)}</h2>
      {rides.data === null && <p class="loading">{rides.problem?.message ?? labels.loading}</p>}
      {rides.data !== null && rows.length === 0 && <p>{labels.noRidesThen}</p>}
      {rows.length > 0 && (
        <table class="rides">
          <caption class="only-read">{labels.ridesHeading(days / 7)}</caption>
          <tbody>
            {rows.map((row) => (
              <tr key={row.id}>
                <th scope="row">
                  <a href={`/rides/${row.id}`}>{row.day === null ? labels.rideWithoutDay : weekdayDay(row.day, today)}</a>
                </th>
                <td class="number">{duration(row.timer_s)}</td>
                <td class="number">{row.work_kj === null ? "" : `${number(row.work_kj, 0)} kJ`}</td>
                <td><Verdicts row={row} /></td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <p class="no-print"><Act quiet onAct={() => setDays(days + DAYS)}>{labels.ridesEarlier}</Act></p>
    </section>
  );
}
