/* The time a rider has, by weekday: shown in words, changed as a week at once. */
import { useState } from "preact/hooks";

import type { Available } from "../api_types";
import { dayOf } from "../formats";
import { labels } from "../labels";
import { today } from "../state";
import { Act } from "./act";
import { sendEntry } from "./entry_list";
import { Field } from "./field";

type Place = Available["days"][number]["place"];

interface DayForm {
  readonly minutes: string;
  readonly place: Place;
}

const PLACES: readonly { readonly value: Place; readonly label: string }[] = [
  { value: "either", label: labels.places.either },
  { value: "indoors", label: labels.places.indoors },
  { value: "outdoors", label: labels.places.outdoors },
];

/* Monday first; a day without time is empty. */
export function weekForm(available: Available | null): DayForm[] {
  return labels.weekdays.map((_, i) => {
    const known = available?.days.find((one) => one.weekday === i + 1);
    return { minutes: known === undefined ? "" : String(known.minutes), place: known?.place ?? "either" };
  });
}

/* Days with time in them; null if a number is none, or out of 1 to 1440. */
export function weekWish(week: readonly DayForm[]): Available["days"] | null {
  const days: Available["days"] = [];
  for (const [i, one] of week.entries()) {
    const text = one.minutes.trim();
    const minutes = Number(text);
    if (text !== "" && text !== "0") {
      if (!Number.isInteger(minutes) || minutes < 1 || minutes > 1440) {
        return null;
      }
      days.push({ weekday: i + 1, minutes, place: one.place });
    }
  }
  return days;
}

function WeekForm({ rider, available: now, onClose }: { readonly rider: number; readonly available: Available | null; readonly onClose: () => void }) {
  const [available] = useState(now); // the version it was opened on, as in EntryForm
  const [week, setWeek] = useState(() => weekForm(available));
  const [from, setFrom] = useState(today());
  const [wrong, setWrong] = useState(false);
  const set = (i: number, change: Partial<DayForm>): void =>
    setWeek((before) => before.map((one, k) => (k === i ? { ...one, ...change } : one)));
  const save = async (): Promise<void> => {
    const days = weekWish(week);
    if (days === null || dayOf(from) === null) {
      setWrong(true);
      return;
    }
    const version = available !== null && available.from === from ? available.version : undefined;
    if (await sendEntry("PUT", `riders/${rider}/availability/${from}`, { days }, version)) {
      onClose();
    }
  };
  return (
    <form class="entry-form" aria-label={labels.availability} noValidate
          onSubmit={(event) => {
            event.preventDefault();
            void save();
          }}
          onKeyDown={(event) => {
            if (event.key === "Escape") {
              event.stopPropagation();
              onClose();
            }
          }}>
      <table class="week-form">
        <tbody>
          {labels.weekdays.map((name, i) => (
            <tr key={name}>
              <th scope="row"><abbr title={name}>{name.slice(0, 3)}</abbr></th>
              <td>
                <input type="number" min={0} max={1440} step={5} value={week[i]?.minutes ?? ""}
                       aria-label={`${name}, ${labels.minutes}`}
                       onInput={(event) => set(i, { minutes: event.currentTarget.value })} />
              </td>
              <td>
                <select value={week[i]?.place ?? "either"} aria-label={`${name}, ${labels.where}`}
                        onInput={(event) => {
                          const chosen = PLACES.find((one) => one.value === event.currentTarget.value);
                          set(i, { place: chosen?.value ?? "either" });
                        }}>
                  {PLACES.map((one) => <option key={one.value} value={one.value}>{one.label}</option>)}
                </select>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <p class="field-hint">{labels.availabilityHint}</p>
      <Field label={labels.fieldFrom} type="date" value={from} onInput={setFrom} wrong={wrong ? labels.wrongWeek : null} />
      <p class="acts">
        <Act primary type="submit">{labels.save}</Act>
        <Act onAct={onClose}>{labels.cancel}</Act>
        {available !== null && (
          <Act quiet onAct={() => {
            void sendEntry("DELETE", `riders/${rider}/availability/${available.from}`, undefined, available.version).then((went) => {
              if (went) {
                onClose();
              }
            });
          }}>
            {labels.remove}
          </Act>
        )}
      </p>
    </form>
  );
}

export function Availability({ rider, available }: { readonly rider: number; readonly available: Available | null }) {
  const [open, setOpen] = useState(false);
  if (open) {
    return <WeekForm rider={rider} available={available} onClose={() => setOpen(false)} />;
  }
  return (
    <p class="entry">
      {available === null ? <span class="quiet">{labels.notKnown}</span> : available.text}{" "}
      <Act faint onAct={() => setOpen(true)} label={`${labels.change}: ${labels.availability}`}>{labels.change}</Act>
    </p>
  );
}
