/* A rider's critical power and the heart's answer to power, each with its doubt or why it can't be
 * told. */
import { useAnswer } from "../answer";
import type { Critical, Heart } from "../api_types";
import { number } from "../formats";
import { labels } from "../labels";

/* "244 (2)": in so many units, with its standard error where an effort was left over to judge by. */
function withError(value: number | null, error: number | null, decimals: number, unit: number): string {
  const brackets = error === null ? "" : ` (${number(error / unit, decimals)})`;
  return value === null ? "–" : number(value / unit, decimals) + brackets;
}

function Forms({ critical }: { readonly critical: Critical }) {
  return (
    <table>
      <thead>
        <tr>
          <th scope="col">{labels.powerForm}</th>
          <th scope="col">{labels.powerCritical}</th>
          <th scope="col">{labels.powerAbove}</th>
        </tr>
      </thead>
      <tbody>
        {critical.forms.map((form) => (
          <tr key={form.form}>
            <th scope="row">{form.form}</th>
            <td class="number">{withError(form.cp_w, form.cp_se_w, 0, 1)}</td>
            <td class="number">{withError(form.w_prime_j, form.w_prime_se_j, 1, 1000)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

export function CriticalPower({ rider }: { readonly rider: number }) {
  const critical = useAnswer<Critical>(`riders/${rider}/critical`);
  if (critical.data === null) {
    return <p class="quiet">{critical.problem?.message ?? labels.loading}</p>;
  }
  return (
    <>
      {/* Why it can't be told stands on the figure. */}
      {critical.data.end === "known" && <p>{critical.data.text}</p>}
      {critical.data.threshold_text !== null && <p class="small quiet">{critical.data.threshold_text}</p>}
      {critical.data.forms.length > 0 && <Forms critical={critical.data} />}
      <p class="small quiet">{critical.data.forms_missing.map((form) => form.text).join(" ")}</p>
    </>
  );
}

export function HeartResponse({ rider }: { readonly rider: number }) {
  const heart = useAnswer<Heart>(`riders/${rider}/heart`);
  return <p>{heart.data?.text ?? heart.problem?.message ?? labels.loading}</p>;
}
