// @vitest-environment happy-dom
import fc from "fast-check";
import { afterEach, describe, expect, test } from "vitest";

import { address, go, match, place, startRouter } from "./router";

let stop = (): void => undefined;

afterEach(() => {
  stop();
  go("/", true);
});

describe("router", () => {
  test("the root is the root alone", () => {
    expect(match("/", "/")).toEqual({});
    expect(match("/", "/riders")).toBeNull();
  });

  test("a part between slashes is a parameter", () => {
    expect(match("/riders/:rider", "/riders/3")).toEqual({ rider: "3" });
    expect(match("/riders/:rider/bests", "/riders/3/bests")).toEqual({ rider: "3" });
    expect(match("/riders/:rider", "/riders/3/bests")).toBeNull();
    expect(match("/riders/:rider", "/riders")).toBeNull();
  });

  test("an empty or broken part matches nothing", () => {
    expect(match("/riders/:rider", "/riders//")).toBeNull();
    expect(match("/riders/:rider", "/riders/%E0%A4%A")).toBeNull();
  });

  test("a slash at the end changes nothing", () => {
    expect(match("/riders", "/riders/")).toEqual({});
  });

  test("what address makes, match reads", () => {
    fc.assert(
      fc.property(fc.string({ minLength: 1 }).filter((name) => name.isWellFormed()), (name) => {
        expect(match("/riders/:rider", address("/riders/:rider", { rider: name }))).toEqual({ rider: name });
      }),
    );
  });

  test("a link of the page is followed without loading", () => {
    stop = startRouter();
    document.body.innerHTML = '<a href="/riders/3?from=2026-01-01"><b>Maren</b></a>';
    document.querySelector("b")?.click();
    expect(place.value.path).toBe("/riders/3");
    expect(place.value.query.get("from")).toBe("2026-01-01");
  });

  test("a link held with control is left to the browser", () => {
    stop = startRouter();
    document.body.innerHTML = '<a href="/riders/3">Maren</a>';
    const event = new MouseEvent("click", { bubbles: true, cancelable: true, ctrlKey: true });
    document.querySelector("a")?.addEventListener("click", (click) => setTimeout(() => click.preventDefault()));
    document.querySelector("a")?.dispatchEvent(event);
    expect(event.defaultPrevented).toBe(false);
    expect(place.value.path).toBe("/");
  });
});
