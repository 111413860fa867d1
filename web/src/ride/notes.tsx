/* What was noted of the ride's day, and how hard the rider found it. */
import { useState } from "preact/hooks";

import { Act } from "../parts/act";
import { sendEntry } from "../parts/entry_list";
import { Field } from "../parts/field";
import type { DayNote, RideAnswer } from "./types";
import { actWords, noteWords, rideWords } from "./words";

const EFFORTS = [{ value: "", label: "–" }, ...Array.from({ length: 11 }, (_, i) => ({ value: String(i), label: String(i) }))];

/* All that a note says, as it is sent back with one answer changed. */
function wishOf(note: DayNote): Record<string, unknown> {
  const own = new Set(["id", "version", "text"]);
  return Object.fromEntries(Object.entries(note).filter(([key]) => !own.has(key)));
}

interface EditorProps {
  readonly answer: RideAnswer;
  readonly note: DayNote | null;
  readonly onDone: () => void;
}

function Editor({ answer, note: now, onDone }: EditorProps) {
  const [note] = useState(now); // the version it was opened on, as in EntryForm
  const [effort, setEffort] = useState(String(note?.effort_0_10 ?? ""));
  const [words, setWords] = useState(note?.words ?? "");
  const path = `riders/${answer.rider}/notes`;
  const done = (went: boolean): void => {
    if (went) {
      onDone();
    }
  };
  const save = async (): Promise<void> => {
    const own = { effort_0_10: effort === "" ? null : Number(effort), words: words.trim() === "" ? null : words.trim() };
    done(note === null
      ? await sendEntry("POST", path, { ride: answer.id, ...own })
      : await sendEntry("PUT", `${path}/${note.id}`, { ...wishOf(note), ...own }, note.version));
  };
  const remove = async (gone: DayNote): Promise<void> => {
    done(await sendEntry("DELETE", `${path}/${gone.id}`, undefined, gone.version));
  };
  return (
    <form class="act-form" onSubmit={(event) => {
      event.preventDefault();
      void save();
    }}>
      <Field label={noteWords.effort} hint={noteWords.effortHint} value={effort} onInput={setEffort} options={EFFORTS} autofocus />
      <Field label={noteWords.words} value={words} onInput={setWords} lines={3} />
      <p class="acts">
        <Act type="submit" primary>{actWords.save}</Act>
        {note !== null && <Act onAct={() => void remove(note)}>{noteWords.remove}</Act>}
        <Act onAct={onDone}>{actWords.cancel}</Act>
      </p>
    </form>
  );
}

export function DayNotes({ answer }: { readonly answer: RideAnswer }) {
  const [open, setOpen] = useState<number | "new" | null>(null);
  const hasOwn = answer.notes.some((note) => note.ride === answer.id);
  return (
    <section class="day-notes">
      <h2>{rideWords.notes}</h2>
      {answer.notes.length === 0 && <p class="quiet">{noteWords.none}</p>}
      {answer.notes.map((note) => (
        <div key={note.id}>
          <p>
            {note.text}{" "}
            <span class="quiet small">{note.ride === null ? noteWords.ofDay : noteWords.ofRide}</span>{" "}
            <span class="no-print"><Act quiet label={`${noteWords.change}: ${note.text}`} onAct={() => setOpen(note.id)}>{noteWords.change}</Act></span>
          </p>
          {open === note.id && <Editor answer={answer} note={note} onDone={() => setOpen(null)} />}
        </div>
      ))}
      {!hasOwn && open !== "new" && <p class="no-print"><Act quiet onAct={() => setOpen("new")}>{noteWords.add}</Act></p>}
      {open === "new" && <Editor answer={answer} note={null} onDone={() => setOpen(null)} />}
    </section>
  );
}
