/* What a session makes for the rider: what isn't understood, the limits it would break, its profile,
 * what it would bring, what else may be ridden. */
import type { SessionBreach, SessionWords } from "../api_types";
import { lasting } from "../traces/ticks";
import { type Draft, pointedAt } from "./plan";
import { ProfileView } from "./profile";
import { draftWords } from "./words";

export function FaultView({ words, fault }: { readonly words: string; readonly fault: NonNullable<SessionWords["fault"]> }) {
  const [before, meant, behind] = pointedAt(words, fault);
  return (
    <div class="fault" role="status">
      <p class="fault-line">{before}<mark>{meant === "" ? " " : meant}</mark>{behind}</p>
      <p class="field-wrong">{fault.text}</p>
    </div>
  );
}

/* Refusals in words; a limit that a coach may go past is ticked by name. */
export function Breaches({ breaches, draft, onDraft }: {
  readonly breaches: readonly SessionBreach[];
  readonly draft: Draft;
  readonly onDraft: (draft: Draft) => void;
}) {
  if (breaches.length === 0) {
    return null;
  }
  return (
    <fieldset class="choices safe-limits">
      <legend>{draftWords.safe}</legend>
      {breaches.map((one) =>
        one.refused ? (
          <p key={one.name} class="safe-refused"><b>{draftWords.refused}</b> {one.text}</p>
        ) : (
          <label key={one.name}>
            <input type="checkbox" checked={draft.knowingly.includes(one.name)}
                   onChange={(event) => {
                     const others = draft.knowingly.filter((name) => name !== one.name);
                     onDraft({ ...draft, knowingly: event.currentTarget.checked ? [...others, one.name] : others });
                   }} />
            <span><b>{draftWords.knowingly}</b> {one.text}</span>
          </label>
        ))}
    </fieldset>
  );
}

export function Made({ made }: { readonly made: SessionWords }) {
  const { steps, dose, lines, figure } = made;
  if (steps === undefined || dose === undefined || lines === undefined) {
    return null;
  }
  const outlook = made.outlook ?? null;
  const otherwise = lines.filter((line) => line.kind !== "block");
  return (
    <section class="made" aria-labelledby="made">
      <h3 id="made">{outlook?.heading ?? draftWords.bring}</h3>
      {outlook === null ? (
        <p>{draftWords.lasts(lasting(dose.duration_s))} {dose.hard_s > 0 && draftWords.hardFor(lasting(dose.hard_s))}</p>
      ) : (
        <p class="sentence">{outlook.text}</p>
      )}
      {(outlook?.warnings ?? []).map((one) => <p key={one.name} class="made-warning">{one.words}</p>)}
      {figure && <ProfileView figure={figure} steps={steps} outlook={outlook} />}
      {(outlook?.missing ?? []).map((one) => <p key={one.name} class="small quiet">{one.words}</p>)}
      {otherwise.length > 0 && (
        <div class="because">
          {otherwise.map((line) => <p key={line.text}>{line.text}</p>)}
        </div>
      )}
    </section>
  );
}
