/* A screen before its answer is there, and when there is none. */
import type { Answered } from "../answer";
import type { Job } from "../api_types";
import { labels } from "../labels";
import { Act } from "./act";

/* How far it is, where it is a job that says so: "Reading … 3 of 14, Ada Berg" */
function far(job: Job | null | undefined): string {
  return job === null || job === undefined || job.all === 0
    ? labels.loading
    : `${labels.loading} ${job.done} of ${job.all}${job.words === null ? "" : `, ${job.words}`}`;
}

export function Loading({ title, job }: { readonly title: string; readonly job?: Job | null }) {
  return (
    <>
      <h1>{title}</h1>
      <p class="loading" role="status">{far(job)}</p>
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
