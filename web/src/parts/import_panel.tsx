/* Taking rides in: whose, which files, how far it is, and what could not be read and why. */
import { useState } from "preact/hooks";

import { useAnswer } from "../answer";
import type { ImportFile, Riders } from "../api_types";
import { filesOfDrop, importAsked, importFiles, type ImportItem, imports, progressOf, stopImports } from "../imports";
import { labels } from "../labels";
import { shortDay } from "../formats";
import { complain, today } from "../state";
import { Act } from "./act";
import { Dialog } from "./dialog";
import { Field } from "./field";

interface Line {
  readonly key: string;
  readonly file: string;
  readonly words: string;
  readonly rides: ImportFile["rides"];
}

/* "ride.fit: cut off" beside "ride.fit" would say the name twice. */
function withoutName(text: string | null, file: string): string | null {
  return text?.startsWith(`${file}: `) === true ? text.slice(file.length + 2) : text;
}

/* What became of the files, in three heaps: not read, taken, known before. */
export function outcomesOf(items: readonly ImportItem[]): { unread: Line[]; taken: Line[]; known: Line[] } {
  const unread: Line[] = [];
  const taken: Line[] = [];
  const known: Line[] = [];
  for (const item of items) {
    if (item.problem !== null) {
      unread.push({ key: `${item.key}`, file: item.name, words: item.problem, rides: [] });
    }
    for (const [i, file] of (item.result?.files ?? []).entries()) {
      const line: Line = {
        key: `${item.key}-${i}`,
        file: file.file,
        words: withoutName(file.text, file.file) ?? (file.outcome === "taken" ? "" : labels.outcomes[file.outcome]),
        rides: file.rides,
      };
      (file.outcome === "taken" ? taken : file.outcome === "known" ? known : unread).push(line);
    }
  }
  return { unread, taken, known };
}

function Lines({ title, lines, open }: { readonly title: string; readonly lines: readonly Line[]; readonly open: boolean }) {
  if (lines.length === 0) {
    return null;
  }
  return (
    <details class="import-lines" open={open}>
      <summary>{title}: {lines.length}</summary>
      <ul>
        {lines.map((line) => (
          <li key={line.key}>
            <b>{line.file}</b>{" "}
            {line.rides.map((ride) => (
              <a key={ride.id} href={`/rides/${ride.id}`} onClick={() => { importAsked.value = null; }}>
                {ride.day === null ? labels.rideWithoutDay : shortDay(ride.day, today())}
              </a>
            ))}
            {line.words}
          </li>
        ))}
      </ul>
    </details>
  );
}

/* The bar, one line, and a way to stop: also under the header while the panel is shut. */
export function ImportProgress() {
  const { done, all, busy } = progressOf(imports.value);
  if (all === 0) {
    return null;
  }
  const now = imports.value.find((item) => item.state === "reading" || item.state === "sending");
  const left = now?.job?.left_s ?? null;
  return (
    <div class="progress" role="status">
      <progress max={all} value={done} aria-label={labels.importTitle} />
      <span>
        {labels.importDone(done, all)}
        {now !== undefined && <> · {now.job?.words ?? now.name}</>}
        {left !== null && <> · {labels.timeLeft(left)}</>}
      </span>{" "}
      {busy && <Act quiet onAct={stopImports}>{labels.stop}</Act>}
    </div>
  );
}

export function ImportPanel() {
  const asked = importAsked.value;
  const riders = useAnswer<Riders>("riders");
  const [rider, setRider] = useState(asked?.rider === null || asked?.rider === undefined ? "" : String(asked.rider));
  const [wrong, setWrong] = useState<string | null>(null);
  const [over, setOver] = useState(false);
  const [held, setHeld] = useState<readonly File[]>(asked?.files ?? []);
  if (asked === null) {
    return null;
  }
  const close = (): void => {
    importAsked.value = null;
  };
  const take = (files: readonly File[]): void => {
    if (files.length === 0) {
      return;
    }
    if (rider === "") {
      setHeld(files);
      setWrong(labels.importWhose);
      return;
    }
    setHeld([]);
    importFiles(files, Number(rider));
  };
  const choose = (value: string): void => {
    setRider(value);
    setWrong(null);
  };
  const { unread, taken, known } = outcomesOf(imports.value);
  const people = riders.data?.riders ?? [];

  return (
    <Dialog title={labels.importTitle} onClose={close}>
      <Field label={labels.importRider} value={rider} onInput={choose} wrong={wrong}
             options={[{ value: "", label: labels.choose }, ...people.map((row) => ({ value: String(row.id), label: row.name }))]} />
      {held.length > 0 && rider !== "" && (
        <p class="acts">
          <Act primary onAct={() => take(held)}>{labels.importHeld(held.length)}</Act>
        </p>
      )}
      <div class={over ? "drop-zone drop-zone-over" : "drop-zone"}
           onDragOver={(event) => { event.preventDefault(); setOver(true); }}
           onDragLeave={() => setOver(false)}
           onDrop={(event) => {
             event.preventDefault();
             event.stopPropagation();
             setOver(false);
             if (event.dataTransfer !== null) {
               filesOfDrop(event.dataTransfer).then(take).catch(complain);
             }
           }}>
        <label class="act">
          {labels.importChoose}
          <input class="only-read" type="file" multiple accept=".fit,.gpx,.csv,.txt,.zip,.gz"
                 onChange={(event) => {
                   take([...(event.currentTarget.files ?? [])]);
                   event.currentTarget.value = "";
                 }} />
        </label>
        <p>{labels.importDrop}</p>
      </div>
      <ImportProgress />
      <Lines title={labels.importUnread} lines={unread} open />
      <Lines title={labels.importTaken} lines={taken} open={taken.length <= 12} />
      <Lines title={labels.importKnown} lines={known} open={false} />
    </Dialog>
  );
}
