/* "why?": what a verdict rests on: what its rule is worth, the line and where it comes from, the
 * rule's own limits, the threshold that was used. */
import type { Reading } from "../api_types";
import { labels } from "../labels";
import { number, withDays } from "../formats";
import { today } from "../state";

export function Why({ reading, of }: { readonly reading: Pick<Reading, "basis" | "limit" | "unit"> & { worth?: string }; readonly of: string }) {
  const limits = Object.entries(reading.basis.limits);
  const { basis, limit } = reading;
  return (
    <details class="why">
      <summary aria-label={`${labels.why} ${of}`}>{labels.why}</summary>
      <dl>
        {reading.worth !== undefined && (
          <>
            <dt>{labels.whyWorth}</dt>
            <dd>{reading.worth}</dd>
          </>
        )}
        {limit !== null && (
          <>
            <dt>{labels.whyLine}</dt>
            <dd>{number(limit.value)} {reading.unit ?? ""}: {limit.source}</dd>
          </>
        )}
        {basis.threshold_w !== null && (
          <>
            <dt>{labels.whyThreshold}</dt>
            <dd>
              {number(basis.threshold_w)} W
              {basis.threshold_known_by === null ? "" : `, ${withDays(basis.threshold_known_by, today())}`}
            </dd>
          </>
        )}
        {typeof basis.response === "string" && (
          <>
            <dt>{labels.whyResponse}</dt>
            <dd>{withDays(basis.response, today())}</dd>
          </>
        )}
        {typeof basis.efforts_by === "string" && (
          <>
            <dt>{labels.whyEfforts}</dt>
            <dd>{basis.efforts_by}</dd>
          </>
        )}
        <dt>{labels.whyMethod}</dt>
        <dd>{basis.method}</dd>
        {limits.length > 0 && (
          <>
            <dt>{labels.whyLimits}</dt>
            <dd>
              <table>
                <tbody>
                  {limits.map(([name, value]) => (
                    <tr key={name}>
                      <th scope="row">{name.replace(/_/g, " ")}</th>
                      <td class="number">{number(value)}</td>
                    </tr>
                  ))}
                </tbody>
              </table>
            </dd>
          </>
        )}
      </dl>
    </details>
  );
}
