/* A session drafted again, on other days and for other riders: what would stand in the way of each
 * is asked before, and a safe limit is gone past by name alone. */
import { useEffect, useState } from "preact/hooks";

import { useAnswer } from "../answer";
import { api, Problem } from "../api";
import type { Riders, RiderSession, SessionBreach, SessionWords } from "../api_types";
import { dayPlus, weekdayDay } from "../formats";
import { labels } from "../labels";
import { Act } from "../parts/act";
import { sendEntry } from "../parts/entry_list";
import { draftWords } from "./words";

const DAYS_AHEAD = 14;
const COPIES_MOST = 40; /* of the API */

interface Target {
  readonly rider: number;
  readonly name: string;
  readonly day: string;
}

const keyOf = ({ rider, day }: Target): string => `${rider} ${day}`;

/* What each would break, by rider and day; null while it is asked. */
function useBreaches(session: RiderSession, targets: readonly Target[]): ReadonlyMap<string, readonly SessionBreach[]> | null {
  const [found, setFound] = useState<ReadonlyMap<string, readonly SessionBreach[]> | null>(null);
  const which = targets.map(keyOf).join();
  useEffect(() => {
    const abort = new AbortController();
    setFound(null);
    Promise.all(targets.map(async (target) => {
      const { words, kind } = session;
      const read = await api.send<SessionWords>("POST", `riders/${target.rider}/session-words`, { day: target.day, words, kind }, { quiet: true, signal: abort.signal });
      return [keyOf(target), read.data.breaches ?? []] as const;
    })).then((all) => setFound(new Map(all))).catch((error: unknown) => {
      if (error instanceof Problem) {
        setFound(new Map(targets.map((target) => [keyOf(target), []]))); // the act itself says what is wrong
      }
    });
    return () => abort.abort();
  }, [which, session.version]);
  return found !== null && targets.every((target) => found.has(keyOf(target))) ? found : null;
}

function Choices({ legend, all, chosen, onChosen }: {
  readonly legend: string;
  readonly all: readonly (readonly [string, string])[];
  readonly chosen: readonly string[];
  readonly onChosen: (chosen: readonly string[]) => void;
}) {
  return (
    <fieldset class="choices copies-choices">
      <legend>{legend}</legend>
      {all.map(([value, label]) => (
        <label key={value}>
          <input type="checkbox" checked={chosen.includes(value)}
                 onChange={(event) => {
                   const others = chosen.filter((one) => one !== value);
                   onChosen(event.currentTarget.checked ? [...others, value] : others);
                 }} />
          <span>{label}</span>
        </label>
      ))}
    </fieldset>
  );
}

export function Copies({ rider, session, today, onClose }: {
  readonly rider: number;
  readonly session: RiderSession;
  readonly today: string;
  readonly onClose: () => void;
}) {
  const riders = useAnswer<Riders>("riders").data?.riders ?? [];
  const [days, setDays] = useState<readonly string[]>([]);
  const [who, setWho] = useState<readonly string[]>([String(rider)]);
  const [known, setKnown] = useState<readonly string[]>([]);
  const [busy, setBusy] = useState(false);
  const ahead = Array.from({ length: DAYS_AHEAD }, (_, i) => dayPlus(today, i));
  const targets = riders.filter((one) => who.includes(String(one.id))).flatMap((one) =>
    ahead.filter((day) => days.includes(day) && (one.id !== rider || day !== session.day))
      .map((day) => ({ rider: one.id, name: one.name, day })));
  const tooMany = targets.length > COPIES_MOST;
  const breaches = useBreaches(session, tooMany ? [] : targets);
  const rows = targets.flatMap((target) => (breaches?.get(keyOf(target)) ?? []).map((breach) => ({ target, breach, key: `${keyOf(target)} ${breach.name}` })));
  const ready = targets.length > 0 && !tooMany && breaches !== null && !busy &&
    rows.every(({ breach, key }) => !breach.refused && known.includes(key));
  const copy = async (): Promise<void> => {
    setBusy(true);
    const to = targets.map((target) => ({
      rider: target.rider,
      day: target.day,
      knowingly: rows.filter((row) => row.target === target).map((row) => row.breach.name),
    }));
    const went = await sendEntry("POST", `riders/${rider}/sessions/${session.number}/copies`, { to }, session.version);
    setBusy(false);
    if (went) {
      onClose();
    }
  };
  return (
    <form class="copies" aria-labelledby="copies" onSubmit={(event) => {
      event.preventDefault();
      if (ready) {
        void copy();
      }
    }}>
      <h3 id="copies">{draftWords.copyTitle}</h3>
      <Choices legend={draftWords.copyDays} all={ahead.map((day) => [day, weekdayDay(day, today)])} chosen={days} onChosen={setDays} />
      <Choices legend={draftWords.copyRiders} all={riders.map((one) => [String(one.id), one.name])} chosen={who} onChosen={setWho} />
      {rows.length > 0 && (
        <fieldset class="choices safe-limits">
          <legend>{draftWords.safe}</legend>
          {rows.map(({ target, breach, key }) => breach.refused ? (
            <p key={key} class="safe-refused"><b>{target.name}, {weekdayDay(target.day, today)}. {draftWords.refused}</b> {breach.text}</p>
          ) : (
            <label key={key}>
              <input type="checkbox" checked={known.includes(key)}
                     onChange={(event) => setKnown(event.currentTarget.checked ? [...known, key] : known.filter((one) => one !== key))} />
              <span><b>{target.name}, {weekdayDay(target.day, today)}. {draftWords.knowingly}</b> {breach.text}</span>
            </label>
          ))}
        </fieldset>
      )}
      <p class="small quiet" role="status">
        {tooMany ? draftWords.copyMany(COPIES_MOST) : targets.length === 0 ? draftWords.copyNone : breaches === null ? draftWords.reading : ""}
      </p>
      <p class="acts">
        <Act primary type="submit" disabled={!ready}>{draftWords.copyDo(Math.max(targets.length, 1))}</Act>
        <Act quiet onAct={onClose}>{labels.close}</Act>
      </p>
    </form>
  );
}
