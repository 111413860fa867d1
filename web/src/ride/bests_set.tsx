/* The bests of one ride; each opens the traces at its second.  Neighbouring seconds say the same
 * thing: of the sprints 1, 5 and 10 s. */
import { clock, number } from "../formats";
import type { Span } from "../traces/answer";
import { lasting } from "../traces/ticks";
import type { Effort, RideBest } from "./types";
import { evidenceWords, rideWords } from "./words";

export function isShown(best: RideBest): boolean {
  return best.duration_s === 1 || best.duration_s === 5 || best.duration_s >= 10;
}

export function evidenceOf(best: RideBest, efforts: readonly Effort[]): string {
  const effort = efforts.find((other) => other.duration_s === best.duration_s && other.start_s === best.start_s);
  return (effort?.evidence ?? []).map((code) => evidenceWords[code] ?? code).join(", ");
}

export interface BestsSetProps {
  readonly bests: readonly RideBest[];
  readonly efforts: readonly Effort[];
  readonly onLook: (span: Span, words: string) => void;
}

export function BestsSet({ bests, efforts, onLook }: BestsSetProps) {
  const shown = bests.filter(isShown);
  return (
    <>
      <ul class="bests-set">
        {shown.map((best) => {
          const words = lasting(best.duration_s);
          return (
            <li key={best.duration_s}>
              <button type="button" class="best act act-quiet"
                      onClick={() => onLook({ from_s: best.start_s, to_s: best.start_s + best.duration_s }, `best ${words}`)}>
                <span class="best-lasting">{words}</span>
                <span class="best-power">{best.at_least ? "≥ " : ""}{number(best.power_w, 0)}&nbsp;W</span>
                <span class="best-at">at {clock(best.start_s)}</span>
              </button>
              <span class="best-evidence">{evidenceOf(best, efforts)}</span>
            </li>
          );
        })}
      </ul>
      <p class="small quiet">
        {rideWords.bestsHint}
        {shown.some((best) => best.at_least) && ` ≥ ${rideWords.atLeast}.`}
      </p>
    </>
  );
}
