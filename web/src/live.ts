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
import { ASK_AGAIN_MS, hearJob, hearsStream } from "./jobs";
import { loadSession, noteWaiting, waiting } from "./state";

export interface Rereading {
  readonly done: number;
  readonly all: number;
  readonly waiting: number;
}

/* How far the reading of old rides is; null = none is being read. */
export const rereading = signal<Rereading | null>(null);

const SETTLE_MS = 250; /* changes that follow each other so closely are asked for once */

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
    hearsStream(false);
    timer ??= setInterval(() => {
      if (waiting.value > 0) {
        void poll();
      }
    }, ASK_AGAIN_MS);
  };
  if (typeof EventSource === "undefined") {
    fallBack();
  } else {
    hearsStream(true);
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
