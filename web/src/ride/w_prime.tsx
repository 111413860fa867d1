/* What each rep took of the work above critical power, and about what was left after it.  Where
 * critical power wasn't known before the day nothing stands here. */
import { number } from "../formats";
import type { Rep, RideRead } from "./types";
import { rideWords } from "./words";

function kj(value: number | null | undefined, decimals: number): string {
  return value === null || value === undefined ? "–" : number(Math.max(value, 0) / 1000, decimals);
}

function hasBalance(rep: Rep): boolean {
  return rep.w_prime_left_j !== null && rep.w_prime_left_j !== undefined;
}

export function WorkAbove({ ride }: { readonly ride: RideRead }) {
  const balance = ride.w_prime;
  if (balance === undefined || balance.end !== "known") {
    return null;
  }
  const reps = balance.numbers_wrong ? [] : ride.reps.filter(hasBalance);
  return (
    <>
      <p>{balance.text}</p>
      {reps.length > 0 && (
        <table>
          <thead>
            <tr>
              <th scope="col">{rideWords.rep}</th>
              <th scope="col">{rideWords.took}</th>
              <th scope="col">{rideWords.leftAbout}</th>
            </tr>
          </thead>
          <tbody>
            {reps.map((rep, i) => (
              <tr key={rep.start_s}>
                <th scope="row">{i + 1}</th>
                <td class="number">{kj(rep.w_prime_cost_j, 1)}</td>
                <td class="number">{kj(rep.w_prime_left_j, 0)} ({kj(rep.w_prime_left_low_j, 0)}–{kj(rep.w_prime_left_high_j, 0)})</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </>
  );
}
