/* What the whole page knows: who serves it, what was just said, what went wrong. */
import { signal } from "@preact/signals";

import { api, Problem } from "./api";
import { labels } from "./labels";
import type { Session } from "./api_types";

export const session = signal<Session | null>(null);

/* A line under the header: what was just done, and how to take it back. */
export interface Notice {
  readonly words: string;
  readonly change: number | null; /* number of the change that undo takes back */
}
export const notice = signal<Notice | null>(null);

/* A line under the header: what went wrong. */
export const trouble = signal<string | null>(null);

/* Read out to who can't see the page, in its own time. */
export const spoken = signal("");

export function say(words: string, change: number | null = null): void {
  trouble.value = null;
  notice.value = { words, change };
  spoken.value = words;
}

export function complain(error: unknown): void {
  trouble.value = error instanceof Problem ? error.message : labels.unexpected;
  notice.value = null;
}

export function hush(): void {
  trouble.value = null;
  notice.value = null;
}

export async function loadSession(): Promise<void> {
  try {
    session.value = (await api.get<Session>("session")).data;
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

export async function undo(change: number): Promise<void> {
  await attempt(async () => {
    const answer = await api.send<{ readonly said: string }>("POST", `changes/${change}/undo`);
    say(answer.data.said);
  });
}
