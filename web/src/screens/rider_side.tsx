/* Beside the questions: what is on file of a rider, each changed in its place. */
import type { ComponentChildren } from "preact";

import type { Fact, Rider } from "../api_types";
import { entryKinds } from "../entries";
import { daysBetween, likelyRange, number, shortDay, withDays } from "../formats";
import { labels } from "../labels";
import { Availability } from "../parts/availability";
import { EntryList } from "../parts/entry_list";

function Block({ id, title, children }: { readonly id: string; readonly title: string; readonly children: ComponentChildren }) {
  return (
    <section class="side-block" id={id} aria-labelledby={`${id}-title`} tabIndex={-1}>
      <h3 id={`${id}-title`}>{title}</h3>
      {children}
    </section>
  );
}

/* The value in force large, how it is known under it; earlier ones in words. */
function showFact(today: string, unit: string, outOfDate = false) {
  return function Shown(fact: Fact, i: number): ComponentChildren {
    if (i > 0) {
      return withDays(fact.text, today);
    }
    const ago = daysBetween(fact.from, today);
    const likely = likelyRange(fact.low, fact.high);
    return (
      <>
        <span class="fact-value">
          {fact.at_least === true && `${labels.atLeast} `}{number(fact.value, 1)}{unit === "" ? "" : ` ${unit}`}
        </span>
        {likely !== null && <> {likely}</>}
        <br />
        {fact.known_by !== null && fact.known_by !== undefined && <>{fact.known_by}, </>}
        {shortDay(fact.from, today)}
        {ago !== null && ago > 0 && <> ({labels.daysOld(ago)}{outOfDate && <>, {labels.testDue}</>})</>}
      </>
    );
  };
}

export function RiderSide({ data }: { readonly data: Rider }) {
  const { id: rider, sex } = data.person;
  return (
    <aside class="rider-side" id="on-file" tabIndex={-1} aria-label={labels.onFile}>
      <Block id="threshold" title={labels.fieldThreshold}>
        <EntryList rider={rider} kind={entryKinds.thresholds} entries={data.thresholds} most={1} empty={labels.notKnown}
                   show={showFact(data.today, "W", data.threshold?.out_of_date)} />
      </Block>
      <Block id="max-heart-rate" title={labels.fieldMaxHeartRate}>
        <EntryList rider={rider} kind={entryKinds.max_heart_rates} entries={data.max_heart_rates} most={1}
                   empty={labels.notKnown} show={showFact(data.today, "")} />
      </Block>
      <Block id="rest-heart-rate" title={labels.fieldRestHeartRate}>
        <EntryList rider={rider} kind={entryKinds.rest_heart_rates} entries={data.rest_heart_rates} most={1}
                   empty={labels.notKnown} show={showFact(data.today, "")} />
      </Block>
      <Block id="weight" title={labels.fieldWeight}>
        <EntryList rider={rider} kind={entryKinds.weights} entries={data.weights} most={1} empty={labels.notKnown}
                   show={showFact(data.today, "kg")} />
      </Block>
      <Block id="equipment" title={labels.equipment}>
        {data.equipment.length === 0 && <p class="entry quiet">{labels.notKnown}</p>}
        {data.equipment.map((one) => <p class="entry" key={one.id}>{one.text}</p>)}
      </Block>
      <Block id="words" title={sex === "female" ? labels.herWords : sex === "male" ? labels.hisWords : labels.riderWords}>
        <EntryList rider={rider} kind={entryKinds.notes} entries={data.notes} most={5} empty={labels.noWords}
                   show={(one) => `${shortDay(one.day, data.today)}: ${one.text}`} />
      </Block>
      <Block id="availability" title={labels.availability}>
        <Availability rider={rider} available={data.available} />
      </Block>
      <Block id="days-off" title={labels.daysOffTitle}>
        <EntryList rider={rider} kind={entryKinds.days_off} entries={data.days_off} most={3} empty={labels.none} />
      </Block>
      <Block id="contacts" title={labels.contactsTitle}>
        <EntryList rider={rider} kind={entryKinds.contacts} entries={data.contacts} most={3} empty={labels.none} />
      </Block>
      <Block id="consent" title={labels.consentTitle}>
        <EntryList rider={rider} kind={entryKinds.consents} entries={data.consents} empty={labels.noConsent} />
      </Block>
      <Block id="health" title={labels.healthTitle}>
        <EntryList rider={rider} kind={entryKinds.screenings} entries={data.screening === null ? [] : [data.screening]}
                   empty={labels.noScreening} addLabel={labels.screeningAsk} />
        <EntryList rider={rider} kind={entryKinds.flags} entries={data.flags} addLabel={labels.flagAdd} />
      </Block>
    </aside>
  );
}
