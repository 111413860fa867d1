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

function StepTable({ steps, outlook }: { readonly steps: readonly SessionStep[]; readonly outlook: SessionOutlook | null }) {
  return (
    <table>
      <thead>
        <tr>
          <th scope="col" class="number">{draftWords.tableFrom}</th>
          <th scope="col">{draftWords.tableAsked}</th>
          <th scope="col" class="number">{draftWords.tableWatts}</th>
          <th scope="col" class="number">{draftWords.tableHeart}</th>
          <th scope="col" class="number">{draftWords.tableLeft}</th>
        </tr>
      </thead>
      <tbody>
        {steps.map((step, i) => {
          const effort = outlook?.efforts.find((one) => one.start_s === step.from_s);
          return (
            <tr key={i}>
              <td class="number">{lasting(step.from_s)}</td>
              <td>{step.text}</td>
              <td class="number">{wattsOf(step)}</td>
              <td class="number">{told(effort?.heart_end_bpm, 0)}</td>
              <td class="number">{told(effort?.w_prime_left_j, 1, 1000)}</td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
}

export function ProfileView({ figure, steps, outlook }: {
  readonly figure: SceneAnswer;
  readonly steps: readonly SessionStep[];
  readonly outlook: SessionOutlook | null;
}) {
  const hasHeart = outlook?.minutes.some((one) => one.heart_rate_bpm !== null) === true;
  const hasWork = outlook?.efforts.some((one) => one.w_prime_left_j !== null) === true;
  return (
    <Scene scene={figure} table={<StepTable steps={steps} outlook={outlook} />} caption={
      <>
        {draftWords.captionProfile}{steps.some((step) => step.low_w !== null) && ` ${draftWords.captionZones}`}
        {hasHeart && ` ${draftWords.captionHeart}`}
        {hasWork && ` ${draftWords.captionLeft}`}
      </>
    } />
  );
}
