/* Rides on their way into the roster: files wait, are sent two at a time, and are read by a job
 * each, whose progress is shown as it happens. */
import { signal } from "@preact/signals";

import { api, Problem, writes } from "./api";
import type { ImportResult, Job } from "./api_types";
import { followJob } from "./jobs";
import { labels } from "./labels";
import { loadSession } from "./state";

export type ImportState = "waiting" | "sending" | "reading" | "done" | "failed" | "stopped";

export interface ImportItem {
  readonly key: number;
  readonly name: string;
  readonly rider: number;
  readonly state: ImportState;
  readonly job: Job | null; /* while it is read */
  readonly result: ImportResult | null; /* of what was read, also when it was stopped */
  readonly problem: string | null; /* why it failed, in one line */
}

export const imports = signal<readonly ImportItem[]>([]);

/* The panel is open: for a rider, or for one still to be chosen; files wait to be told whose. */
export interface ImportAsked {
  readonly rider: number | null;
  readonly files: readonly File[];
}
export const importAsked = signal<ImportAsked | null>(null);

const AT_ONCE = 2; /* more are refused by the server */
const MOST_BYTES = 256_000_000;

let nextKey = 1;
const files = new Map<number, File>();
const stops = new Map<number, () => void>();

function put(key: number, change: Partial<ImportItem>): void {
  imports.value = imports.value.map((item) => (item.key === key ? { ...item, ...change } : item));
}

function isOpen(item: ImportItem): boolean {
  return item.state === "waiting" || item.state === "sending" || item.state === "reading";
}

/* How many files there are, how many of them are over. */
export function progressOf(items: readonly ImportItem[]): { done: number; all: number; busy: boolean } {
  const open = items.filter(isOpen).length;
  return { done: items.length - open, all: items.length, busy: open > 0 };
}

function finish(key: number, change: Partial<ImportItem>): void {
  put(key, change);
  files.delete(key);
  stops.delete(key);
  next();
  if (!imports.value.some(isOpen)) {
    writes.value += 1;
    void loadSession();
  }
}

function hear(key: number, job: Job): void {
  switch (job.state) {
    case "waiting":
    case "running":
      put(key, { state: "reading", job });
      break;
    case "done":
      finish(key, { state: "done", job, result: job.result });
      break;
    case "stopped":
      finish(key, { state: "stopped", job, result: job.result });
      break;
    case "failed":
      finish(key, { state: "failed", job, problem: job.error?.detail ?? labels.unexpected });
      break;
  }
}

async function start(item: ImportItem, file: File): Promise<void> {
  const abort = new AbortController();
  stops.set(item.key, () => abort.abort());
  put(item.key, { state: "sending" });
  const path = `imports?name=${encodeURIComponent(item.name)}&rider=${item.rider}`;
  try {
    const job = (await api.upload<Job>(path, file, abort.signal)).data;
    stops.set(item.key, () => void api.send("DELETE", `jobs/${job.id}`, undefined, { quiet: true }).catch(() => undefined));
    put(item.key, { state: "reading", job });
    followJob(job, (told) => hear(item.key, told));
  } catch (error) {
    if (abort.signal.aborted) {
      finish(item.key, { state: "stopped" });
    } else {
      finish(item.key, { state: "failed", problem: error instanceof Problem ? error.message : labels.unexpected });
    }
  }
}

function next(): void {
  const busy = imports.value.filter((item) => item.state === "sending" || item.state === "reading").length;
  const ready = imports.value.filter((item) => item.state === "waiting").slice(0, Math.max(0, AT_ONCE - busy));
  for (const item of ready) {
    const file = files.get(item.key);
    if (file !== undefined) {
      void start(item, file);
    }
  }
}

/* Takes files in for a rider.  What was over before leaves the list. */
export function importFiles(found: readonly File[], rider: number): void {
  const kept = imports.value.some(isOpen) ? imports.value : [];
  const added = found.map((file): ImportItem => {
    const tooLarge = file.size > MOST_BYTES;
    const key = nextKey++;
    if (!tooLarge) {
      files.set(key, file);
    }
    return {
      key,
      name: file.name,
      rider,
      state: tooLarge ? "failed" : "waiting",
      job: null,
      result: null,
      problem: tooLarge ? labels.importTooLarge : null,
    };
  });
  imports.value = [...kept, ...added];
  next();
}

/* Stops what isn't over; what was taken stays. */
export function stopImports(): void {
  for (const item of imports.value.filter((row) => row.state === "waiting")) {
    put(item.key, { state: "stopped" });
    files.delete(item.key);
  }
  for (const stop of [...stops.values()]) {
    stop();
  }
}

/* ---- what is dropped ---- */

async function filesIn(entry: FileSystemEntry): Promise<File[]> {
  if (entry.name.startsWith(".")) {
    return [];
  }
  if (entry.isFile) {
    return [await new Promise<File>((resolve, reject) => (entry as FileSystemFileEntry).file(resolve, reject))];
  }
  const reader = (entry as FileSystemDirectoryEntry).createReader();
  const all: File[] = [];
  for (;;) {
    const some = await new Promise<FileSystemEntry[]>((resolve, reject) => reader.readEntries(resolve, reject));
    if (some.length === 0) {
      return all;
    }
    for (const inner of some) {
      all.push(...(await filesIn(inner)));
    }
  }
}

/* The files of a drop, those in folders too; hidden ones are left out. */
export async function filesOfDrop(data: DataTransfer): Promise<File[]> {
  const entries = [...data.items]
    .map((item) => (typeof item.webkitGetAsEntry === "function" ? item.webkitGetAsEntry() : null))
    .filter((entry) => entry !== null);
  if (entries.length === 0) {
    return [...data.files];
  }
  const found: File[] = [];
  for (const entry of entries) {
    found.push(...(await filesIn(entry)));
  }
  return found;
}
