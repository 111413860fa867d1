/* The form of one entry, in the place where the entry stands. */
import { useState } from "preact/hooks";

import { type EntryField, type FormValues, movedBy, wrongIn } from "../entries";
import { labels } from "../labels";
import { Act } from "./act";
import { Field } from "./field";

function Tick({ field, value, onInput }: { readonly field: EntryField; readonly value: string; readonly onInput: (value: string) => void }) {
  return (
    <label class="tick">
      <input type="checkbox" checked={value === "yes"} onChange={(event) => onInput(event.currentTarget.checked ? "yes" : "")} />
      {field.label}
    </label>
  );
}

function Ticks({ field, value, onInput }: { readonly field: EntryField; readonly value: string; readonly onInput: (value: string) => void }) {
  const chosen = new Set(value.split(" ").filter((part) => part !== ""));
  return (
    <fieldset class="choices">
      <legend>{field.label}</legend>
      {(field.options ?? []).map((option) => (
        <label key={option.value}>
          <input type="checkbox" checked={chosen.has(option.value)}
                 onChange={(event) => {
                   if (event.currentTarget.checked) {
                     chosen.add(option.value);
                   } else {
                     chosen.delete(option.value);
                   }
                   onInput([...chosen].join(" "));
                 }} />
          {option.label}
        </label>
      ))}
      {field.hint !== undefined && <p class="field-hint">{field.hint}</p>}
    </fieldset>
  );
}

const YES_NO = [
  { value: "", label: labels.notSaid },
  { value: "yes", label: labels.yes },
  { value: "no", label: labels.no },
];

interface OneFieldProps {
  readonly field: EntryField;
  readonly value: string;
  readonly wrong: string | null;
  readonly onInput: (value: string) => void;
  readonly autofocus: boolean;
}

function OneField({ field, value, wrong, onInput, autofocus }: OneFieldProps) {
  if (field.type === "flag" || field.type === "tick") {
    return <Tick field={field} value={value} onInput={onInput} />;
  }
  if (field.type === "set") {
    return <Ticks field={field} value={value} onInput={onInput} />;
  }
  const options = field.type === "yes-no" ? YES_NO : field.options;
  const kind = field.type === "date" ? "date" : field.type === "number" ? "number" : "text";
  return (
    <Field label={field.label} value={value} onInput={onInput} type={kind} wrong={wrong} autofocus={autofocus}
           {...(field.required === true ? { required: true } : {})}
           {...(field.unit === undefined ? {} : { unit: field.unit })}
           {...(field.hint === undefined ? {} : { hint: field.hint })}
           {...(field.low === undefined ? {} : { low: field.low })}
           {...(field.high === undefined ? {} : { high: field.high })}
           {...(field.step === undefined ? {} : { step: field.step })}
           {...(field.type === "lines" ? { lines: 3 } : {})}
           {...(options === undefined ? {} : { options })} />
  );
}

export interface EntryFormProps {
  readonly name: string; /* what the form is of, for who can't see where it stands */
  readonly fields: readonly EntryField[];
  readonly values: FormValues;
  readonly onSave: (values: FormValues) => Promise<boolean>;
  readonly onRemove?: () => Promise<boolean>;
  readonly onClose: () => void;
}

export function EntryForm({ name, fields, values: begun, onClose, ...sends }: EntryFormProps) {
  const [values, setValues] = useState(begun);
  // What stands in the form is of the version it was opened on.  The page is asked again while it is
  // open, and a newer version must not let it overwrite what nobody saw here.
  const [{ onSave, onRemove }] = useState(sends);
  const [byHand, setByHand] = useState<ReadonlySet<string>>(new Set());
  const [shown, setShown] = useState(false); // what is wrong is told from the first try on
  const [busy, setBusy] = useState(false);
  const wrong = wrongIn(fields, values);
  const usual = fields.filter((field) => field.more !== true);
  const more = fields.filter((field) => field.more === true);

  const run = async (work: () => Promise<boolean>): Promise<void> => {
    if (busy) {
      return;
    }
    setBusy(true);
    const went = await work();
    setBusy(false);
    if (went) {
      onClose();
    }
  };
  const hinted = (field: EntryField): EntryField =>
    field.follows !== undefined && !byHand.has(field.name) && values[field.name] !== begun[field.name]
      ? { ...field, hint: labels.fieldMoved }
      : field;
  const fill = (name: string, value: string): void => {
    setByHand((before) => new Set([...before, name]));
    setValues((before) => movedBy(fields, begun, { ...before, [name]: value }, name, byHand));
  };
  const one = (field: EntryField, i: number) => (
    <OneField key={field.name} field={hinted(field)} value={values[field.name] ?? ""} autofocus={i === 0}
              wrong={shown ? (wrong[field.name] ?? null) : null}
              onInput={(value) => fill(field.name, value)} />
  );

  return (
    <form class="entry-form" aria-label={name} noValidate
          onSubmit={(event) => {
            event.preventDefault();
            setShown(true);
            if (Object.keys(wrong).length === 0) {
              void run(() => onSave(values));
            }
          }}
          onKeyDown={(event) => {
            if (event.key === "Escape") {
              event.stopPropagation();
              onClose();
            }
          }}>
      {usual.map(one)}
      {more.length > 0 && (
        <details class="more">
          <summary>{labels.more}</summary>
          {more.map((field) => one(field, -1))}
        </details>
      )}
      <p class="acts">
        <Act primary type="submit" disabled={busy}>{labels.save}</Act>
        <Act onAct={onClose}>{labels.cancel}</Act>
        {onRemove !== undefined && <Act quiet onAct={() => void run(onRemove)}>{labels.remove}</Act>}
      </p>
    </form>
  );
}
