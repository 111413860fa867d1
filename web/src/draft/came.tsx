/* What came back of a session: each step asked against what was ridden of it, power first, heart
 * rate only ever beside it. */
import { useAnswer } from "../answer";
import type { CameBack, SessionWhole } from "../api_types";
import { day, number } from "../formats";
import { labels } from "../labels";
import { lasting } from "../traces/ticks";
import { wattsOf } from "./plan";
import { draftWords } from "./words";

type Step = CameBack["steps"][number];

/* Where there is little room the watts asked stand under the words. */
function Row({ step, isWork }: { readonly step: Step; readonly isWork: boolean }) {
  const { seconds, mean_w: watts, heart_bpm: beats } = step;
  const asked = wattsOf(step);
  return (
    <tr class={isWork ? "came-work" : "quiet"}>
      <td>{step.asked}{asked !== "–" && <span class="only-narrow"> {asked} W</span>}</td>
      <td class="number came-asked">{asked}</td>
      <td class="number">{seconds === 0 ? "–" : lasting(seconds)}</td>
      <td class="number">{watts === null ? "–" : number(watts, 0)}</td>
      <td class="number">{watts === null || beats === null ? "–" : number(beats, 0)}</td>
      <td>{draftWords.cameVerdicts[step.verdict]}</td>
    </tr>
  );
}

/* Asked against done; nothing where no step was found. */
export function CameTable({ came }: { readonly came: CameBack }) {
  const hasWork = came.steps.some((step) => step.is_work);
  return came.steps.every((step) => step.from_s === null) ? null : (
    <div class="scrolls came-table" tabIndex={0} role="group" aria-label={draftWords.cameTable}>
      <table>
        <thead>
          <tr>
            <th scope="col">{draftWords.tableAsked}</th>
            <th scope="col" class="number came-asked">{draftWords.cameAsked}</th>
            <th scope="col" class="number">{draftWords.cameRidden}</th>
            <th scope="col" class="number">{draftWords.cameWatts}</th>
            <th scope="col" class="number">{draftWords.cameHeart}</th>
            <th scope="col">{draftWords.cameSo}</th>
          </tr>
        </thead>
        <tbody>{came.steps.map((step, i) => <Row key={i} step={step} isWork={step.is_work || !hasWork} />)}</tbody>
      </table>
    </div>
  );
}

export function CameBackView({ rider, number: session }: { readonly rider: number; readonly number: number }) {
  const { data, problem } = useAnswer<SessionWhole>(`riders/${rider}/sessions/${session}`);
  const came = data?.came_back ?? null;
  if (data === null && problem === null) {
    return <p class="loading">{labels.loading}</p>;
  }
  if (came === null || came.outcome === "not-yet") {
    return null;
  }
  return (
    <section class="came" aria-labelledby="came">
      <h3 id="came">{draftWords.cameBack}</h3>
      <p class="sentence">{came.text}</p>
      {came.ride !== null && came.ride_day !== null && <p><a href={`/rides/${came.ride}`}>{labels.readTheRide(day(came.ride_day))}</a></p>}
      <CameTable came={came} />
    </section>
  );
}
