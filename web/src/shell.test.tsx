// @vitest-environment happy-dom
import { render } from "preact";
import { act } from "preact/test-utils";
import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";

import { forgetAnswers } from "./answer";
import { startKeyboard } from "./keyboard";
import { go, startRouter } from "./router";
import { Shell } from "./shell";
import { session, trouble } from "./state";

const SESSION = {
  plumbline: "0.1.0", roster: "team.plumbline", example: false, today: "2026-08-31", today_words: "Monday 31 August 2026",
  riders: 2, rides_being_read_again: 0, since: { day: null, rides: 0, unreadable: 0, answers: 0, words: null },
};
const ITEM = {
  rider: 4, name: "Jonas Ebbeck", group: "decide this week", code: "hard-faded", text: "Faded in the hard work.",
  act: "read-ride", act_words: "Read the ride", ride: 667, numbers: {}, first: true, again: false, mark: null,
  mark_line: null, last_ride: null, gauge: null, gauge_words: null, version: 9,
};
const WHO = {
  today: "2026-08-31", today_words: "Monday 31 August 2026", riders: 2, rides_being_read_again: 0, since: SESSION.since,
  groups: [{ group: "decide this week", heading: "Decide this week", riders: 1 }], items: [ITEM],
};

let stops: (() => void)[] = [];
let answers: Record<string, unknown>;
let stub: ReturnType<typeof vi.fn<typeof fetch>>;

beforeEach(() => {
  forgetAnswers();
  session.value = null;
  trouble.value = null;
  answers = { "GET session": SESSION, "GET who": WHO, "GET riders": { today: "2026-08-31", riders: [] },
    "POST session/looked": SESSION.since,
    "POST who/4/marks": { change: 3, words: "x", number: null, version: null, rides_being_read_again: 0 } };
  stub = vi.fn<typeof fetch>((path, init) => {
    const url = path instanceof Request ? path.url : path.toString();
    const found = answers[`${init?.method ?? "GET"} ${url.replace("/api/1/", "")}`];
    return Promise.resolve(found === undefined
      ? new Response('{"detail":"not here"}', { status: 404 })
      : new Response(JSON.stringify(found)));
  });
  vi.stubGlobal("fetch", stub);
  vi.stubGlobal("EventSource", undefined);
  go("/", true);
  stops = [startRouter(), startKeyboard()];
});

afterEach(() => {
  for (const stop of stops) {
    stop();
  }
});

/* Until it is so, however slow the machine is. */
async function until(check: () => void): Promise<void> {
  await vi.waitFor(async () => {
    await act(async () => {
      await new Promise((done) => setTimeout(done, 5));
    });
    check();
  }, { timeout: 5000, interval: 5 });
}

const text = (what: string): string => document.querySelector(what)?.textContent ?? "";

async function show(heading = "Who first"): Promise<void> {
  await act(() => render(<Shell />, document.body));
  await until(() => {
    expect(text("h1")).toBe(heading);
    expect(document.querySelector(".loading")).toBeNull();
  });
}

async function key(name: string): Promise<void> {
  await act(() => {
    (document.activeElement ?? document.body).dispatchEvent(
      new KeyboardEvent("keydown", { key: name, bubbles: true, cancelable: true }));
  });
}

describe("shell", () => {
  test("who first is there, and was looked at once", async () => {
    await show();
    expect(text(".person h3")).toBe("Jonas Ebbeck");
    expect(text('[aria-current="page"]')).toBe("Who first");
    expect(document.querySelector(".line-banner")).toBeNull();
    await until(() => {
      expect(document.title).toBe("Who first · Plumbline");
      expect(stub.mock.calls.filter(([path]) => path === "/api/1/session/looked")).toHaveLength(1);
    });
  });

  test("to another screen by keys: its title, and the focus at its beginning", async () => {
    await show();
    await key("g");
    await key("r");
    await until(() => {
      expect(document.title).toBe("Riders · Plumbline");
      expect(document.activeElement?.id).toBe("screen");
    });
  });

  test("? lists the keys, those of the screen too", async () => {
    await show();
    await key("?");
    await until(() => {
      expect(text("dialog")).toContain("go to riders");
      expect(text("dialog")).toContain("next person");
    });
  });

  test("done: the row's version goes with it, and a line says so with the way back", async () => {
    await show();
    await until(() => {
      document.querySelector<HTMLElement>(".person h3 a")?.focus();
      expect(document.activeElement?.textContent).toBe("Jonas Ebbeck");
    });
    await key("d");
    await until(() => expect(text(".line-said")).toContain("Jonas Ebbeck: done"));
    const sent = stub.mock.calls.find(([path]) => path === "/api/1/who/4/marks");
    expect(new Headers(sent?.[1]?.headers).get("If-Match")).toBe('"9"');
    expect(sent?.[1]?.body).toBe('{"code":"hard-faded","state":"done"}');
    expect(text(".line-said button")).toBe("undo");
  });

  test("the example says that it is one, on every screen", async () => {
    answers["GET session"] = { ...SESSION, example: true };
    await show();
    await until(() => expect(text(".line-banner")).toContain("invented riders"));
  });

  test("rides being read again are told", async () => {
    answers["GET session"] = { ...SESSION, rides_being_read_again: 1399 };
    await show();
    await until(() => expect(text(".lines")).toContain("1,399 rides are being read again."));
  });

  test("an empty roster says what to do first", async () => {
    answers["GET who"] = { ...WHO, riders: 0, items: [] };
    await show("An empty roster");
    expect(document.querySelector("form")).not.toBeNull();
  });

  test("an address that is none says so and leads back", async () => {
    go("/nothing", true);
    await show("There is no such page");
    expect(document.querySelector("main a")?.getAttribute("href")).toBe("/");
  });

  test("an answer that can't be had says why, and can be asked for again", async () => {
    delete answers["GET who"];
    await show();
    expect(text("main")).toContain("not here");
    answers["GET who"] = WHO;
    await act(() => document.querySelector<HTMLElement>("main button")?.click());
    await until(() => expect(document.querySelector(".person")).not.toBeNull());
  });
});
