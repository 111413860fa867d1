/* A session's profile as the server drew it (the card and the command line draw the same), and its
 * numbers as a table. */
import type { Scene as SceneAnswer, SessionOutlook, SessionStep } from "../api_types";
import { number } from "../formats";
import { Scene } from "../parts/scene";
import { lasting } from "../traces/ticks";
import { wattsOf } from "./plan";
import { draftWords } from "./words";

function told(value: number | null | undefined, decimals: number, per = 1): string {
  return value === null || value === undefined ? "–" : number(value / per, decimals);
}

function rowOf(step: SessionStep, outlook: SessionOutlook | null): string[] {
  const effort = outlook?.efforts.find((one) => one.start_s === step.from_s);
  return [step.text, lasting(step.from_s), wattsOf(step), told(effort?.heart_end_bpm, 0), told(effort?.w_prime_left_j, 1, 1000)];
}

export function ProfileView({ figure, steps, outlook }: {
  readonly figure: SceneAnswer;
  readonly steps: readonly SessionStep[];
  readonly outlook: SessionOutlook | null;
}) {
  const hasHeart = outlook?.minutes.some((one) => one.heart_rate_bpm !== null) === true;
  const hasWork = outlook?.efforts.some((one) => one.w_prime_left_j !== null) === true;
  const table = { caption: figure.title, heads: draftWords.tableHeads, rows: steps.map((step) => rowOf(step, outlook)) };
  return (
    <Scene scene={{ ...figure, table }} caption={
      <>
        {draftWords.captionProfile}{steps.some((step) => step.low_w !== null) && ` ${draftWords.captionZones}`}
        {hasHeart && ` ${draftWords.captionHeart}`}
        {hasWork && ` ${draftWords.captionLeft}`}
      </>
    } />
  );
}
