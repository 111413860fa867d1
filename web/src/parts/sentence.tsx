/* The sentence of a verdict: its mark, the verdict in strong letters, the reason beside it. */
import { labels } from "../labels";
import type { Said } from "../readings";
import { Drop, type MarkShape } from "./mark";

export interface SentenceProps {
  readonly said: Pick<Said, "lead" | "first">;
  readonly shape?: MarkShape | null; /* of the verdict; null = it is no verdict */
}

export function Sentence({ said, shape = null }: SentenceProps) {
  return (
    <p class="sentence">
      {shape !== null && <Drop shape={shape} />}
      <strong>{said.lead}</strong>
      {said.first !== null && <> {said.first}</>}
    </p>
  );
}

/* Reasons, and what would settle it: smaller, beside a rule. */
export function Because({ said }: { readonly said: Pick<Said, "because" | "settle"> }) {
  if (said.because.length === 0 && said.settle.length === 0) {
    return null;
  }
  return (
    <div class="because">
      {said.because.length > 0 && (
        <p><b>{labels.because}</b> {said.because.join(" ")}</p>
      )}
      {said.settle.length > 0 && (
        <p><b>{labels.settle}</b> {said.settle.join(" ")}</p>
      )}
    </div>
  );
}
