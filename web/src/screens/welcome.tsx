/* An empty roster: what to do first, and what it would look like. */
import { useEffect, useRef, useState } from "preact/hooks";

import { forgetAnswers } from "../answer";
import { api, Problem, writes } from "../api";
import type { Done, Job, PersonWish, Session } from "../api_types";
import { importAsked } from "../imports";
import { followJob, isOver } from "../jobs";
import { labels } from "../labels";
import { Act } from "../parts/act";
import { Field } from "../parts/field";
import { go, place } from "../router";
import { attempt, complain, loadSession, session, told } from "../state";

/* ---- the example ---- */

async function otherRoster(): Promise<void> {
  forgetAnswers();
  await loadSession();
  writes.value += 1;
  go("/");
}

export async function leaveExample(): Promise<void> {
  await attempt(async () => {
    session.value = (await api.send<Session>("DELETE", "example", undefined, { quiet: true })).data;
    await otherRoster();
  });
}

export function OpenExample({ primary }: { readonly primary: boolean }) {
  const [job, setJob] = useState<Job | null>(null);
  const stopFollowing = useRef<() => void>(() => undefined);
  useEffect(() => () => stopFollowing.current(), []);
  const open = (): void => {
    void attempt(async () => {
      const begun = (await api.send<Job>("POST", "example", undefined, { quiet: true })).data;
      setJob(begun);
      stopFollowing.current = followJob(begun, (next) => {
        setJob(isOver(next) ? null : next);
        if (next.state === "done") {
          void otherRoster();
        } else if (next.error !== null) {
          complain(new Problem(0, next.error.detail));
        }
      });
    });
  };
  if (job === null) {
    return <Act primary={primary} onAct={open}>{labels.exampleOpen}</Act>;
  }
  return (
    <div class="progress" role="status">
      <progress {...(job.all > 0 ? { max: job.all, value: job.done } : {})} aria-label={labels.exampleMaking} />
      <span>
        {job.words ?? labels.exampleMaking}
        {job.left_s !== null && <> · {labels.timeLeft(job.left_s)}</>}
      </span>{" "}
      <Act quiet onAct={() => void attempt(() => api.send("DELETE", `jobs/${job.id}`, undefined, { quiet: true }))}>
        {labels.stop}
      </Act>
    </div>
  );
}

/* ---- the first rider ---- */

export function AddRider({ onDone }: { readonly onDone?: () => void }) {
  const [name, setName] = useState("");
  const [sex, setSex] = useState("");
  const [since, setSince] = useState("");
  const [busy, setBusy] = useState(false);
  const add = async (): Promise<void> => {
    if (busy || name.trim() === "") {
      return;
    }
    setBusy(true);
    const wish: PersonWish = {
      name: name.trim(),
      sex: sex === "female" || sex === "male" ? sex : null,
      power_since: since === "" ? null : since,
      coached: true,
    };
    await attempt(async () => {
      const answer = await api.send<Done>("POST", "riders", wish);
      const id = /riders\/(\d+)$/.exec(answer.location ?? "")?.[1] ?? String(answer.data.number ?? "");
      onDone?.();
      if (id !== "") {
        go(`/riders/${id}`);
      }
      told(answer.data);
    });
    setBusy(false);
  };
  return (
    <form class="entry-form" aria-label={labels.riderAdd}
          onSubmit={(event) => {
            event.preventDefault();
            void add();
          }}>
      <Field label={labels.personName} value={name} onInput={setName} required />
      <Field label={labels.personSex} value={sex} onInput={setSex}
             options={[{ value: "", label: labels.notSaid }, { value: "female", label: labels.female }, { value: "male", label: labels.male }]} />
      <Field label={labels.personPowerSince} type="date" value={since} onInput={setSince} />
      <p class="acts">
        <Act primary type="submit" disabled={busy || name.trim() === ""}>{labels.riderAdd}</Act>
        {onDone !== undefined && <Act onAct={onDone}>{labels.cancel}</Act>}
      </p>
    </form>
  );
}

/* ---- empty states ---- */

export function NoRides() {
  if (session.value === null) {
    return null;
  }
  return (
    <p class="acts">
      <Act onAct={() => { importAsked.value = { rider: null, files: [] }; }}>{labels.importTitle}</Act>
    </p>
  );
}

export function Welcome() {
  // Only an empty roster has this page; who comes by its address is brought to the list.
  const isEmpty = session.value === null || session.value.riders === 0;
  useEffect(() => {
    if (!isEmpty && place.value.path === "/welcome") {
      go("/", true);
    }
  }, [isEmpty]);
  return (
    <>
      <h1>{labels.welcomeTitle}</h1>
      <p class="sentence">{labels.welcomeWhat}</p>
      <div class="welcome">
        <section aria-labelledby="welcome-own">
          <h2 id="welcome-own">{labels.welcomeOwn}</h2>
          <p>{labels.welcomeOwnHow}</p>
          <AddRider />
        </section>
        <section aria-labelledby="welcome-example">
          <h2 id="welcome-example">{labels.welcomeExample}</h2>
          <p>{labels.welcomeExampleHow}</p>
          <OpenExample primary={false} />
        </section>
      </div>
    </>
  );
}
