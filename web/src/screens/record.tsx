/* The program's record: of its own verdicts on this roster, what came next. */
import { useAnswer } from "../answer";
import type { ProgramRecord } from "../api_types";
import { labels } from "../labels";
import { Failed, Loading } from "../parts/loading";

type Claim = ProgramRecord["claims"][number];

/* Which question a claim belongs to. */
const GROUPS: readonly { readonly heading: string; readonly claims: readonly Claim["claim"][] }[] = [
  { heading: labels.recordBase, claims: ["base-passed", "base-not-passed"] },
  { heading: labels.recordBetter, claims: ["progress-better"] },
  { heading: labels.recordHard, claims: ["hard-done", "hard-too-hard", "hard-done-felt-hard"] },
  { heading: labels.recordToday, claims: ["today-unusual", "today-usual"] },
];

export default function Record() {
  const record = useAnswer<ProgramRecord>("record");
  const { data } = record;
  if (data === null) {
    return record.problem === null ? <Loading title={labels.record} job={record.job} />
                                   : <Failed title={labels.record} answer={record} />;
  }
  return (
    <>
      <h1>{labels.record}</h1>
      <p class="head-line">{data.head}</p>
      {GROUPS.map(({ heading, claims }) => (
        <section key={heading} class="who-group together">
          <h2>{heading}</h2>
          {data.claims.filter((one) => claims.includes(one.claim)).map((one) => (
            <p key={one.claim} class={one.enough ? "sentence" : "sentence quiet"} data-claim={one.claim}>{one.text}</p>
          ))}
          {heading === labels.recordBase && (
            <p class="sentence" data-claim="repeats">{data.base_test_repeats.text}</p>
          )}
        </section>
      ))}
      <p class="small quiet">{data.text}</p>
    </>
  );
}
