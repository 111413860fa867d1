/* What happens while the page is open, told by the server in one stream for the whole page: jobs,
 * rides being read again, and every change of the roster, whoever made it.
 *
 *     event: job         data: a job
 *     event: rereading   data: {"done":12,"all":96,"waiting":84}
 *     event: changed     data: {"generation":8}
 *
 * Eight pages may listen at once; one that can't asks every two seconds. */
import { signal } from "@preact/signals";

import { stale } from "./answer";
import { api } from "./api";
import type { Job, Jobs } from "./api_types";
import { loadSession, noteWaiting, waiting } from "./state";

export interface Rereading {
  readonly done: number;
  readonly all: number;
  readonly waiting: number;
}

/* How far the reading of old rides is; null = none is being read. */
export const rereading = signal<Rereading | null>(null);

const ASK_AGAIN_MS = 2000;
const SETTLE_MS = 250; /* changes that follow each other so closely are asked for once */

export function isOver(job: Pick<Job, "state">): boolean {
  return job.state === "done" || job.state === "failed" || job.state === "stopped";
}

type Follower = (job: Job) => void;
const followers = new Map<number, Set<Follower>>();
let streaming = false;

function hearJob(job: Job): void {
  for (const follower of followers.get(job.id) ?? []) {
    follower(job);
  }
}

/* Tells how a job goes on, until it is over (that is told last) or the returned function is called.
 * What the stream of events can't say in full, its result, is asked for at the end. */
export function followJob(begun: Pick<Job, "id">, onJob: Follower): () => void {
  let over = false;
  let timer: ReturnType<typeof setTimeout> | null = null;
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
    timer = setTimeout(() => void ask(), streaming ? 5 * ASK_AGAIN_MS : ASK_AGAIN_MS);
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

let settling: ReturnType<typeof setTimeout> | null = null;

function askAllAgain(): void {
  settling ??= setTimeout(() => {
    settling = null;
    stale.value += 1;
    void loadSession();
  }, SETTLE_MS);
}

function hearRereading(told: Rereading): void {
  const before = rereading.value;
  rereading.value = told.waiting > 0 ? told : null;
  noteWaiting(told.waiting);
  if (before !== null && told.waiting === 0) {
    askAllAgain();
  }
}

/* Without a stream: asks how many wait, for as long as any do. */
async function poll(): Promise<void> {
  try {
    const left = (await api.get<Jobs>("jobs")).data.rides_being_read_again;
    const all = Math.max(rereading.value?.all ?? left, left);
    hearRereading({ done: all - left, all, waiting: left });
  } catch {
    // The next write or the next look says it again.
  }
}

/* Listens until the returned function is called. */
export function startLive(): () => void {
  let timer: ReturnType<typeof setInterval> | null = null;
  let stopStream = (): void => undefined;
  const fallBack = (): void => {
    streaming = false;
    timer ??= setInterval(() => {
      if (waiting.value > 0) {
        void poll();
      }
    }, ASK_AGAIN_MS);
  };
  if (typeof EventSource === "undefined") {
    fallBack();
  } else {
    streaming = true;
    stopStream = api.events("events", (name, data) => {
      if (name === "job") {
        hearJob(data as Job);
      } else if (name === "rereading") {
        hearRereading(data as Rereading);
      } else if (name === "changed") {
        askAllAgain();
      }
    }, ["hello", "job", "rereading", "changed"], fallBack);
  }
  return () => {
    stopStream();
    if (timer !== null) {
      clearInterval(timer);
    }
  };
}
