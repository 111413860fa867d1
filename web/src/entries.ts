/* What is on file of a rider and may be changed where it shows: one row a kind, the fields of its
 * form, and the way between an entry and what stands in the form.  Everything in a form is text. */
import type { Rider } from "./api_types";
import { dayOf } from "./formats";
import { labels } from "./labels";

/* flag: yes or no; tick: yes or not said; yes-no: yes, no or not said. */
export type FieldType = "text" | "lines" | "date" | "number" | "choice" | "flag" | "tick" | "yes-no" | "set";

export interface EntryField {
  readonly name: string; /* of the API */
  readonly label: string;
  readonly type: FieldType;
  readonly unit?: string;
  readonly hint?: string;
  readonly required?: boolean;
  readonly low?: number;
  readonly high?: number;
  readonly step?: number | "any";
  readonly options?: readonly { readonly value: string; readonly label: string }[]; /* of a choice or a set */
  readonly first?: string; /* in a new entry; "today" is today */
  readonly fixed?: boolean; /* can't be changed once the entry is there */
  readonly follows?: string; /* a number that moves with another's, as far in proportion, until it is set by hand */
  readonly more?: boolean; /* rarely said: behind "more" */
}

/* The lists of a rider's answer that are kinds of entries, and their paths. */
export interface EntryKind {
  readonly path: string;
  readonly one: string; /* "a goal": what is added */
  readonly fields: readonly EntryField[];
}

export type FormValues = Readonly<Record<string, string>>;

const optionsOf = (named: Readonly<Record<string, string>>): { value: string; label: string }[] =>
  Object.entries(named).map(([value, label]) => ({ value, label }));

const testDurations = ["10s", "15s", "1min", "5min", "10min", "20min"]
  .map((value) => ({ value, label: value.replace(/\D+/, " $&") }));

const from: EntryField = { name: "from", label: labels.fieldFrom, type: "date", first: "today", required: true, fixed: true };
const note: EntryField = { name: "note", label: labels.fieldNote, type: "text" };
const knownBy: EntryField = { name: "known_by", label: labels.fieldKnownBy, type: "text", hint: labels.fieldKnownByHint };
const until: EntryField = { name: "until", label: labels.fieldUntil, type: "date", hint: labels.fieldUntilHint };
const scale = (name: string, label: string, hint: string): EntryField => ({
  name, label, hint, type: "number", low: 1, high: 5, step: 1,
});

export const entryKinds = {
  thresholds: {
    path: "thresholds",
    one: labels.oneThreshold,
    fields: [
      { name: "value", label: labels.fieldThreshold, type: "number", unit: "W", required: true, low: 1, step: 1 },
      from,
      { name: "low", label: labels.fieldLow, type: "number", unit: "W", low: 1, step: 1, follows: "value" },
      { name: "high", label: labels.fieldHigh, type: "number", unit: "W", low: 1, step: 1, follows: "value" },
      knownBy,
      { name: "meter", label: labels.fieldMeter, type: "text", hint: labels.fieldMeterHint, more: true },
      { ...note, more: true },
    ],
  },
  weights: {
    path: "weights",
    one: labels.oneWeight,
    fields: [
      { name: "value", label: labels.fieldWeight, type: "number", unit: "kg", required: true, low: 1, step: 0.1 },
      from,
      note,
    ],
  },
  max_heart_rates: {
    path: "max-heart-rates",
    one: labels.oneMaxHeartRate,
    fields: [
      { name: "value", label: labels.fieldMaxHeartRate, type: "number", unit: labels.beatsPerMinute, required: true, low: 1, step: 1 },
      from,
      { name: "at_least", label: labels.fieldAtLeast, type: "flag" },
      knownBy,
      { ...note, more: true },
    ],
  },
  rest_heart_rates: {
    path: "rest-heart-rates",
    one: labels.oneRestHeartRate,
    fields: [
      { name: "value", label: labels.fieldRestHeartRate, type: "number", unit: labels.beatsPerMinute, required: true, low: 1, step: 1 },
      from,
      knownBy,
      { ...note, more: true },
    ],
  },
  goals: {
    path: "goals",
    one: labels.oneGoal,
    fields: [
      { name: "words", label: labels.fieldGoal, type: "text", required: true },
      { name: "due", label: labels.fieldDue, type: "date" },
      { name: "reached", label: labels.fieldReached, type: "date", more: true },
      { ...from, fixed: false, more: true },
    ],
  },
  events: {
    path: "events",
    one: labels.oneEvent,
    fields: [
      { name: "name", label: labels.fieldEvent, type: "text", required: true },
      { name: "day", label: labels.fieldDay, type: "date", required: true },
      { name: "weight", label: labels.fieldEventWeight, type: "choice", first: "B", options: optionsOf(labels.eventWeights) },
      note,
    ],
  },
  days_off: {
    path: "days-off",
    one: labels.oneDayOff,
    fields: [
      { name: "kind", label: labels.fieldKind, type: "choice", first: "away", options: optionsOf(labels.daysOff) },
      { ...from, fixed: false },
      until,
      note,
    ],
  },
  consents: {
    path: "consents",
    one: labels.oneConsent,
    fields: [
      { name: "kind", label: labels.fieldConsent, type: "choice", first: "letters", options: optionsOf(labels.consents) },
      { name: "words", label: labels.fieldConsentWords, type: "text", hint: labels.fieldConsentWordsHint },
      { name: "given", label: labels.fieldGiven, type: "date", first: "today" },
      { name: "by", label: labels.fieldGivenBy, type: "text", hint: labels.fieldGivenByHint },
      { name: "withdrawn", label: labels.fieldWithdrawn, type: "date" },
    ],
  },
  contacts: {
    path: "contacts",
    one: labels.oneContact,
    fields: [
      { name: "words", label: labels.fieldContact, type: "lines", required: true },
      { name: "day", label: labels.fieldDay, type: "date", first: "today" },
      { name: "how", label: labels.fieldHow, type: "text", hint: labels.fieldHowHint },
    ],
  },
  flags: {
    path: "flags",
    one: labels.oneFlag,
    fields: [
      { name: "kind", label: labels.fieldKind, type: "choice", first: "heart-medicine", options: optionsOf(labels.flags) },
      { ...from, fixed: false },
      until,
      note,
    ],
  },
  screenings: {
    path: "screenings",
    one: labels.oneScreening,
    fields: [
      { name: "yes", label: labels.fieldScreening, type: "set", options: optionsOf(labels.screening), hint: labels.fieldScreeningHint },
      { name: "day", label: labels.fieldDay, type: "date", first: "today" },
      { name: "cleared_by", label: labels.fieldClearedBy, type: "text" },
      { name: "cleared_on", label: labels.fieldClearedOn, type: "date" },
      note,
    ],
  },
  notes: {
    path: "notes",
    one: labels.oneNote,
    fields: [
      { name: "words", label: labels.fieldWords, type: "lines" },
      { name: "day", label: labels.fieldDay, type: "date", first: "today" },
      { name: "effort_0_10", label: labels.fieldEffort, type: "number", low: 0, high: 10, step: "any", hint: labels.fieldEffortHint },
      scale("legs_1_5", labels.fieldLegs, labels.fieldLegsHint),
      scale("sleep_1_5", labels.fieldSleep, labels.fieldSleepHint),
      scale("stress_1_5", labels.fieldStress, labels.fieldStressHint),
      scale("soreness_1_5", labels.fieldSoreness, labels.fieldSorenessHint),
      { name: "sleep_h", label: labels.fieldSleepHours, type: "number", unit: "h", low: 0, high: 24, step: "any", more: true },
      { name: "caffeine", label: labels.fieldCaffeine, type: "choice", options: optionsOf(labels.caffeine), more: true },
      { name: "fan", label: labels.fieldFan, type: "yes-no", more: true },
      { name: "temperature_c", label: labels.fieldTemperature, type: "number", unit: "°C", low: -30, high: 50, step: "any", more: true },
      { name: "drink_l", label: labels.fieldDrink, type: "number", unit: "l", low: 0, high: 20, step: "any", more: true },
      { name: "hot", label: labels.fieldHot, type: "tick", more: true },
      { name: "dehydrated", label: labels.fieldDehydrated, type: "tick", more: true },
      { name: "ill", label: labels.fieldIll, type: "tick", more: true },
      { name: "hard_day_before", label: labels.fieldHardDayBefore, type: "tick", more: true },
    ],
  },
  person: {
    path: "",
    one: labels.rider,
    fields: [
      { name: "name", label: labels.personName, type: "text", required: true },
      { name: "sex", label: labels.personSex, type: "choice", options: [{ value: "", label: labels.notSaid }, { value: "female", label: labels.female }, { value: "male", label: labels.male }] },
      { name: "born", label: labels.personBorn, type: "date" },
      { name: "training_since", label: labels.personTrainingSince, type: "date" },
      { name: "power_since", label: labels.personPowerSince, type: "date" },
      { name: "tests", label: labels.personTests, type: "set", options: testDurations, hint: labels.personTestsHint },
      { name: "address", label: labels.personAddress, type: "text", hint: labels.personAddressHint },
      { name: "note", label: labels.fieldNote, type: "text" },
      { name: "coached", label: labels.personCoached, type: "flag" },
    ],
  },
} satisfies Readonly<Record<string, EntryKind>>;

export type EntryList = Extract<keyof typeof entryKinds, keyof Rider>;

/* ---- between an entry and its form ---- */

function textOf(field: EntryField, value: unknown): string {
  if (value === null || value === undefined) {
    return "";
  }
  if (field.type === "flag" || field.type === "tick") {
    return value === true ? "yes" : "";
  }
  if (field.type === "yes-no") {
    return value === true ? "yes" : "no";
  }
  if (Array.isArray(value)) {
    return value.join(" ");
  }
  return typeof value === "string" || typeof value === "number" ? String(value) : "";
}

/* What stands in the form of an entry; of a new one what it begins with. */
export function valuesOf(fields: readonly EntryField[], entry: object | null, today: string): FormValues {
  const known = entry as Readonly<Record<string, unknown>> | null;
  const values: Record<string, string> = {};
  for (const field of fields) {
    values[field.name] =
      known === null ? (field.first === "today" ? today : (field.first ?? "")) : textOf(field, known[field.name]);
  }
  return values;
}

function wishOf(field: EntryField, text: string): unknown {
  const trimmed = text.trim();
  switch (field.type) {
    case "flag":
      return trimmed === "yes";
    case "tick":
      return trimmed === "yes" ? true : null;
    case "set":
      return trimmed === "" ? [] : trimmed.split(" ");
    case "yes-no":
      return trimmed === "" ? null : trimmed === "yes";
    case "number":
      return trimmed === "" ? null : Number(trimmed.replace(",", "."));
    case "text":
    case "lines":
    case "date":
    case "choice":
      return trimmed === "" ? null : trimmed;
  }
}

/* The body that the API takes.  A day left empty in a new entry is left out: today. */
export function wish(fields: readonly EntryField[], values: FormValues, isNew: boolean): Record<string, unknown> {
  const body: Record<string, unknown> = {};
  for (const field of fields) {
    const value = wishOf(field, values[field.name] ?? "");
    const isOptionalDay = field.type === "date" && value === null && field.first === "today";
    if (!(field.fixed === true && !isNew) && !isOptionalDay) {
      body[field.name] = value;
    }
  }
  return body;
}

const numberIn = (values: FormValues, name: string): number => Number((values[name] ?? "").trim().replace(",", ".") || NaN);

/* The form after one field was filled in: what follows it has moved with it, unless it was set by hand. */
export function movedBy(fields: readonly EntryField[], begun: FormValues, values: FormValues, name: string,
                        byHand: ReadonlySet<string>): FormValues {
  const share = numberIn(values, name) / numberIn(begun, name);
  const moved: Record<string, string> = { ...values };
  for (const field of fields) {
    const from = numberIn(begun, field.name);
    if (field.follows === name && !byHand.has(field.name) && share > 0 && Number.isFinite(share * from)) {
      moved[field.name] = String(Math.round(share * from));
    }
  }
  return moved;
}

/* What is wrong in a form, by field; the server has the last word on everything else. */
export function wrongIn(fields: readonly EntryField[], values: FormValues): Readonly<Record<string, string>> {
  const wrong: Record<string, string> = {};
  for (const field of fields) {
    const text = (values[field.name] ?? "").trim();
    if (text === "") {
      if (field.required === true) {
        wrong[field.name] = labels.wrongEmpty;
      }
    } else if (field.type === "number") {
      const value = Number(text.replace(",", "."));
      if (!Number.isFinite(value)) {
        wrong[field.name] = labels.wrongNumber;
      } else if ((field.low !== undefined && value < field.low) || (field.high !== undefined && value > field.high)) {
        wrong[field.name] = labels.wrongRange(field.low, field.high);
      }
    } else if (field.type === "date" && dayOf(text) === null) {
      wrong[field.name] = labels.wrongDay;
    }
  }
  return wrong;
}
