/* A screen before its answer is there, and when there is none. */
import type { Answered } from "../answer";
import { labels } from "../labels";
import { Act } from "./act";

export function Loading({ title }: { readonly title: string }) {
  return (
    <>
      <h1>{title}</h1>
      <p class="loading" role="status">{labels.loading}</p>
    </>
  );
}

export function Failed({ title, answer }: { readonly title: string; readonly answer: Pick<Answered<unknown>, "problem" | "again"> }) {
  return (
    <>
      <h1>{title}</h1>
      <p role="alert">{answer.problem?.message ?? labels.unexpected}</p>
      <p class="acts">
        <Act primary onAct={answer.again}>{labels.again}</Act>
      </p>
    </>
  );
}
