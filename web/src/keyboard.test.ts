// @vitest-environment happy-dom
import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";

import { isTyping, startKeyboard, withKeys } from "./keyboard";

let stop = (): void => undefined;
let clock = 0;
const who = vi.fn();
const help = vi.fn();

beforeEach(() => {
  clock = 0;
  const stopKeys = withKeys([
    { keys: ["g", "w"], does: "who first", run: who },
    { keys: ["?"], does: "keys", run: help },
  ]);
  const stopKeyboard = startKeyboard(() => clock);
  stop = () => {
    stopKeys();
    stopKeyboard();
  };
});

afterEach(() => {
  stop();
  who.mockReset();
  help.mockReset();
});

function press(key: string, target: Element = document.body, init: KeyboardEventInit = {}): void {
  target.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true, ...init }));
}

describe("keyboard", () => {
  test("one key, and two one after the other", () => {
    press("?");
    expect(help).toHaveBeenCalledOnce();
    press("w");
    expect(who).not.toHaveBeenCalled();
    press("g");
    press("w");
    expect(who).toHaveBeenCalledOnce();
  });

  test("too late is not one after the other", () => {
    press("g");
    clock = 5000;
    press("w");
    expect(who).not.toHaveBeenCalled();
  });

  test("nothing is taken from who types, nor from the browser", () => {
    document.body.innerHTML = "<input><div contenteditable></div>";
    const input = document.querySelector("input");
    expect(isTyping(input)).toBe(true);
    press("?", input ?? document.body);
    press("?", document.body, { ctrlKey: true });
    expect(help).not.toHaveBeenCalled();
  });

  test("a table that was taken back no longer works", () => {
    stop();
    press("?");
    expect(help).not.toHaveBeenCalled();
  });
});
