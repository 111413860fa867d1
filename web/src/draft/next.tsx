/* What to ride in the coming days, as the server proposes it, and what stands there and no longer
 * fits.  Nothing is drafted or called off but by the coach's own act. */
import { useRef, useState } from "preact/hooks";

import { useAnswer } from "../answer";
import type { NextAnswer, NextProposal } from "../api_types";
import { weekdayDay } from "../formats";
import { labels } from "../labels";
import { Act } from "../parts/act";
import { sendEntry } from "../parts/entry_list";
import { daysAsked, togetherOf } from "./plan";
import { draftWords } from "./words";

/* Proposals of several days that say the same are said once, each day with its own act. */
function Proposal({ all, today, busy, onDraft }: {
  readonly all: readonly NextProposal[];
  readonly today: string;
  readonly busy: boolean;
  readonly onDraft: (number: number) => void;
}) {
  const [one] = all;
  if (one === undefined) {
    return null;
  }
  const { session, outlook } = one;
  const name = session?.name ?? "";
  const on = ({ day }: NextProposal): string => (day === null ? "" : weekdayDay(day, today));
  return (
    <li>
      {session !== null && <p>{all.map(on).join(", ")}: <b>{name}</b></p>}
      {session?.change_text && <p>{session.change_text}</p>}
      <p>{one.why} <span class="small quiet">({one.source})</span></p>
      {outlook !== null && <p class="small">{outlook.text}</p>}
      {[session?.caution, ...(outlook?.warnings ?? []), ...one.breaches.map((breach) => breach.text)]
        .map((words) => words && <p key={words} class="small made-warning">{words}</p>)}
      {session !== null && (
        <details class="figure-table">
          <summary>{draftWords.words}</summary>
          <p class="proposal-words">{session.words}</p>
        </details>
      )}
      <p class="acts no-print">
        {all.length > 1 && <span class="small">{draftWords.draftItOn}</span>}
        {all.map((each) => each.number !== null && (
          <Act key={each.number} disabled={busy} label={draftWords.draftItOf(name, on(each))} onAct={() => onDraft(each.number ?? 0)}>
            {all.length === 1 ? draftWords.draftIt : on(each)}
          </Act>
        ))}
      </p>
    </li>
  );
}

/* What the proposals rest on, each line with its sort before it. */
function Basis({ data }: { readonly data: NextAnswer }) {
  const lines: (readonly [string, string])[] = [
    ...data.evidence.map((text) => [draftWords.because, text] as const),
    ...data.assumed.map((text) => [draftWords.assumed, text] as const),
    ...data.cannot_tell.map((text) => [draftWords.cannotTell, text] as const),
    ...data.left_out.map((one) => [draftWords.leftOut, one.why] as const),
  ];
  return lines.length === 0 ? null : (
    <div class="because">
      {lines.map(([sort, text]) => <p key={text}><b>{sort}</b> {text}</p>)}
    </div>
  );
}

export interface ProposalsProps {
  readonly rider: number;
  readonly monday: string;
  readonly to: string; /* the first day that no longer counts */
  readonly today: string;
  readonly said: readonly string[]; /* cautions that stand on the page already */
}

export function Proposals({ rider, monday, to, today, said }: ProposalsProps) {
  const days = daysAsked(today, monday, to);
  const { data, problem } = useAnswer<NextAnswer>(days === null ? null : `riders/${rider}/next?days=${days}`);
  const [busy, setBusy] = useState(false);
  const heading = useRef<HTMLHeadingElement>(null);
  if (days === null) {
    return null;
  }
  const shown = (data?.proposals ?? []).filter((one) => one.day === null || one.day >= monday);
  const numbers = shown.flatMap((one) => one.number ?? []);
  const unfit = (data?.stands ?? []).filter((one) => one.unfit !== null);
  const from = unfit[0]?.day ?? today;
  const send = (path: string, body: object): void => {
    setBusy(true);
    void sendEntry("POST", `riders/${rider}/${path}`, body).then(() => {
      setBusy(false);
      // The button may be gone.
      heading.current?.focus();
    });
  };
  const draft = (which: readonly number[]): void => send("next", { mark: data?.mark, days, numbers: which });
  return (
    <section class="proposals" aria-labelledby="proposals" aria-busy={data === null}>
      <h2 id="proposals" tabIndex={-1} ref={heading}>{labels.whatNext}</h2>
      {data === null ? <p class="loading">{problem?.message ?? labels.loading}</p> : (
        <>
          {data.cautions.filter((one) => !said.includes(one.text)).map((one) => <p key={one.code} class="made-warning">{one.text}</p>)}
          {unfit.length > 0 && (
            <section aria-labelledby="unfit">
              <h3 id="unfit">{draftWords.unfit}</h3>
              {unfit.map((one) => <p key={one.number}>{weekdayDay(one.day, today)}: <b>{one.name}</b>. {one.unfit_text}</p>)}
              <p class="no-print">
                <Act disabled={busy} onAct={() => send("withdrawal", { from })}>
                  {draftWords.callOff(data.stands.filter((one) => one.day >= from).length, weekdayDay(from, today))}
                </Act>
              </p>
              <p class="small quiet no-print">{draftWords.callOffHint}</p>
            </section>
          )}
          {shown.length > 0 ? (
            <ol aria-label={draftWords.proposed}>
              {togetherOf(shown).map((all, i) => <Proposal key={i} all={all} today={today} busy={busy} onDraft={(number) => draft([number])} />)}
            </ol>
          ) : <p>{data.nothing_because ?? draftWords.noneHere}</p>}
          {numbers.length > 1 && (
            <p class="no-print"><Act disabled={busy} onAct={() => draft(numbers)}>{draftWords.draftAll(numbers.length)}</Act></p>
          )}
          <Basis data={data} />
        </>
      )}
    </section>
  );
}
