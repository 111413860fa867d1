import { describe, expect, test, vi } from "vitest";

import { api, Problem, writes } from "./api";

function answers(body: string, init: ResponseInit = {}): ReturnType<typeof vi.fn<typeof fetch>> {
  const stub = vi.fn<typeof fetch>(() => Promise.resolve(new Response(body, init)));
  vi.stubGlobal("fetch", stub);
  return stub;
}

async function problem(work: Promise<unknown>): Promise<Problem> {
  const error: unknown = await work.then(() => null, (thrown: unknown) => thrown);
  expect(error).toBeInstanceOf(Problem);
  return error as Problem;
}

describe("api", () => {
  test("a read goes below /api/1/ and brings its ETag", async () => {
    const stub = answers('{"id":3}', { headers: { ETag: '"abc"' } });
    expect(await api.get("riders/3")).toEqual({ data: { id: 3 }, etag: '"abc"', location: null });
    expect(stub.mock.calls[0]?.[0]).toBe("/api/1/riders/3");
  });

  test("a write names the version that was seen, and says that something changed", async () => {
    const stub = answers('{"change":7}');
    const before = writes.value;
    await api.send("PUT", "riders/3/goals/1", { words: "finish" }, { version: 4 });
    const init = stub.mock.calls[0]?.[1];
    const headers = new Headers(init?.headers);
    expect(init?.method).toBe("PUT");
    expect(headers.get("If-Match")).toBe('"4"');
    expect(headers.get("Content-Type")).toBe("application/json");
    expect(init?.body).toBe('{"words":"finish"}');
    expect(writes.value).toBe(before + 1);
  });

  test("a quiet write changes nothing that is shown", async () => {
    answers("{}");
    const before = writes.value;
    await api.send("POST", "session/looked", undefined, { quiet: true });
    expect(writes.value).toBe(before);
  });

  test("a refused write changes nothing", async () => {
    answers('{"title":"Precondition Failed","status":412,"kind":"conflict","detail":"changed meanwhile"}',
      { status: 412 });
    const before = writes.value;
    const error = await problem(api.send("PUT", "riders/3", {}, { version: 1 }));
    expect(error.conflict).toBe(true);
    expect(error.message).toBe("changed meanwhile");
    expect(writes.value).toBe(before);
  });

  // RFC 9457, 3.1: detail explains this occurrence; title is the same for all of a kind.
  test("a problem becomes one line: its detail, else its title, else the status", async () => {
    answers('{"title":"Not Found","detail":"nobody here is\\n called ida"}', { status: 404 });
    expect((await problem(api.get("riders/9"))).message).toBe("nobody here is called ida");
    answers('{"title":"Not Found"}', { status: 404 });
    expect((await problem(api.get("riders/9"))).message).toBe("Not Found");
    answers("<html>", { status: 502, statusText: "Bad Gateway" });
    expect((await problem(api.get("riders/9"))).message).toBe("the server answered 502 Bad Gateway");
  });

  test("no answer at all says what to do", async () => {
    const error = await problem(api.get("riders"));
    expect(error.status).toBe(0);
    expect(error.message).toContain("plumbline serve");
  });

  test("an answer that is no JSON is a problem, not a crash", async () => {
    answers("<!doctype html>");
    expect((await problem(api.get("riders"))).message).toContain("could not be read");
  });

  test("what was aborted is not a problem of the server", async () => {
    const abort = new AbortController();
    vi.stubGlobal("fetch", () => Promise.reject(new DOMException("stop", "AbortError")));
    abort.abort();
    const error: unknown = await api.get("riders", abort.signal).then(() => null, (thrown: unknown) => thrown);
    expect(error).not.toBeInstanceOf(Problem);
  });
});
