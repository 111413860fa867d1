/* Entries of one kind on file of a rider: each in words, to be changed in its place, and a way to
 * add one.  Every change can be taken back by the line under the header. */
import type { ComponentChildren } from "preact";
import { useRef, useState } from "preact/hooks";

import { stale } from "../answer";
import { api, Problem } from "../api";
import type { Done } from "../api_types";
import { type EntryKind, type FormValues, valuesOf, wish } from "../entries";
import { withDays } from "../formats";
import { labels } from "../labels";
import { complain, today, told } from "../state";
import { Act } from "./act";
import { EntryForm } from "./entry_form";

export interface Entry {
  readonly number?: number;
  readonly id?: number; /* notes are numbered by it */
  readonly version: number;
  readonly text: string;
}

function numberOf(entry: Entry): number {
  return entry.number ?? entry.id ?? 0;
}

/* Sends a change of an entry.  Changed by somebody else meanwhile: says so and shows what it is now. */
export async function sendEntry(method: "POST" | "PUT" | "DELETE", path: string, body: unknown, version?: number): Promise<boolean> {
  try {
    told((await api.send<Done>(method, path, body, version === undefined ? {} : { version })).data);
    return true;
  } catch (error) {
    complain(error);
    if (error instanceof Problem && error.conflict) {
      stale.value += 1;
    }
    return false;
  }
}

export interface EntryListProps<T extends Entry> {
  readonly rider: number;
  readonly kind: EntryKind;
  readonly entries: readonly T[];
  readonly show?: (entry: T, i: number) => ComponentChildren; /* instead of its words */
  readonly most?: number; /* so many are shown, the rest on demand; all unless said */
  readonly empty?: string;
  readonly addLabel?: string;
}

export function EntryList<T extends Entry>(props: EntryListProps<T>) {
  const { rider, kind, entries, most, empty, show, addLabel = labels.addOne(kind.one) } = props;
  const [open, setOpen] = useState<number | "new" | null>(null);
  const [all, setAll] = useState(false);
  const box = useRef<HTMLDivElement>(null);
  const path = `riders/${rider}/${kind.path}`;
  const shown = most === undefined || all ? entries : entries.slice(0, most);
  const close = (): void => {
    setOpen(null);
    // The focus goes back to where the form was opened.
    requestAnimationFrame(() => box.current?.querySelector<HTMLElement>("button")?.focus());
  };
  const save = (entry: T | null) => (values: FormValues): Promise<boolean> =>
    entry === null
      ? sendEntry("POST", path, wish(kind.fields, values, true))
      : sendEntry("PUT", `${path}/${numberOf(entry)}`, wish(kind.fields, values, false), entry.version);

  return (
    <div class="entries" ref={box}>
      {shown.map((entry, i) =>
        open === numberOf(entry) ? (
          <EntryForm key={numberOf(entry)} name={`${labels.change}: ${entry.text}`}
                     fields={kind.fields.filter((field) => !("fixed" in field && field.fixed))}
                     values={valuesOf(kind.fields, entry, today())} onSave={save(entry)} onClose={close}
                     onRemove={() => sendEntry("DELETE", `${path}/${numberOf(entry)}`, undefined, entry.version)} />
        ) : (
          <p class="entry" key={numberOf(entry)}>
            {show === undefined ? withDays(entry.text, today()) : show(entry, i)}{" "}
            <Act faint onAct={() => setOpen(numberOf(entry))} label={`${labels.change}: ${entry.text}`}>{labels.change}</Act>
          </p>
        ),
      )}
      {entries.length === 0 && empty !== undefined && open !== "new" && <p class="entry quiet">{empty}</p>}
      {open === "new" ? (
        <EntryForm name={addLabel} fields={kind.fields} values={valuesOf(kind.fields, null, today())} onSave={save(null)}
                   onClose={close} />
      ) : (
        <p class="entry entry-add no-print">
          {shown.length < entries.length && (
            <>
              <Act faint onAct={() => setAll(true)}>{labels.earlier(entries.length - shown.length)}</Act>{" · "}
            </>
          )}
          <Act faint onAct={() => setOpen("new")}>{addLabel}</Act>
        </p>
      )}
    </div>
  );
}

