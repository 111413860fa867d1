/* Jobs of the server, followed to their end; and answers that a job makes.
 *
 * Their events come by the one stream of the page (live.ts); what that misses is asked for. */
import { api, type Answer, Making } from "./api";
import type { Job } from "./api_types";

export const ASK_AGAIN_MS = 2000;
const ASK_SOON_MS = 100;

export function isOver(job: Pick<Job, "state">): boolean {
  return job.state === "done" || job.state === "failed" || job.state === "stopped";
}

type Follower = (job: Job) => void;
const followers = new Map<number, Set<Follower>>();
let streaming = false;

/* Whether the one stream of the page brings jobs' events. */
export function hearsStream(does: boolean): void {
  streaming = does;
}

export function hearJob(job: Job): void {
  for (const follower of followers.get(job.id) ?? []) {
    follower(job);
  }
}

/* Tells how a job goes on, until it is over (that is told last) or the returned function is called.
 * What the stream of events can't say in full, its result, is asked for at the end. */
export function followJob(begun: Pick<Job, "id">, onJob: Follower): () => void {
  let over = false;
  let timer: ReturnType<typeof setTimeout> | null = null;
  let pause_ms = ASK_SOON_MS; // most are over at once, and a stream that opens meanwhile may miss the end
  const stop = (): void => {
    over = true;
    followers.get(begun.id)?.delete(hear);
    if (timer !== null) {
      clearTimeout(timer);
    }
  };
  const ask = async (): Promise<void> => {
    timer = null;
    const found = await api.get<Job>(`jobs/${begun.id}`).then((answer) => answer.data).catch(() => null);
    if (over) {
      return;
    }
    if (found !== null && isOver(found)) {
      stop();
      onJob(found);
      return;
    }
    if (found !== null) {
      onJob(found);
    }
    pause_ms = Math.min(2 * pause_ms, streaming ? 5 * ASK_AGAIN_MS : ASK_AGAIN_MS);
    timer = setTimeout(() => void ask(), pause_ms);
  };
  const hear = (job: Job): void => {
    if (!isOver(job)) {
      onJob(job);
    } else {
      if (timer !== null) {
        clearTimeout(timer);
      }
      void ask();
    }
  };
  const heard = followers.get(begun.id) ?? new Set<Follower>();
  heard.add(hear);
  followers.set(begun.id, heard);
  void ask();
  return stop;
}

/* Resolves when it is over; rejects as an aborted fetch does. */
function untilOver(job: Job, abort: AbortSignal | undefined, onJob: Follower | undefined): Promise<void> {
  return new Promise((resolve, reject) => {
    const stop = followJob(job, (told) => {
      onJob?.(told);
      if (isOver(told)) {
        resolve();
      }
    });
    abort?.addEventListener("abort", () => {
      stop();
      reject(new DOMException("nobody waits for it any more", "AbortError"));
    });
  });
}

async function made<T>(ask: (waits: boolean) => Promise<T>, abort?: AbortSignal, onJob?: Follower): Promise<T> {
  for (let waits = false; ; waits = true) {
    try {
      return await ask(waits);
    } catch (error) {
      if (!(error instanceof Making)) {
        throw error;
      }
      onJob?.(error.job);
      await untilOver(error.job, abort, onJob);
    }
  }
}

/* As api.get, for answers that may take their time: onJob hears how far they are. */
export function getMade<T>(path: string, abort?: AbortSignal, onJob?: Follower): Promise<Answer<T>> {
  return made((waits) => api.get<T>(path, abort, waits), abort, onJob);
}

export function bytesMade(path: string, abort?: AbortSignal): Promise<ArrayBuffer> {
  return made((waits) => api.bytes(path, abort, waits), abort);
}
