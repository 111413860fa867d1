/* Words for a live region, at most once a second: the newest of those that came meanwhile. */

export interface Polite {
  say: (words: string) => void;
  end: () => void;
}

export function beginPolite(tell: (words: string) => void, apart_ms = 1000): Polite {
  let waiting: string | null = null;
  let timer: ReturnType<typeof setTimeout> | null = null;
  const due = (): void => {
    timer = null;
    if (waiting !== null) {
      const words = waiting;
      waiting = null;
      tell(words);
      timer = setTimeout(due, apart_ms);
    }
  };
  return {
    say: (words) => {
      waiting = words;
      if (timer === null) {
        due();
      }
    },
    end: () => {
      if (timer !== null) {
        clearTimeout(timer);
      }
      timer = null;
      waiting = null;
    },
  };
}
