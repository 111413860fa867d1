/* Whom to see first: people, one sentence why, and the one next act. */
import { useEffect, useRef, useState } from "preact/hooks";

import { useAnswer } from "../answer";
import { api } from "../api";
import type { Who, WhoItem } from "../api_types";
import { count } from "../formats";
import { type Key, withKeys } from "../keyboard";
import { labels } from "../labels";
import { Act } from "../parts/act";
import { Failed, Loading } from "../parts/loading";
import { Scene } from "../parts/scene";
import { placeOfAct, sectionsOf, type WhoPerson, type WhoSection } from "../who";
import { MarkForm, setMark } from "./mark_form";
import { NoRides, Welcome } from "./welcome";

function Also({ items }: { readonly items: readonly WhoItem[] }) {
  if (items.length === 0) {
    return null;
  }
  return (
    <details class="also">
      <summary>{labels.alsoMore(items.length)}</summary>
      <ul>
        {items.map((item) => <li key={item.code}>{item.text}</li>)}
      </ul>
    </details>
  );
}

function Row({ person, primary }: { readonly person: WhoPerson; readonly primary: boolean }) {
  const { item, also } = person;
  const [form, setForm] = useState<"done" | "asked" | null>(null);
  const opener = useRef<HTMLDivElement>(null);
  const place = placeOfAct(item);
  const close = (): void => {
    setForm(null);
    opener.current?.querySelector<HTMLElement>(".act-quiet")?.focus();
  };
  return (
    <li class="person together" data-rider={item.rider}>
      <div class="person-name">
        <h3><a href={`/riders/${item.rider}`}>{item.name}</a></h3>
        {item.last_ride !== null && <p>{item.last_ride.words}</p>}
      </div>
      <div class="person-why">
        <p class="sentence">{item.text}</p>
        {item.mark_line !== null && <p class="small quiet">{labels.youNoted} {item.mark_line}</p>}
        {item.again && item.mark !== null && <p class="small quiet">{labels.backAgain[item.mark]}</p>}
        <Also items={also} />
      </div>
      <div class="person-gauge">
        {item.gauge !== null && <Scene scene={item.gauge} words={item.gauge_words} size="gauge" />}
      </div>
      <div class="person-act" ref={opener}>
        {place !== null ? (
          <Act primary={primary} href={place} label={`${item.act_words}: ${item.name}`}>{item.act_words}</Act>
        ) : (
          <Act primary={primary} onAct={() => setForm(item.act === "tell" ? "done" : "asked")}
               label={`${item.act_words}: ${item.name}`} expanded={form !== null}>
            {item.act_words}
          </Act>
        )}
        <p class="person-marks">
          <Act quiet onAct={() => void setMark(item, { state: "done" })} label={`${labels.markDone}: ${item.name}`}>
            {labels.markDone}
          </Act>
          {" · "}
          <Act quiet onAct={() => setForm(form === null ? "asked" : null)} expanded={form !== null}
               label={`${labels.setAside}: ${item.name}`}>
            {labels.setAside}
          </Act>
        </p>
      </div>
      {form !== null && <MarkForm item={item} first={form} onClose={close} />}
    </li>
  );
}

function Section({ section, first }: { readonly section: WhoSection; readonly first: boolean }) {
  const [open, setOpen] = useState(section.open);
  const id = `who-${section.group.replace(/ /g, "-")}`;
  return (
    <section class="who-group" aria-labelledby={id}>
      <div class="who-head">
        <h2 id={id}>{section.heading}</h2>
        {(!open || !section.open) && (
          <p>
            {count(section.people.length, labels.riderOne, labels.riderMany)}
            <span class="no-print">
              {" · "}
              <Act quiet onAct={() => setOpen(!open)} expanded={open}
                   label={`${open ? labels.hide : labels.show}: ${section.heading}`}>
                {open ? labels.hide : labels.show}
              </Act>
            </span>
          </p>
        )}
      </div>
      {open && (
        <ol class="people">
          {section.people.map((person, i) => (
            <Row key={`${person.item.rider}-${person.item.code}`} person={person} primary={first && i === 0} />
          ))}
        </ol>
      )}
    </section>
  );
}

/* ---- keys: from person to person ---- */

function rows(): HTMLElement[] {
  return [...document.querySelectorAll<HTMLElement>(".person")];
}

function current(): HTMLElement | null {
  return document.activeElement?.closest<HTMLElement>(".person") ?? null;
}

function step(by: number): void {
  const all = rows();
  const here = current();
  const at = here === null ? (by > 0 ? -1 : all.length) : all.indexOf(here);
  all[Math.min(all.length - 1, Math.max(0, at + by))]?.querySelector<HTMLElement>("h3 a")?.focus();
}

function press(which: string): void {
  current()?.querySelector<HTMLElement>(which)?.click();
}

const KEYS: readonly Key[] = [
  { keys: ["j"], does: labels.keysNext, run: () => step(1) },
  { keys: ["k"], does: labels.keysPrevious, run: () => step(-1) },
  { keys: ["a"], does: labels.keysAct, run: () => press(".person-act > .act") },
  { keys: ["d"], does: labels.keysDone, run: () => press(".person-marks .act:first-child") },
  { keys: ["m"], does: labels.keysAside, run: () => press(".person-marks .act:last-child") },
];

/* ---- the screen ---- */

let looked = false;

/* Tells the server that the list was looked at, once as long as the page is loaded. */
function useLooked(there: boolean): void {
  useEffect(() => {
    if (there && !looked) {
      looked = true;
      api.send("POST", "session/looked", undefined, { quiet: true }).catch(() => {
        looked = false;
      });
    }
  }, [there]);
}

export default function WhoFirst() {
  const who = useAnswer<Who>("who");
  useEffect(() => withKeys(KEYS), []);
  useLooked(who.data !== null);
  if (who.data === null) {
    return who.problem === null ? <Loading title={labels.whoFirst} job={who.job} /> : <Failed title={labels.whoFirst} answer={who} />;
  }
  const { data } = who;
  if (data.riders === 0) {
    return <Welcome />;
  }
  const sections = sectionsOf(data);
  const first = sections.findIndex((section) => section.open);
  return (
    <>
      <h1>{labels.whoFirst}</h1>
      <p class="head-line">
        {data.today_words}
        {data.since.words !== null && <> · {data.since.words}</>}
      </p>
      {who.problem !== null && <p class="field-wrong">{who.problem.message}</p>}
      {sections.length === 0 && <p class="sentence">{labels.nobodyAsks}</p>}
      {sections.map((section, i) => (
        <Section key={`${section.group}-${section.open ? "open" : "shut"}`} section={section} first={i === first} />
      ))}
      {sections.length === 0 && <NoRides />}
      <p class="small quiet no-print"><a href="/record">{labels.recordLink}</a></p>
    </>
  );
}
