/* What was done about a situation: done, asked and waiting, or not before a day, with one line. */
import { useState } from "preact/hooks";

import { api } from "../api";
import type { Done, WhoItem, WhoMarkWish } from "../api_types";
import { dayOf, dayPlus, daysBetween, weekdayDay } from "../formats";
import { labels } from "../labels";
import { Act } from "../parts/act";
import { Field } from "../parts/field";
import { attempt, say, today } from "../state";

type State = WhoMarkWish["state"];

function stateWords(wish: Omit<WhoMarkWish, "code">): string {
  const { not_before: day } = wish;
  switch (wish.state) {
    case "done":
      return labels.markDone;
    case "asked":
      return labels.markAsked;
    case "not before":
      return `${labels.notBefore} ${day === null || day === undefined ? "" : weekdayDay(day, today())}`;
  }
}

/* Puts the mark down; the server refuses when new evidence came meanwhile. */
export async function setMark(item: WhoItem, wish: Omit<WhoMarkWish, "code">): Promise<boolean> {
  return attempt(async () => {
    const answer = await api.send<Done>("POST", `who/${item.rider}/marks`, { code: item.code, ...wish },
      { version: item.version });
    // The server names the situation by its code: here its row is at hand.
    say(`${item.name}: ${stateWords(wish)}`, answer.data.change);
  });
}

const STATES: readonly { readonly state: State; readonly label: string }[] = [
  { state: "done", label: labels.markDone },
  { state: "asked", label: labels.markAsked },
  { state: "not before", label: labels.markNotBefore },
];

export interface MarkFormProps {
  readonly item: WhoItem;
  readonly first: State;
  readonly onClose: () => void;
}

export function MarkForm({ item: now, first, onClose }: MarkFormProps) {
  const [item] = useState(now); // the evidence it was opened on, as in EntryForm
  const [state, setState] = useState<State>(first);
  const [line, setLine] = useState(item.mark_line ?? "");
  const [day, setDay] = useState(dayPlus(today(), 7));
  const [busy, setBusy] = useState(false);
  const later = daysBetween(today(), day);
  const wrong = state === "not before" && (dayOf(day) === null || later === null || later < 1) ? labels.dayToCome : null;

  const save = async (): Promise<void> => {
    if (wrong !== null || busy) {
      return;
    }
    setBusy(true);
    const went = await setMark(item, {
      state,
      not_before: state === "not before" ? day : null,
      line: line.trim() === "" ? null : line.trim(),
    });
    setBusy(false);
    if (went) {
      onClose();
    }
  };

  return (
    <form class="mark-form" aria-label={`${labels.markOf} ${item.name}`}
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
      <fieldset class="choices">
        <legend>{labels.markWhat}</legend>
        {STATES.map((row) => (
          <label key={row.state}>
            <input type="radio" name={`mark-${item.rider}`} checked={state === row.state}
                   autofocus={row.state === first} onChange={() => setState(row.state)} />
            {row.label}
          </label>
        ))}
      </fieldset>
      {state === "not before" && (
        <Field label={labels.markDay} type="date" value={day} onInput={setDay} wrong={wrong} />
      )}
      <Field label={labels.markLine} value={line} onInput={setLine} hint={labels.markLineHint} />
      <p class="acts">
        <Act primary type="submit" disabled={busy}>{labels.save}</Act>
        <Act onAct={onClose}>{labels.cancel}</Act>
      </p>
    </form>
  );
}
