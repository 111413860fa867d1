// @vitest-environment happy-dom
import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";

import { stale } from "./answer";
import type { Job } from "./api_types";
import { imports, importFiles, progressOf } from "./imports";
import { followJob } from "./jobs";
import { rereading, startLive } from "./live";
import { waiting } from "./state";

/* An EventSource that says what the test tells it to. */
class Stream extends EventTarget {
  static newest: Stream | null = null;
  static readonly CLOSED = 2;
  readyState = 1;
  onerror: (() => void) | null = null;

  constructor(readonly url: string) {
    super();
    Stream.newest = this;
  }

  close(): void {
    this.readyState = 2;
  }

  tell(name: string, data: unknown): void {
    this.dispatchEvent(new MessageEvent(name, { data: JSON.stringify(data) }));
  }
}

const job = (state: Job["state"], change: Partial<Job> = {}): Job => ({
  id: 7, url: "/api/1/jobs/7", kind: "import", state, done: 0, all: 0, left_s: null, words: null, error: null, result: null,
  ...change,
});

let stop = (): void => undefined;

beforeEach(() => {
  vi.useFakeTimers();
  vi.stubGlobal("EventSource", Stream);
});

afterEach(() => {
  stop();
  vi.useRealTimers();
  imports.value = [];
});

function answerWith(answers: Record<string, () => unknown>): ReturnType<typeof vi.fn<typeof fetch>> {
  const stub = vi.fn<typeof fetch>((path, init) => {
    const key = `${init?.method ?? "GET"} ${path instanceof Request ? path.url : path.toString()}`;
    const found = Object.entries(answers).find(([start]) => key.startsWith(start));
    return found === undefined
      ? Promise.resolve(new Response("{}", { status: 404 }))
      : Promise.resolve(new Response(JSON.stringify(found[1]())));
  });
  vi.stubGlobal("fetch", stub);
  return stub;
}

describe("what happens meanwhile", () => {
  test("one stream for the page; rides being read again count down and then all is asked anew", async () => {
    answerWith({});
    stop = startLive();
    expect(Stream.newest?.url).toBe("/api/1/events");
    const before = stale.value;
    Stream.newest?.tell("rereading", { done: 1, all: 3, waiting: 2 });
    expect(waiting.value).toBe(2);
    expect(rereading.value?.done).toBe(1);
    Stream.newest?.tell("rereading", { done: 3, all: 3, waiting: 0 });
    expect(rereading.value).toBeNull();
    await vi.advanceTimersByTimeAsync(300);
    expect(stale.value).toBe(before + 1);
  });

  test("changes that follow each other closely are asked for once", async () => {
    answerWith({});
    stop = startLive();
    const before = stale.value;
    for (let i = 0; i < 20; i++) {
      Stream.newest?.tell("changed", { generation: i });
    }
    await vi.advanceTimersByTimeAsync(300);
    expect(stale.value).toBe(before + 1);
  });

  test("a job is followed to its end, and its result is asked for", async () => {
    let state: Job = job("running");
    answerWith({ "GET /api/1/jobs/7": () => state });
    stop = startLive();
    const seen: string[] = [];
    followJob({ id: 7 }, (told) => seen.push(`${told.state} ${told.done}`));
    await vi.advanceTimersByTimeAsync(0);
    Stream.newest?.tell("job", job("running", { done: 2, all: 3 }));
    state = job("done", { done: 3, all: 3 });
    Stream.newest?.tell("job", state);
    await vi.advanceTimersByTimeAsync(0);
    expect(seen).toEqual(["running 0", "running 2", "done 3"]);
    Stream.newest?.tell("job", job("running"));
    expect(seen).toHaveLength(3);
  });

  test("without a stream the job is asked for", async () => {
    let state: Job = job("running");
    answerWith({ "GET /api/1/jobs/7": () => state });
    const seen: string[] = [];
    followJob({ id: 7 }, (told) => seen.push(told.state));
    await vi.advanceTimersByTimeAsync(0);
    state = job("failed");
    await vi.advanceTimersByTimeAsync(11_000);
    expect(seen).toEqual(["running", "failed"]);
  });
});

describe("taking rides in", () => {
  test("two at a time; a file too large is not sent", async () => {
    let n = 0;
    const stub = answerWith({
      "POST /api/1/imports": () => job("running", { id: 100 + n++ }),
      "GET /api/1/jobs/": () => job("running"),
    });
    const files = ["a.fit", "b.fit", "c.fit"].map((name) => new File(["x"], name));
    const huge = new File(["x"], "huge.fit");
    Object.defineProperty(huge, "size", { value: 300_000_000 });
    importFiles([...files, huge], 3);
    await vi.advanceTimersByTimeAsync(0);
    const sent = stub.mock.calls.filter(([, init]) => init?.method === "POST").map(([path]) => path);
    expect(sent).toEqual(["/api/1/imports?name=a.fit&rider=3", "/api/1/imports?name=b.fit&rider=3"]);
    expect(imports.value.map((item) => item.state)).toEqual(["reading", "reading", "waiting", "failed"]);
    expect(progressOf(imports.value)).toEqual({ done: 1, all: 4, busy: true });
  });

  test("a file that the server refuses says why, and the next one goes", async () => {
    vi.stubGlobal("fetch", vi.fn(() => Promise.resolve(new Response('{"detail":"no rider 9 here"}', { status: 404 }))));
    importFiles([new File(["x"], "a.fit"), new File(["x"], "b.fit"), new File(["x"], "c.fit")], 9);
    await vi.advanceTimersByTimeAsync(0);
    expect(imports.value.map((item) => item.problem)).toEqual(Array(3).fill("no rider 9 here"));
  });
});
