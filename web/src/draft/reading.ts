/* What the words in the form make for the rider, read by the server a moment after the last key. */
import { useEffect, useState } from "preact/hooks";

import { stale } from "../answer";
import { api, Problem } from "../api";
import type { SessionWords } from "../api_types";
import { labels } from "../labels";
import type { Draft } from "./plan";

const PAUSE_MS = 350; /* nobody is read while they type */

export interface Read {
  readonly made: SessionWords | null; /* of the words that `words` are; what was made stays while they change */
  readonly of: string;
  readonly problem: string | null;
}

/* points: of the profile; null before its place was measured. */
export function useReading(rider: number, number: number | null, draft: Pick<Draft, "day" | "kind" | "words">, points: number | null): Read {
  const [read, setRead] = useState<Read>({ made: null, of: "", problem: null });
  const { day, kind, words } = draft;
  useEffect(() => {
    if (points === null) {
      return undefined;
    }
    if (words.trim() === "" || day === "") {
      setRead({ made: null, of: words, problem: null });
      return undefined;
    }
    const abort = new AbortController();
    const timer = setTimeout(() => {
      api.send<SessionWords>("POST", `riders/${rider}/session-words?width=${points}`, { day, words, kind, number }, { quiet: true, signal: abort.signal })
        .then((answer) => setRead({ made: answer.data, of: words, problem: null }))
        .catch((error: unknown) => {
          if (!abort.signal.aborted) {
            setRead((before) => ({ ...before, of: words, problem: error instanceof Problem ? error.message : labels.unexpected }));
          }
        });
    }, PAUSE_MS);
    return () => {
      clearTimeout(timer);
      abort.abort();
    };
  }, [rider, number, day, kind, words, points, stale.value]);
  return read;
}
