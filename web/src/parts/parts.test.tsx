// @vitest-environment happy-dom
import { render } from "preact";
import { act } from "preact/test-utils";
import { beforeEach, describe, expect, test, vi } from "vitest";

import type { Scene as SceneAnswer } from "../api_types";
import { entryKinds } from "../entries";
import { notice, trouble } from "../state";
import { Act } from "./act";
import { EntryList } from "./entry_list";
import { Field } from "./field";
import { outcomesOf } from "./import_panel";
import { Mark } from "./mark";
import { pointsFor } from "./rider_figure";
import { pointList, Scene, sceneLabels } from "./scene";
import { Because, Sentence } from "./sentence";

async function show(what: preact.ComponentChild): Promise<void> {
  await act(() => render(what, document.body));
}

async function settle(): Promise<void> {
  await act(async () => {
    await new Promise((done) => setTimeout(done, 5));
  });
}

async function press(element: Element | null | undefined): Promise<void> {
  await act(() => (element as HTMLElement | null)?.click());
  await settle();
}

async function type(element: Element | null, value: string): Promise<void> {
  await act(() => {
    (element as HTMLInputElement).value = value;
    element?.dispatchEvent(new Event("input", { bubbles: true }));
  });
}

async function submit(): Promise<void> {
  await act(() => {
    document.querySelector("form")?.dispatchEvent(new Event("submit", { bubbles: true, cancelable: true }));
  });
  await settle();
}

const scene: SceneAnswer = {
  title: "Heart rate over the hour",
  width: 280,
  height: 60,
  items: [
    { kind: "begin", role: "figure", label: "6 beats, likely 4 to 8. Line: 10." },
    { kind: "text", x: 10, y: 12, anchor: "start", size: 8, face: "serif-italic", colour: "quiet", words: "passed <b>", width: 30 },
    { kind: "paragraph", x: 0, y: 20, width: 100, height: 20, size: 10, lines: [
      { x: 0, y: 30, runs: [{ face: "sans", colour: "ink", words: "six " }, { face: "sans-strong", colour: "ink", words: "beats" }] },
    ] },
    { kind: "path", colour: "hairline", stroke_width: 0.5, dash: 0, points: [0, 40, 280, 40] },
    { kind: "area", colour: "likely", points: [10, 30, 40, 30, 40, 36, 10, 36] },
    { kind: "hatch", colour: "masked", x: 50, y: 30, width: 20, height: 10 },
    { kind: "mark", x: 30, y: 20, size: 16, mark: "half", outline: "M0 0Z", left_half: "M0 0L1 1Z", stroke_width: 1.2, dash: 0 },
    { kind: "end", role: "figure" },
  ],
};

beforeEach(() => {
  notice.value = null;
  trouble.value = null;
});

describe("scene", () => {
  test("every item is drawn by token names, words as text and never as markup", async () => {
    await show(<Scene scene={scene} />);
    const svg = document.querySelector("svg");
    expect(svg?.getAttribute("viewBox")).toBe("0 0 280 60");
    expect(svg?.querySelector("text")?.textContent).toBe("passed <b>");
    expect(svg?.querySelector("text")?.getAttribute("class")).toBe("face-serif-italic fill-quiet");
    expect(svg?.querySelector("polyline")?.getAttribute("points")).toBe("0,40 280,40");
    expect(svg?.querySelector("polyline")?.hasAttribute("stroke-dasharray")).toBe(false);
    expect(svg?.querySelector("polygon")?.getAttribute("class")).toBe("fill-likely");
    expect(svg?.querySelectorAll("tspan")).toHaveLength(2);
    expect(svg?.querySelectorAll("g path")).toHaveLength(3);
    expect(document.querySelector("[style]")).toBeNull();
  });

  test("who can't see it hears what its parts say, or the words given", async () => {
    await show(<Scene scene={scene} />);
    expect(document.querySelector("svg > title")?.textContent).toBe("6 beats, likely 4 to 8. Line: 10.");
    await show(<Scene scene={scene} words="six beats" />);
    expect(document.querySelector("svg > title")?.textContent).toBe("six beats");
    expect(sceneLabels({ ...scene, items: [] })).toEqual([]);
  });

  test("a caption and a table come with it", async () => {
    await show(<Scene scene={scene} caption="Each test." table={<table />} />);
    expect(document.querySelector("figcaption")?.textContent).toBe("Each test.");
    expect(document.querySelector("details table")).not.toBeNull();
  });

  test("the table that a scene brings is shown where none is given", async () => {
    const own = { ...scene, table: { caption: "Efforts", heads: ["lasting", "power, W"], rows: [["3 min", "338"], ["7 min", "290"]] } };
    await show(<Scene scene={own} />);
    expect([...document.querySelectorAll("details th")].map((cell) => cell.textContent)).toEqual(["lasting", "power, W", "3 min", "7 min"]);
    expect(document.querySelectorAll("details td")).toHaveLength(2);
    await show(<Scene scene={own} table={<table />} />);
    expect(document.querySelectorAll("details td")).toHaveLength(0);
  });

  test("a list of an odd length loses its half point", () => {
    expect(pointList([1, 2, 3])).toBe("1,2");
  });

  test("a figure is asked for as wide as there is room, in steps", () => {
    expect(pointsFor(100)).toBe(215);
    expect(pointsFor(780)).toBe(520);
    expect(pointsFor(799)).toBe(520);
    expect(pointsFor(5000)).toBe(620);
  });
});

describe("marks and sentences", () => {
  test("a mark never stands without its word, and its shape is not by colour", async () => {
    const drawn = new Set<string>();
    for (const shape of ["full", "hollow", "half", "dotted"] as const) {
      await show(<Mark shape={shape} word="passed" />);
      expect(document.querySelector(".mark")?.textContent).toBe("passed");
      drawn.add(document.querySelector("svg")?.innerHTML ?? "");
    }
    expect(drawn.size).toBe(4);
  });

  test("the verdict is strong, the reason beside it is not", async () => {
    await show(<Sentence said={{ lead: "As usual.", first: "2 beats above." }} shape="full" />);
    expect(document.querySelector("strong")?.textContent).toBe("As usual.");
    expect(document.querySelector(".sentence")?.textContent).toBe("As usual. 2 beats above.");
  });

  test("no reasons, no rule", async () => {
    await show(<Because said={{ because: [], settle: [] }} />);
    expect(document.body.textContent).toBe("");
  });
});

describe("acts and fields", () => {
  test("what leads somewhere is a link, what does something a button", async () => {
    await show(<Act href="/riders">Riders</Act>);
    expect(document.querySelector("a.act")?.getAttribute("href")).toBe("/riders");
    const done = vi.fn();
    await show(<Act onAct={done}>Save</Act>);
    await press(document.querySelector("button"));
    expect(done).toHaveBeenCalledOnce();
  });

  test("a field is tied to its name, its hint and what is wrong", async () => {
    await show(<Field label="Threshold" unit="W" value="2" onInput={() => undefined} hint="Watts." wrong="Not a number." />);
    const input = document.querySelector("input");
    expect(document.querySelector("label")?.getAttribute("for")).toBe(input?.id);
    expect(input?.getAttribute("aria-invalid")).toBe("true");
    const told = (input?.getAttribute("aria-describedby") ?? "").split(" ").map((id) => document.getElementById(id)?.textContent);
    expect(told).toEqual(["Watts.", "Not a number."]);
  });
});

describe("entries in their place", () => {
  const goal = { number: 2, version: 5, text: "Finish the long one", words: "Finish the long one", from: "2026-01-01",
    due: null, reached: null };

  function stubSend(status: number, body: unknown): ReturnType<typeof vi.fn<typeof fetch>> {
    const stub = vi.fn<typeof fetch>(() => Promise.resolve(new Response(JSON.stringify(body), { status })));
    vi.stubGlobal("fetch", stub);
    return stub;
  }

  test("changed where it stands, with the version that was seen, and told with the way back", async () => {
    const stub = stubSend(200, { change: 9, words: "Goal changed.", number: 2, version: 6, rides_being_read_again: 0 });
    await show(<EntryList rider={3} kind={entryKinds.goals} entries={[goal]} />);
    await press(document.querySelector("button"));
    await type(document.querySelector("form input"), "Win it");
    await submit();
    expect(stub.mock.calls[0]?.[0]).toBe("/api/1/riders/3/goals/2");
    expect(new Headers(stub.mock.calls[0]?.[1]?.headers).get("If-Match")).toBe('"5"');
    expect(notice.value).toEqual({ words: "Goal changed.", change: 9 });
    expect(document.querySelector("form")).toBeNull();
  });

  test("what another hand changed meanwhile is not overwritten: the form stays, the line says so", async () => {
    stubSend(412, { title: "Precondition Failed", status: 412, kind: "conflict", detail: "changed meanwhile" });
    await show(<EntryList rider={3} kind={entryKinds.goals} entries={[goal]} />);
    await press(document.querySelector("button"));
    await submit();
    expect(trouble.value).toBe("changed meanwhile");
    expect(document.querySelector("form")).not.toBeNull();
  });

  test("a page asked again while the form is open sends the version that was seen there, not the newer one", async () => {
    const stub = stubSend(412, { title: "Precondition Failed", status: 412, kind: "conflict", detail: "changed meanwhile" });
    await show(<EntryList rider={3} kind={entryKinds.goals} entries={[goal]} />);
    await press(document.querySelector("button"));
    await show(<EntryList rider={3} kind={entryKinds.goals} entries={[{ ...goal, version: 6, words: "Win it" }]} />);
    expect((document.querySelector("form input") as HTMLInputElement).value).toBe("Finish the long one");
    await submit();
    expect(new Headers(stub.mock.calls[0]?.[1]?.headers).get("If-Match")).toBe('"5"');
  });

  test("an empty field that may not be is told before anything is sent", async () => {
    const stub = stubSend(200, {});
    await show(<EntryList rider={3} kind={entryKinds.goals} entries={[]} addLabel="add a goal" />);
    await press(document.querySelector("button"));
    await submit();
    expect(stub).not.toHaveBeenCalled();
    expect(document.querySelector(".field-wrong")?.textContent).toBe("Can't be empty.");
  });

  test("only the newest is shown until asked for more", async () => {
    const many = [1, 2, 3].map((number) => ({ ...goal, number, text: `Goal ${number}` }));
    await show(<EntryList rider={3} kind={entryKinds.goals} entries={many} most={1} />);
    expect(document.body.textContent).not.toContain("Goal 2");
    await press([...document.querySelectorAll("button")].find((button) => button.textContent === "2 earlier"));
    expect(document.body.textContent).toContain("Goal 3");
  });
});

describe("what became of files", () => {
  test("unreadable ones say why; what failed whole is among them", () => {
    const item = { key: 1, name: "a.zip", rider: 3, state: "done" as const, job: null, problem: null };
    const heaps = outcomesOf([
      { ...item, result: { counts: {}, stopped: false, words: "1 taken.", files: [
        { file: "a.fit", outcome: "taken", rider: "Ada", text: null, remembered: false, rides: [] },
        { file: "b.fit", outcome: "unreadable", rider: "Ada", text: "b.fit: cut off after 2,113 records", remembered: false, rides: [] },
        { file: "c.fit", outcome: "known", rider: "Ada", text: null, remembered: false, rides: [] },
      ] } },
      { ...item, key: 2, name: "huge.fit", state: "failed", problem: "larger than 256 MB", result: null },
    ]);
    expect(heaps.taken.map((line) => line.file)).toEqual(["a.fit"]);
    expect(heaps.known.map((line) => line.words)).toEqual(["known before"]);
    expect(heaps.unread.map((line) => line.words)).toEqual(["cut off after 2,113 records", "larger than 256 MB"]);
  });
});
