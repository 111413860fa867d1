/* An answer of the server for a component: loading, there, or failed; asked again after every
 * write and whenever rides have been read again.
 *
 *     const rider = useAnswer<Rider>(`riders/${id}`);
 *     rider.data, rider.problem, rider.again()
 *
 * What was there stays there while it is asked again, so that nothing jumps. */
import { signal } from "@preact/signals";
import { useCallback, useEffect, useRef, useState } from "preact/hooks";

import { Problem, writes } from "./api";
import type { Job } from "./api_types";
import { getMade } from "./jobs";
import { labels } from "./labels";

export interface Answered<T> {
  readonly data: T | null;
  readonly problem: Problem | null;
  readonly job: Job | null; /* that makes it, while there is nothing to show yet */
  readonly again: () => void;
}

/* Grows when the server says that what is shown may be old. */
export const stale = signal(0);

/* Newest answers by path, so that going back shows at once what was there. */
const kept = new Map<string, unknown>();
const KEPT_MOST = 60;

function keep(path: string, data: unknown): void {
  kept.delete(path);
  kept.set(path, data);
  for (const oldest of kept.keys()) {
    if (kept.size <= KEPT_MOST) {
      break;
    }
    kept.delete(oldest);
  }
}

export function forgetAnswers(): void {
  kept.clear();
}

/* path null: nothing is asked. */
export function useAnswer<T>(path: string | null): Answered<T> {
  const [state, setState] = useState<{ path: string | null; data: T | null; problem: Problem | null }>(() => ({
    path,
    data: path === null ? null : ((kept.get(path) as T | undefined) ?? null),
    problem: null,
  }));
  const [asked, setAsked] = useState(0);
  const [job, setJob] = useState<Job | null>(null);
  const again = useCallback(() => setAsked((n) => n + 1), []);
  const latest = useRef(path);
  latest.current = path;
  const seen = `${writes.value}/${stale.value}/${asked}`;
  useEffect(() => {
    if (path === null) {
      return undefined;
    }
    const abort = new AbortController();
    const hear = (told: Job): void => {
      if (!abort.signal.aborted) {
        setJob(told);
      }
    };
    getMade<T>(path, abort.signal, hear)
      .then((answer) => {
        setJob(null);
        keep(path, answer.data);
        if (latest.current === path && !abort.signal.aborted) {
          setState({ path, data: answer.data, problem: null });
        }
      })
      .catch((error: unknown) => {
        if (!abort.signal.aborted) {
          const problem = error instanceof Problem ? error : new Problem(0, labels.unexpected);
          setState((before) => ({ path, data: before.path === path ? before.data : null, problem }));
        }
      });
    return () => abort.abort();
  }, [path, seen]);
  // Another path than the one last answered: what is kept of it, or nothing.
  const data = state.path === path ? state.data : path === null ? null : ((kept.get(path) as T | undefined) ?? null);
  return { data, problem: state.path === path ? state.problem : null, job: data === null ? job : null, again };
}
