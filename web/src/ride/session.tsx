/* The session that the ride was, of its day or moved to it: asked against done. */
import { useAnswer } from "../answer";
import type { RideSession } from "../api_types";
import { CameTable } from "../draft/came";
import { shortDay } from "../formats";
import { rideWords } from "./words";

export function RideSessionView({ ride, day }: { readonly ride: number; readonly day: string }) {
  const answer = useAnswer<RideSession>(`rides/${ride}/session`).data;
  if (answer === null || answer.session === null || answer.came_back === null) {
    return null;
  }
  const { rider, session, came_back: came } = answer;
  return (
    <section class="ride-session">
      <h2>{rideWords.session}</h2>
      <p class="sentence">{came.text}</p>
      <p>
        <a href={`/riders/${rider}/draft?week=${session.day}&session=${session.number}`}>{session.name}</a>
        {session.day !== day && <span class="quiet">, {rideWords.givenFor(shortDay(session.day))}</span>}
      </p>
      <CameTable came={came} />
    </section>
  );
}
