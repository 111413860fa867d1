/* What the whole page knows: who serves it, what was just said, what went wrong. */
import { signal } from "@preact/signals";

import { api, Problem } from "./api";
import { withDays } from "./formats";
import { labels } from "./labels";
import type { Done, Session } from "./api_types";

export const session = signal<Session | null>(null);

/* A line under the header: what was just done, and how to take it back. */
export interface Notice {
  readonly words: string;
  readonly change: number | null; /* number of the change that undo takes back */
}
export const notice = signal<Notice | null>(null);

/* A line under the header: what went wrong. */
export const trouble = signal<string | null>(null);

/* The title of what is shown, once the screen knows it; null = the route's own. */
export const screenTitle = signal<string | null>(null);

/* Read out to who can't see the page, in its own time. */
export const spoken = signal("");

export function say(words: string, change: number | null = null): void {
  trouble.value = null;
  notice.value = { words, change };
  spoken.value = words;
}

export function complain(error: unknown): void {
  if (error instanceof DOMException && error.name === "AbortError") {
    return;
  }
  trouble.value = error instanceof Problem ? error.message : labels.unexpected;
  notice.value = null;
}

export function hush(): void {
  trouble.value = null;
  notice.value = null;
}

/* Rides whose readings are being made anew; their verdicts are shown as that, never as current.
 * live.ts hears of them. */
export const waiting = signal(0);

/* How many there are now, as an answer said. */
export function noteWaiting(rides: number): void {
  waiting.value = rides;
}

export async function loadSession(): Promise<void> {
  try {
    const found = (await api.get<Session>("session")).data;
    session.value = found;
    noteWaiting(found.rides_being_read_again);
  } catch (error) {
    complain(error);
  }
}

/* The day that the roster stands on: the example has one of its own. */
export function today(): string {
  return session.value?.today ?? new Date().toISOString().slice(0, 10);
}

/* Does something that changes the roster; what went wrong becomes the line under the header.
 * Returns whether it went through. */
export async function attempt(work: () => Promise<unknown>): Promise<boolean> {
  try {
    await work();
    return true;
  } catch (error) {
    complain(error);
    return false;
  }
}

/* Tells what was done, with the way back. */
export function told(done: Done): void {
  say(withDays(done.words, today()), done.change);
  noteWaiting(done.rides_being_read_again);
}

export async function undo(change: number): Promise<void> {
  await attempt(async () => {
    told((await api.send<Done>("POST", `changes/${change}/undo`)).data);
  });
}
