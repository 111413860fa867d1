/* One reading: its question, the sentence with its mark, the gauge, the doubt, and why. */
import { labels } from "../labels";
import { Drop } from "../parts/mark";
import { Scene } from "../parts/scene";
import { Why } from "../parts/why";
import { shapeOf } from "../readings";
import type { RideReading } from "./types";

/* The text with its verdict set apart. */
export function ReadingSentence({ reading }: { readonly reading: Pick<RideReading, "text" | "lead" | "answer"> }) {
  const lead = reading.lead ?? null;
  const whole = reading.text;
  const isLead = lead !== null && whole.startsWith(lead);
  return (
    <p class="sentence">
      <Drop shape={shapeOf(reading.answer ?? "cannot tell")} />
      {isLead ? <><strong>{lead}</strong>{whole.slice(lead.length)}</> : whole}
    </p>
  );
}

/* What the rows of reps or the verdict's own sentence show, as on paper (drawing/ride_page.c). */
const SHOWN_ELSEWHERE: ReadonlySet<string> = new Set([
  "started-too-hard", "stopped", "cut-short", "faded", "below", "above", "fast-start", "done", "described",
  "on-the-line", "reps-done", "minutes", "work", "heart-late", "heart-alone-done", "heart-alone-below", "share-above",
]);

/* A sentence that the page says already is not said again. */
export function unsaid(reading: RideReading, causes: readonly { readonly code: string; readonly text: string }[]): string[] {
  return causes
    .filter((cause) => !SHOWN_ELSEWHERE.has(cause.code) && !reading.text.includes(cause.text))
    .map((cause) => cause.text);
}

/* "100 (likely 98 to 102) % of threshold": what the gauge says, without where its lines are, which it
 * shows. */
function gaugeCaption(words: string | null | undefined, heading: string): string {
  return words?.replace(/\s*Lines?:.*$/, "") ?? heading;
}

export function ReadingView({ reading, heading }: { readonly reading: RideReading; readonly heading: string }) {
  const because = unsaid(reading, [...reading.cannot_because, ...reading.because]);
  const settle = unsaid(reading, reading.settle_by);
  return (
    <section class="reading">
      <h2>{heading}</h2>
      <ReadingSentence reading={reading} />
      {reading.gauge !== undefined && reading.gauge !== null && (
        <Scene scene={reading.gauge} size="gauge" words={reading.gauge_words ?? null} caption={gaugeCaption(reading.gauge_words, heading)} />
      )}
      {(because.length > 0 || settle.length > 0) && (
        <div class="because">
          {because.length > 0 && <p><b>{labels.because}</b> {because.join(" ")}</p>}
          {settle.length > 0 && <p><b>{labels.settle}</b> {settle.join(" ")}</p>}
        </div>
      )}
      <Why reading={reading} of={heading} />
    </section>
  );
}
