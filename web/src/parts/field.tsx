/* One thing to fill in: its name above it, a hint and what is wrong under it, tied together for
 * who can't see them. */
import type { ComponentChildren } from "preact";
import { useId } from "preact/hooks";

export interface FieldProps {
  readonly label: string;
  readonly value: string;
  readonly onInput: (value: string) => void;
  readonly type?: "text" | "date" | "number" | "search";
  readonly unit?: string;
  readonly hint?: string;
  readonly wrong?: string | null;
  readonly required?: boolean;
  readonly lines?: number; /* more than one: a text area */
  readonly low?: number;
  readonly high?: number;
  readonly step?: number | "any";
  readonly options?: readonly { readonly value: string; readonly label: string }[];
  readonly autofocus?: boolean;
}

function Labelled({ id, label, unit, children }: { id: string; label: string; unit?: string | undefined; children: ComponentChildren }) {
  return (
    <>
      <label for={id}>
        {label}
        {unit === undefined ? null : <span class="field-unit">, {unit}</span>}
      </label>
      {children}
    </>
  );
}

export function Field(props: FieldProps) {
  const id = useId();
  const wrong = props.wrong ?? null;
  const told = [props.hint === undefined ? "" : `${id}-hint`, wrong === null ? "" : `${id}-wrong`]
    .filter((part) => part !== "")
    .join(" ");
  // One of those kinds that take the same attributes; the types of JSX part them.
  const kind = (props.type ?? "text") as "text";
  const common = {
    id,
    value: props.value,
    required: props.required === true,
    "aria-invalid": wrong !== null,
    autofocus: props.autofocus === true,
    ...(told === "" ? {} : { "aria-describedby": told }),
    onInput: (event: { currentTarget: { value: string } }) => props.onInput(event.currentTarget.value),
  };
  return (
    <div class="field">
      <Labelled id={id} label={props.label} unit={props.unit}>
        {props.options !== undefined ? (
          <select {...common}>
            {props.options.map((option) => (
              <option key={option.value} value={option.value}>{option.label}</option>
            ))}
          </select>
        ) : props.lines !== undefined && props.lines > 1 ? (
          <textarea {...common} rows={props.lines} />
        ) : (
          <input {...common} type={kind}
                 {...(props.low === undefined ? {} : { min: props.low })}
                 {...(props.high === undefined ? {} : { max: props.high })}
                 {...(props.step === undefined ? {} : { step: props.step })} />
        )}
      </Labelled>
      {props.hint !== undefined && <p class="field-hint" id={`${id}-hint`}>{props.hint}</p>}
      {wrong !== null && <p class="field-wrong" id={`${id}-wrong`}>{wrong}</p>}
    </div>
  );
}
