/* Everybody in one plain table. */
import { useEffect, useMemo, useRef, useState } from "preact/hooks";

import { useAnswer } from "../answer";
import type { Riders as RidersAnswer, RidersRow } from "../api_types";
import { count, likelyRange, monthYear, shortDay } from "../formats";
import { type Key, withKeys } from "../keyboard";
import { labels } from "../labels";
import { Act } from "../parts/act";
import { Field } from "../parts/field";
import { Failed, Loading } from "../parts/loading";
import { Mark } from "../parts/mark";
import { shapeOf } from "../readings";
import { arranged, type RidersOrder, type RidersSort } from "../riders";
import { AddRider, Welcome } from "./welcome";

const COLUMNS: readonly { readonly by: RidersSort; readonly label: string }[] = [
  { by: "name", label: labels.columnName },
  { by: "since", label: labels.columnSince },
  { by: "threshold", label: labels.columnThreshold },
  { by: "how", label: labels.columnHow },
  { by: "base state", label: labels.columnBase },
  { by: "easy weeks", label: labels.columnEasy },
  { by: "hard work", label: labels.columnHard },
  { by: "progress", label: labels.columnProgress },
  { by: "last", label: labels.columnLast },
  { by: "next", label: labels.columnNext },
];
const QUESTIONS = ["how", "base state", "easy weeks", "hard work", "progress"] as const;

function Threshold({ row }: { readonly row: RidersRow }) {
  const { threshold } = row;
  if (threshold === null) {
    return <span class="quiet">{labels.notKnown}</span>;
  }
  return (
    <>
      <b>{threshold.value} W</b>
      {threshold.low !== null && threshold.high !== null && (
        <span class="quiet"> {likelyRange(threshold.low, threshold.high)}</span>
      )}
      <span class={threshold.out_of_date ? "age" : "age quiet"}>
        {count(threshold.age_days, labels.dayOne)}{threshold.out_of_date && <>, {labels.testDue}</>}
      </span>
    </>
  );
}

function Row({ row, today }: { readonly row: RidersRow; readonly today: string }) {
  return (
    <tr>
      <th scope="row">
        <a href={`/riders/${row.id}`}>{row.name}</a>
        {row.rides_being_read_again > 0 && <span class="row-note">{labels.beingReadShort}</span>}
      </th>
      <td data-label={labels.columnSince}>{row.since === null ? "" : monthYear(row.since)}</td>
      <td class="whole" data-label={labels.columnThreshold}><Threshold row={row} /></td>
      {QUESTIONS.map((question) => {
        const mark = row.marks.find((one) => one.question === question);
        return (
          <td key={question} data-label={COLUMNS.find((column) => column.by === question)?.label}>
            {mark !== undefined && <Mark shape={shapeOf(mark.answer)} word={mark.verdict_words} />}
          </td>
        );
      })}
      <td data-label={labels.columnLast}>
        {row.last_ride !== null && (
          <a href={`/rides/${row.last_ride.ride}`} title={shortDay(row.last_ride.day, today)}>{row.last_ride.words}</a>
        )}
      </td>
      <td data-label={labels.columnNext}>
        {row.next_session !== null && (
          <>
            <a href={`/riders/${row.id}/draft?week=${row.next_session.day}&session=${row.next_session.number}`}>{shortDay(row.next_session.day, today)}</a>
            {row.next_session.state === "drafted" && <span class="age quiet">{labels.nextDrafted}</span>}
          </>
        )}
      </td>
    </tr>
  );
}

export default function Riders() {
  const riders = useAnswer<RidersAnswer>("riders");
  const [typed, setTyped] = useState("");
  const [order, setOrder] = useState<RidersOrder>({ by: "name", down: false });
  const [adding, setAdding] = useState(false);
  const find = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const keys: readonly Key[] = [
      { keys: ["/"], does: labels.keysFind, run: () => find.current?.querySelector("input")?.focus() },
    ];
    return withKeys(keys);
  }, []);
  const rows = useMemo(() => arranged(riders.data?.riders ?? [], typed, order), [riders.data, typed, order]);
  if (riders.data === null) {
    return riders.problem === null ? <Loading title={labels.riders} job={riders.job} /> : <Failed title={labels.riders} answer={riders} />;
  }
  const { data } = riders;
  if (data.riders.length === 0) {
    return <Welcome />;
  }
  const sort = (by: RidersSort): void => setOrder({ by, down: order.by === by && !order.down });
  return (
    <>
      <h1>{labels.riders}</h1>
      <div class="riders-tools">
        <div ref={find}>
          <Field label={labels.find} type="search" value={typed} onInput={setTyped} />
        </div>
        <div class="narrow-sort">
          <Field label={labels.sortBy} value={order.by} onInput={(by) => {
            setOrder({ by: COLUMNS.find((column) => column.by === by)?.by ?? "name", down: false });
          }} options={COLUMNS.map((column) => ({ value: column.by, label: column.label }))} />
        </div>
        <p class="quiet" role="status">
          {typed === "" ? count(data.riders.length, labels.riderOne) : labels.ofSo(rows.length, data.riders.length)}
        </p>
        <Act onAct={() => setAdding(!adding)} expanded={adding}>{labels.riderAdd}</Act>
      </div>
      {adding && <AddRider onDone={() => setAdding(false)} />}
      <div class="scrolls" tabIndex={0} role="region" aria-label={labels.riders}>
        <table class="riders">
          <thead>
            <tr>
              {COLUMNS.map((column) => (
                <th key={column.by} scope="col"
                    aria-sort={order.by !== column.by ? "none" : order.down ? "descending" : "ascending"}>
                  <button class="sort" type="button" onClick={() => sort(column.by)}>
                    {column.label}
                    <span aria-hidden="true">{order.by !== column.by ? "" : order.down ? " ↓" : " ↑"}</span>
                  </button>
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {rows.map((row) => <Row key={row.id} row={row} today={data.today} />)}
          </tbody>
        </table>
      </div>
      {rows.length === 0 && <p>{labels.nobodyFound}</p>}
    </>
  );
}
