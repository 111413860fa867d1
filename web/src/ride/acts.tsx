/* What the coach knows of a ride and the recording can't: that it was a test or a race, what spoiled
 * it, what was asked, which recording counts.  Each is one act, and each can be taken back. */
import { useState } from "preact/hooks";

import { useAnswer } from "../answer";
import type { SessionLibrary } from "../api_types";
import { Act } from "../parts/act";
import { sendEntry } from "../parts/entry_list";
import { Field } from "../parts/field";
import type { RideAnswer } from "./types";
import { actWords, rideWords } from "./words";

type Open = "spoiled" | "asked" | null;

function act(path: string, body: unknown, version: number | null): Promise<boolean> {
  return sendEntry("POST", path, body, version ?? undefined);
}

function Spoiled({ answer, onDone }: { readonly answer: RideAnswer; readonly onDone: () => void }) {
  const [{ id, mark }] = useState(answer); // the version it was opened on, as in EntryForm
  const [words, setWords] = useState(mark.spoiled_by ?? "");
  const save = async (spoiledBy: string | null): Promise<void> => {
    if (await act(`rides/${id}/mark`, { was: mark.was, spoiled_by: spoiledBy }, mark.version)) {
      onDone();
    }
  };
  return (
    <form class="act-form" onSubmit={(event) => {
      event.preventDefault();
      void save(words.trim() === "" ? null : words.trim());
    }}>
      <Field label={actWords.spoiledField} value={words} onInput={setWords} hint={actWords.spoiledHint} required autofocus />
      <p class="acts">
        <Act type="submit" primary>{actWords.save}</Act>
        {mark.spoiled_by !== null && <Act onAct={() => void save(null)}>{actWords.notSpoiled}</Act>}
        <Act onAct={onDone}>{actWords.cancel}</Act>
      </p>
    </form>
  );
}

/* "4:00", "4", "30 s" → seconds; null for what is no length of time. */
export function secondsOf(text: string): number | null {
  const parts = /^\s*(?:(\d+):(\d{2})|(\d+(?:[.,]\d+)?)\s*(s|sec|min|m)?)\s*$/.exec(text);
  if (parts === null) {
    return null;
  }
  if (parts[1] !== undefined) {
    return Number(parts[1]) * 60 + Number(parts[2]);
  }
  const value = Number((parts[3] ?? "").replace(",", "."));
  const seconds = parts[4]?.startsWith("s") === true ? value : value * 60;
  return seconds > 0 ? Math.round(seconds) : null;
}

function lengthWords(seconds: number | null): string {
  return seconds === null ? "" : seconds % 60 === 0 ? `${seconds / 60} min` : `${seconds} s`;
}

/* Of the reps that were found, how many and about how long: what the form begins with. */
function foundReps(answer: RideAnswer): { reps: string; each: string } {
  const { reps } = answer.ride;
  const middle = [...reps].map((rep) => rep.duration_s).sort((a, b) => a - b)[Math.floor(reps.length / 2)];
  if (middle === undefined) {
    return { reps: "", each: "" };
  }
  const round = middle >= 90 ? Math.round(middle / 30) * 30 : Math.round(middle / 5) * 5;
  return { reps: String(reps.length), each: lengthWords(round) };
}

function Asked({ answer, onDone }: { readonly answer: RideAnswer; readonly onDone: () => void }) {
  const [{ id, asked }] = useState(answer);
  const isNew = asked.words === null;
  const kinds = (useAnswer<SessionLibrary>("own-sessions").data?.kinds ?? []).filter((one) => one.of_work);
  const found = foundReps(answer);
  const inWatts = asked.low_w !== null || asked.high_w !== null;
  const [kind, setKind] = useState<string>(asked.kind ?? "vo2max");
  const [low, setLow] = useState(isNew ? "106" : String(asked.low_pct ?? asked.low_w ?? ""));
  const [high, setHigh] = useState(isNew ? "120" : String(asked.high_pct ?? asked.high_w ?? ""));
  const [reps, setReps] = useState(isNew ? found.reps : String(asked.reps ?? ""));
  const [each, setEach] = useState(isNew ? found.each : lengthWords(asked.rep_duration_s));
  const unit = inWatts ? "W" : "% of threshold";
  const length = each.trim() === "" ? null : secondsOf(each);
  const wrong = each.trim() !== "" && length === null;
  const number = (text: string): number | null => (text.trim() === "" ? null : Number(text.replace(",", ".")));
  const save = async (): Promise<void> => {
    const range = inWatts ? { low_w: number(low), high_w: number(high) } : { low_pct: number(low), high_pct: number(high) };
    const body = { kind, ...range, reps: number(reps), rep_duration_s: length };
    if (!wrong && (await act(`rides/${id}/asked`, body, asked.version))) {
      onDone();
    }
  };
  const clear = async (): Promise<void> => {
    if (await act(`rides/${id}/asked`, {}, asked.version)) {
      onDone();
    }
  };
  return (
    <form class="act-form" onSubmit={(event) => {
      event.preventDefault();
      void save();
    }}>
      <Field label={actWords.kind} value={kind} onInput={setKind} options={kinds.map(({ name, words }) => ({ value: name, label: words }))} autofocus />
      <div class="field-row">
        <Field label={actWords.low} unit={unit} type="number" low={0} step="any" value={low} onInput={setLow}
               hint={actWords.rangeHint} />
        <Field label={actWords.high} unit={unit} type="number" low={0} step="any" value={high} onInput={setHigh} />
      </div>
      <div class="field-row">
        <Field label={actWords.reps} type="number" low={1} step={1} value={reps} onInput={setReps} />
        <Field label={actWords.repLength} value={each} onInput={setEach} hint="4 min, 30 s, 3:20"
               wrong={wrong ? "not a length of time" : null} />
      </div>
      <p class="acts">
        <Act type="submit" primary>{actWords.save}</Act>
        {!isNew && <Act onAct={() => void clear()}>{actWords.nothingAsked}</Act>}
        <Act onAct={onDone}>{actWords.cancel}</Act>
      </p>
    </form>
  );
}

function Recordings({ answer }: { readonly answer: RideAnswer }) {
  return (
    <>
      <h3>{rideWords.recordings}</h3>
      <ul class="recordings">
        {answer.recordings.map((recording) => {
          const name = recording.file.split("/").at(-1) ?? recording.file;
          return (
            <li key={recording.id}>
              {recording.id === answer.id ? <b>{name}</b> : <a href={`/rides/${recording.id}`}>{name}</a>}
              {recording.device !== null && `, ${recording.device}`}
              {recording.main ? <span class="quiet"> ({actWords.counts})</span> : (
                <>
                  {" "}<Act quiet label={`${actWords.main}: ${name}`} onAct={() => void act(`rides/${recording.id}/main-recording`, undefined, null)}>{actWords.main}</Act>
                  {" "}<Act quiet label={`${actWords.own}: ${name}`} onAct={() => void act(`rides/${recording.id}/own-ride`, undefined, null)}>{actWords.own}</Act>
                </>
              )}
            </li>
          );
        })}
      </ul>
    </>
  );
}

export function RideActs({ answer }: { readonly answer: RideAnswer }) {
  const [open, setOpen] = useState<Open>(null);
  const { id, mark } = answer;
  const markAs = (was: "test" | "race" | null): void => {
    // A form that is open began from what was said before: it is shut, for it could only conflict.
    void act(`rides/${id}/mark`, { was, spoiled_by: mark.spoiled_by }, mark.version).then((went) => {
      if (went) {
        setOpen(null);
      }
    });
  };
  return (
    <section class="ride-acts no-print">
      <h2>{rideWords.acts}</h2>
      <p class="acts">
        {mark.was !== "test" && <Act onAct={() => markAs("test")}>{actWords.test}</Act>}
        {mark.was !== "race" && <Act onAct={() => markAs("race")}>{actWords.race}</Act>}
        {mark.was !== null && <Act onAct={() => markAs(null)}>{actWords.neither}</Act>}
        <Act expanded={open === "spoiled"} onAct={() => setOpen(open === "spoiled" ? null : "spoiled")}>{actWords.spoiled}</Act>
        <Act expanded={open === "asked"} onAct={() => setOpen(open === "asked" ? null : "asked")}>
          {answer.asked.words === null ? actWords.vo2max : actWords.asked}
        </Act>
      </p>
      {open === "spoiled" && <Spoiled answer={answer} onDone={() => setOpen(null)} />}
      {open === "asked" && <Asked answer={answer} onDone={() => setOpen(null)} />}
      {answer.recordings.length > 1 && <Recordings answer={answer} />}
    </section>
  );
}
