/* The one way to the server: JSON in and out, versions against lost updates, and every failure as
 * one line that can be shown as it is.
 *
 *     const rider = await api.get<Rider>("riders/3");      // {data, etag}
 *     await api.send("PUT", "riders/3/goals/1", {words}, {version: 2});
 *
 * A write to a row names the row's version; another hand's change in between gives a Problem with
 * `conflict`, never an overwrite. */
import { signal } from "@preact/signals";

import type { Job } from "./api_types";

const BASE = "/api/1/";

/* What went wrong, in one line: RFC 9457. */
export class Problem extends Error {
  readonly status: number; /* 0 = no answer came */
  readonly kind: string;

  constructor(status: number, message: string, kind = "") {
    super(message);
    this.name = "Problem";
    this.status = status;
    this.kind = kind;
  }

  /* Somebody changed the same row meanwhile. */
  get conflict(): boolean {
    return this.status === 409 || this.status === 412;
  }

  get denied(): boolean {
    return this.status === 401 || this.status === 403;
  }
}

/* The answer isn't there at a glance: a job makes it (jobs.ts follows it). */
export class Making extends Error {
  readonly job: Job;

  constructor(job: Job) {
    super("the answer is being made");
    this.name = "Making";
    this.job = job;
  }
}

export interface Answer<T> {
  readonly data: T;
  readonly etag: string | null;
  readonly location: string | null;
}

export interface SendOptions {
  readonly version?: number | string; /* of the row that is changed */
  readonly quiet?: boolean; /* changes nothing that a screen shows */
  readonly signal?: AbortSignal;
}

/* Grows with every write that went through: whoever shows answers asks again. */
export const writes = signal(0);

const NO_ANSWER = "Plumbline doesn't answer. Is plumbline serve still running?";
const NOT_SENSIBLE = "the server's answer could not be read; load the page again";

function line(text: unknown): string | null {
  return typeof text === "string" && text.trim() !== "" ? text.replace(/\s+/g, " ").trim() : null;
}

/* problem+json to one line; anything else to the status. */
export async function problemOf(response: Response): Promise<Problem> {
  const body: unknown = await response.json().catch(() => null);
  const fields = typeof body === "object" && body !== null ? (body as Record<string, unknown>) : {};
  const message =
    line(fields["detail"]) ??
    line(fields["title"]) ??
    `the server answered ${response.status} ${response.statusText}`.trim();
  return new Problem(response.status, message, line(fields["kind"]) ?? line(fields["type"]) ?? "");
}

function isAbort(error: unknown): boolean {
  return error instanceof DOMException && error.name === "AbortError";
}

async function ask(path: string, init: RequestInit): Promise<Response> {
  let response: Response;
  try {
    response = await fetch(path.startsWith("/") ? path : BASE + path, { credentials: "same-origin", ...init });
  } catch (error) {
    throw isAbort(error) ? error : new Problem(0, NO_ANSWER);
  }
  if (!response.ok) {
    throw await problemOf(response);
  }
  return response;
}

async function answerOf<T>(response: Response): Promise<Answer<T>> {
  const text = await response.text();
  try {
    return {
      data: (text === "" ? null : JSON.parse(text)) as T,
      etag: response.headers.get("ETag"),
      location: response.headers.get("Location"),
    };
  } catch {
    throw new Problem(response.status, NOT_SENSIBLE);
  }
}

/* waits: as long as it takes, rather than for a job. */
async function read(path: string, accept: string, abort?: AbortSignal, waits = false): Promise<Response> {
  const response = await ask(path, {
    headers: { Accept: accept, ...(waits ? { Prefer: "wait=30" } : {}) },
    ...(abort === undefined ? {} : { signal: abort }),
  });
  if (response.status === 202) {
    throw new Making((await answerOf<Job>(response)).data);
  }
  return response;
}

async function get<T>(path: string, abort?: AbortSignal, waits = false): Promise<Answer<T>> {
  return answerOf<T>(await read(path, "application/json", abort, waits));
}

/* Bytes as they are: the traces of a ride. */
async function bytes(path: string, abort?: AbortSignal, waits = false): Promise<ArrayBuffer> {
  return (await read(path, "*/*", abort, waits)).arrayBuffer();
}

async function send<T>(
  method: "POST" | "PUT" | "DELETE",
  path: string,
  body?: unknown, /* left out: nothing is sent, for what takes nothing */
  options: SendOptions = {},
): Promise<Answer<T>> {
  const headers: Record<string, string> = { Accept: "application/json" };
  headers["Content-Type"] = "application/json"; // every write says so, with or without a body
  if (options.version !== undefined) {
    headers["If-Match"] = `"${options.version}"`;
  }
  const response = await ask(path, {
    method,
    headers,
    ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    ...(options.signal === undefined ? {} : { signal: options.signal }),
  });
  const answer = await answerOf<T>(response);
  if (options.quiet !== true) {
    writes.value += 1;
  }
  return answer;
}

/* A file's bytes as the body, streamed by the browser. */
async function upload<T>(path: string, file: Blob, abort?: AbortSignal): Promise<Answer<T>> {
  const response = await ask(path, {
    method: "POST",
    headers: { Accept: "application/json", "Content-Type": "application/octet-stream" },
    body: file,
    ...(abort === undefined ? {} : { signal: abort }),
  });
  return answerOf<T>(response);
}

/* Server-sent events until `stop` is called or the server ends them.  onLost: the browser could not
 * get a stream; whoever called may ask again by `get`. */
function events(path: string, onEvent: (name: string, data: unknown) => void, names: readonly string[],
                onLost?: () => void): () => void {
  const source = new EventSource(path.startsWith("/") ? path : BASE + path);
  for (const name of names) {
    source.addEventListener(name, (event: MessageEvent<string>) => {
      try {
        onEvent(name, JSON.parse(event.data));
      } catch {
        onLost?.();
      }
    });
  }
  source.onerror = (): void => {
    if (source.readyState === EventSource.CLOSED) {
      onLost?.();
    }
  };
  return () => source.close();
}

export const api = { get, bytes, send, upload, events };
