/* One session: its words, what they make, and what is done with it. */
import { useEffect, useRef, useState } from "preact/hooks";

import { stale } from "../answer";
import { api, Problem } from "../api";
import type { Done, RiderSession, SessionLibrary, SessionWords } from "../api_types";
import { weekdayDay } from "../formats";
import { Act } from "../parts/act";
import { sendEntry } from "../parts/entry_list";
import { Field } from "../parts/field";
import { usePoints } from "../parts/rider_figure";
import { complain, told } from "../state";
import { CameBackView } from "./came";
import { Copies } from "./copies";
import { Breaches, FaultView, Made } from "./made";
import { type Draft, draftOf, inTheWay, isPast, isSame, moveLine, nameOf, wishOf } from "./plan";
import { useReading } from "./reading";
import { draftWords } from "./words";

const WORD_LINES = 6;

/* ---- by name ---- */

type Named = SessionLibrary["library"][number];

function StartFrom({ library, chosen, onChoose }: {
  readonly library: SessionLibrary | null;
  readonly chosen: string;
  readonly onChoose: (named: Named | null, value: string) => void;
}) {
  const groups = [
    { label: draftWords.ownSessions, named: library?.own ?? [] },
    { label: draftWords.library, named: library?.library ?? [] },
  ];
  const all = groups.flatMap((group) => group.named);
  return (
    <div class="field">
      <label for="start-from">{draftWords.startFrom}</label>
      <select id="start-from" value={chosen}
              onChange={(event) => {
                const { value } = event.currentTarget;
                onChoose(all.find((one) => one.name === value) ?? null, value);
              }}>
        <option value="">{draftWords.startOwn}</option>
        {groups.filter((group) => group.named.length > 0).map((group) => (
          <optgroup key={group.label} label={group.label}>
            {group.named.map((one) => <option key={one.name} value={one.name}>{one.title}</option>)}
          </optgroup>
        ))}
      </select>
    </div>
  );
}

function AboutNamed({ named }: { readonly named: Named }) {
  return (
    <div class="because">
      {named.meant_for !== null && <p><b>{draftWords.meantFor}</b> {named.meant_for} {named.dose}</p>}
      {named.cautions !== null && <p><b>{draftWords.mind}</b> {named.cautions}</p>}
      <p><b>{draftWords.source}</b> {named.source}</p>
    </div>
  );
}

/* ---- by a step ---- */

type Nudge = keyof typeof draftWords.nudges;

/* Changes of the words by one act each; the lines' order by keys as well. */
function Steps({ onNudge, onMove }: {
  readonly onNudge: (nudge: Nudge) => void;
  readonly onMove: (by: -1 | 1) => void;
}) {
  return (
    <p class="steps acts" role="group" aria-label={draftWords.step}>
      {(Object.entries(draftWords.nudges) as [Nudge, string][]).map(([nudge, words]) => (
        <Act key={nudge} quiet onAct={() => onNudge(nudge)}>{words}</Act>
      ))}
      <Act quiet onAct={() => onMove(-1)}>{draftWords.lineUp}</Act>
      <Act quiet onAct={() => onMove(1)}>{draftWords.lineDown}</Act>
    </p>
  );
}

/* ---- for the rider ---- */

function ForRider({ rider, session }: { readonly rider: number; readonly session: RiderSession }) {
  const path = `/api/1/riders/${rider}/sessions/${session.number}`;
  const file = `${session.day} ${session.name}`.replace(/[\\/:*?"<>|]+/g, " ");
  return (
    <section class="for-rider" aria-labelledby="for-rider">
      <h3 id="for-rider">{draftWords.forRider}</h3>
      {session.state === "drafted" && <p class="small quiet">{draftWords.draftFor}</p>}
      {session.state === "withdrawn" && <p class="small quiet">{draftWords.withdrawnFor}</p>}
      {session.state !== "drafted" && (
        <p class="acts">
          {session.state !== "withdrawn" && <a class="act" href={`${path}/workout`} download={`${file}.fit`}>{draftWords.device}</a>}
          {session.state !== "withdrawn" && ["A6", "A5"].map((page) => (
            <a key={page} class="act" href={`${path}/card?page=${page.toLowerCase()}`} download={`${file} ${page}.pdf`}>{draftWords.card(page)}</a>
          ))}
          <a class="act" href={`${path}/calendar`} download={`${file}.ics`}>{draftWords.calendarEntry}</a>
          <a class="act act-quiet" href={`/api/1/riders/${rider}/calendar`} download="training.ics">{draftWords.calendarAll}</a>
        </p>
      )}
    </section>
  );
}

/* ---- the session ---- */

export interface EditorProps {
  readonly rider: number;
  readonly session: RiderSession | null; /* null: a new one */
  readonly day: string; /* of a new one */
  readonly library: SessionLibrary | null;
  readonly today: string;
  readonly onSaved: (number: number) => void;
  readonly onClose: () => void;
}

const EMPTY: Omit<Draft, "day"> = { name: "", kind: "other", words: "", why: "", knowingly: [] };

export function Editor({ rider, session, day, library, today, onSaved, onClose }: EditorProps) {
  // What stands in the form is of the version it was opened on; what nobody touched follows the newest.
  const [seen, setSeen] = useState(session);
  const [draft, setDraft] = useState<Draft>(() => (session === null ? { ...EMPTY, day } : draftOf(session)));
  const [chosen, setChosen] = useState("");
  const [busy, setBusy] = useState(false);
  const begun = seen === null ? { ...EMPTY, day } : draftOf(seen);
  const touched = !isSame(draft, begun);
  const isBehind = seen !== null && session !== null && session.version !== seen.version;
  const follow = (): void => {
    setSeen(session);
    if (session !== null) {
      setDraft(draftOf(session));
    }
  };
  useEffect(() => {
    if (isBehind && !touched) {
      follow();
    }
  }, [isBehind, touched]);
  const [box, points] = usePoints();
  const form = useRef<HTMLFormElement>(null);
  const [copying, setCopying] = useState(false);
  const [changing, setChanging] = useState(false);
  const isRead = seen !== null && !changing && isPast(seen, today);
  const kinds = (library?.kinds ?? []).map(({ name, words }) => ({ value: name, label: words }));
  const read = useReading(rider, seen?.number ?? null, draft, points);
  const { made } = read;
  const current = read.of === draft.words && made !== null;
  const breaches = made?.breaches ?? [];
  const ready = current && made.fault === null && inTheWay(draft, breaches).length === 0;
  const named = [...(library?.own ?? []), ...(library?.library ?? [])].find((one) => one.name === chosen) ?? null;
  const own = library?.own.find((one) => one.name === nameOf(draft)) ?? null;
  const set = (change: Partial<Draft>): void => setDraft((before) => ({ ...before, ...change }));
  const path = `riders/${rider}/sessions`;

  // An act's button may go with it: who works by keys is taken to the session's name.  Keys keep one
  // button from becoming another under the finger.
  const acted = useRef(false);
  const toName = (): void => {
    if (document.activeElement === document.body) {
      document.getElementById("session")?.focus();
    }
  };
  useEffect(() => {
    if (acted.current && !busy && document.activeElement === document.body) {
      acted.current = false;
      toName();
    }
  }, [busy, seen?.version]);
  const run = async (work: () => Promise<unknown>): Promise<void> => {
    if (!busy) {
      setBusy(true);
      await work();
      acted.current = true;
      setBusy(false);
    }
  };
  const save = async (): Promise<void> => {
    try {
      const body = wishOf(draft, breaches);
      const answer = seen === null
        ? await api.send<Done>("POST", path, body)
        : await api.send<Done>("PUT", `${path}/${seen.number}`, body, { version: seen.version });
      told(answer.data);
      const number = answer.data.number ?? 0;
      const saved = (await api.get<RiderSession>(`${path}/${number}`, undefined, true)).data;
      setSeen(saved);
      setDraft(draftOf(saved));
      onSaved(number);
    } catch (error) {
      complain(error);
      if (error instanceof Problem && error.conflict) {
        stale.value += 1;
      }
    }
  };
  const nudge = (by: Nudge): void => void run(async () => {
    try {
      const { day: on, words, kind } = draft;
      const nudged = await api.send<SessionWords>("POST", `riders/${rider}/session-words`, { day: on, words, kind, nudge: by }, { quiet: true });
      set({ words: nudged.data.words ?? words });
    } catch (error) {
      complain(error);
    }
  });
  const move = (by: -1 | 1): void => {
    const field = form.current?.querySelector("textarea");
    if (field) {
      const moved = moveLine(draft.words, field.selectionStart, by);
      set({ words: moved.words });
      requestAnimationFrame(() => {
        field.focus();
        field.setSelectionRange(moved.caret, moved.caret);
      });
    }
  };
  const state = (name: "given" | "withdrawn" | "done") => (): void => {
    if (seen !== null) {
      void run(() => sendEntry("POST", `${path}/${seen.number}/state`, { state: name }, seen.version));
    }
  };
  const remove = (): void => {
    if (seen !== null) {
      void run(async () => {
        if (await sendEntry("DELETE", `${path}/${seen.number}`, undefined, seen.version)) {
          onClose();
        }
      });
    }
  };
  const keep = (): void => void run(() =>
    sendEntry("PUT", `own-sessions/${encodeURIComponent(nameOf(draft))}`, { words: draft.words, kind: draft.kind }, own?.version));
  const drop = (): void => {
    if (own !== null) {
      void run(() => sendEntry("DELETE", `own-sessions/${encodeURIComponent(own.name)}`, undefined, own.version));
    }
  };

  const makes = made !== null && made.fault === null ? <Made made={made} /> : null;
  const name = nameOf(draft);
  return (
    <section class={seen === null ? "session no-print" : "session"} aria-labelledby="session">
      <h2 id="session" tabIndex={-1}>{name === "" ? draftWords.newSession : name}</h2>
      <p class="session-when">
        {weekdayDay(draft.day, today)}
        {seen !== null && <span class="session-state">, {draftWords.states[seen.state]}</span>}
      </p>
      {isBehind && touched && (
        <p class="made-warning" role="status">
          {draftWords.changedElsewhere} <Act quiet onAct={follow}>{draftWords.showOther}</Act>
        </p>
      )}
      {seen !== null && seen.state !== "drafted" && seen.day <= today && <CameBackView rider={rider} number={seen.number} />}
      <div ref={box}>
        {isRead ? (
          <>
            <h3>{draftWords.asked}</h3>
            <p class="session-words">{draft.words}</p>
            {draft.why !== "" && <p><b>{draftWords.why}</b> {draft.why}</p>}
            {makes ?? (read.problem === null ? <p class="loading">{draftWords.reading}</p> : <p class="field-wrong">{read.problem}</p>)}
            <p class="acts no-print">
              {seen.state === "given" && <Act disabled={busy} onAct={state("done")}>{draftWords.done}</Act>}
              {seen.state === "given" && <Act disabled={busy} onAct={state("withdrawn")}>{draftWords.withdraw}</Act>}
              {!copying && <Act disabled={busy} onAct={() => setCopying(true)}>{draftWords.copy}</Act>}
              <Act quiet onAct={() => setChanging(true)}>{draftWords.change}</Act>
              <Act quiet disabled={busy} onAct={keep}>{draftWords.keep}</Act>
              <Act quiet onAct={onClose}>{draftWords.close}</Act>
            </p>
          </>
        ) : (
          <form ref={form} aria-label={name === "" ? draftWords.newSession : name} noValidate
                onSubmit={(event) => {
                  event.preventDefault();
                  if (ready) {
                    void run(save);
                  }
                }}
                onKeyDown={(event) => {
                  const by = event.key === "ArrowUp" ? -1 : event.key === "ArrowDown" ? 1 : 0;
                  if (event.altKey && by !== 0 && event.target instanceof HTMLTextAreaElement) {
                    event.preventDefault();
                    move(by);
                  }
                }}>
            {seen === null && (
              <StartFrom library={library} chosen={chosen}
                         onChoose={(one, value) => {
                           setChosen(value);
                           if (one !== null) {
                             set({ name: one.title, kind: one.kind, words: one.words });
                           }
                         }} />
            )}
            {named !== null && <AboutNamed named={named} />}
            <p class="session-words only-print" aria-hidden="true">{draft.words}</p>
            <Field label={draftWords.fieldWords} value={draft.words} lines={WORD_LINES} hint={draftWords.fieldWordsHint}
                   onInput={(words) => set({ words })} required />
            {current && made.fault !== null && <FaultView words={draft.words} fault={made.fault} />}
            {read.problem !== null && <p class="field-wrong" role="status">{read.problem}</p>}
            {draft.words.trim() !== "" && <Steps onNudge={nudge} onMove={move} />}
            {makes ?? (draft.words.trim() === "" ? <p class="quiet no-print">{draftWords.needsWords}</p>
              : made === null && read.problem === null && <p class="loading no-print">{draftWords.reading}</p>)}
            <div class="session-fields">
              <Field label={draftWords.fieldDay} type="date" value={draft.day} onInput={(value) => set({ day: value })} required />
              <Field label={draftWords.fieldKind} value={draft.kind} options={kinds} onInput={(kind) => set({ kind: kind as Draft["kind"] })} />
            </div>
            <Field label={draftWords.fieldName} value={draft.name} hint={draftWords.fieldNameHint} onInput={(called) => set({ name: called })} />
            <Field label={draftWords.fieldWhy} value={draft.why} onInput={(why) => set({ why })} />
            {(touched || draft.day >= today) && <Breaches breaches={breaches} draft={draft} onDraft={setDraft} />}
            <p class="acts no-print">
              {(touched || seen === null) && (
                <Act key="save" primary type="submit" disabled={busy || !ready}>
                  {seen?.state === "given" ? draftWords.saveGiven : draftWords.saveDraft}
                </Act>
              )}
              {!touched && (seen?.state === "drafted" || seen?.state === "withdrawn") && (
                <Act key="give" primary disabled={busy || !ready} onAct={state("given")}>{draftWords.give}</Act>
              )}
              {!touched && seen?.state === "given" && <Act key="withdraw" disabled={busy} onAct={state("withdrawn")}>{draftWords.withdraw}</Act>}
              {!touched && seen?.state === "given" && <Act key="done" disabled={busy} onAct={state("done")}>{draftWords.done}</Act>}
              {!touched && seen !== null && !copying && <Act key="copy" disabled={busy} onAct={() => setCopying(true)}>{draftWords.copy}</Act>}
              {seen?.state === "drafted" && <Act key="remove" quiet disabled={busy} onAct={remove}>{draftWords.takeAway}</Act>}
              {ready && <Act key="keep" quiet disabled={busy} onAct={keep}>{draftWords.keep}</Act>}
              {own !== null && <Act key="drop" quiet disabled={busy} onAct={drop}>{draftWords.dropOwn}</Act>}
              <Act key="close" quiet onAct={onClose}>{draftWords.close}</Act>
            </p>
            {touched && seen !== null && <p class="small quiet">{draftWords.saveFirst}</p>}
          </form>
        )}
      </div>
      {copying && seen !== null && !touched && <Copies rider={rider} session={seen} today={today} onClose={() => {
        setCopying(false);
        requestAnimationFrame(toName);
      }} />}
      {seen !== null && !touched && <ForRider rider={rider} session={seen} />}
    </section>
  );
}
