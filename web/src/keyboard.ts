/* Keys: one table that the page obeys and that `?` shows.  Two keys one after the other, so that
 * none takes one from the browser or a screen reader; none works while something is typed. */
import { signal } from "@preact/signals";

export interface Key {
  readonly keys: readonly string[]; /* ["g", "w"]: one after the other */
  readonly does: string;
  readonly run: () => void;
}

/* Every table in force: the shell's and those of the screen that is there. */
export const keyTables = signal<readonly (readonly Key[])[]>([]);

/* Puts a table in force until the returned function is called. */
export function withKeys(table: readonly Key[]): () => void {
  keyTables.value = [...keyTables.value, table];
  return () => {
    keyTables.value = keyTables.value.filter((other) => other !== table);
  };
}

const NEXT_KEY_MS = 1200;

export function isTyping(target: EventTarget | null): boolean {
  return (
    target instanceof HTMLElement &&
    (target.isContentEditable || target.closest("input, select, textarea, dialog[open]") !== null)
  );
}

/* Listens until the returned function is called. */
export function startKeyboard(now: () => number = () => performance.now()): () => void {
  let before: { key: string; at: number } | null = null;
  const onKey = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.metaKey || event.altKey || isTyping(event.target) || event.defaultPrevented) {
      before = null;
      return;
    }
    const first = before !== null && now() - before.at < NEXT_KEY_MS ? before.key : null;
    before = null;
    const all = keyTables.value.flat();
    const hit =
      all.find((row) => row.keys.length === 2 && row.keys[0] === first && row.keys[1] === event.key) ??
      all.find((row) => row.keys.length === 1 && row.keys[0] === event.key);
    if (hit !== undefined) {
      event.preventDefault();
      hit.run();
    } else if (all.some((row) => row.keys.length === 2 && row.keys[0] === event.key)) {
      before = { key: event.key, at: now() };
    }
  };
  document.addEventListener("keydown", onKey);
  return () => document.removeEventListener("keydown", onKey);
}
