/* What the ride's page names: headings, acts, fields.  Sentences about the rider are the server's. */

export const rideWords = {
  earlier: "Earlier ride",
  later: "Later ride",
  keysEarlier: "earlier ride of the rider",
  keysLater: "later ride of the rider",
  beingRead: "This ride waits to be read again with what changed; what stands here was read just now.",
  standsFor: "Another recording of this ride counts:",
  thatOne: "the one that counts",
  trust: "May it be trusted?",
  found: "What was found in the recording",
  hatched: "Hatched in the traces,",
  noted: "Nothing is left out for it.",
  spoils: "It spoils a test.",
  unanswered: "What it doesn't answer",
  traces: "The ride itself",
  reps: "The reps against what was asked",
  repsMeant: "The reps against what their kind means",
  repsFound: "The reps that were found",
  bests: "Bests of this ride",
  bestsHint: "A best opens the traces at its second.",
  atLeast: "at least: seconds are missing that could hide a better one",
  acts: "What you know of this ride",
  notes: "Notes of the day",
  zones: "time in zones",
  zone: "zone",
  upTo: "up to, % of threshold",
  allBests: "All bests of",
  side: "What you know of it, notes and bests",
  cautions: "Take care",
  recordings: "Recordings of this ride",
} as const;

export const actWords = {
  test: "This was a test",
  race: "This was a race",
  neither: "Neither test nor race",
  spoiled: "This spoiled the test",
  spoiledField: "What spoiled it",
  spoiledHint: "rain, a puncture, a headwind out and none back",
  notSpoiled: "Nothing spoiled it",
  vo2max: "These were VO2max reps",
  asked: "What was asked",
  kind: "Kind",
  low: "from",
  high: "to",
  reps: "Reps",
  repLength: "each lasting",
  rangeHint: "empty: what its kind means",
  nothingAsked: "Nothing was asked",
  save: "Save",
  cancel: "Cancel",
  main: "Let this one count",
  own: "This is a ride of its own",
  counts: "counts",
} as const;

export const noteWords = {
  effort: "How hard it was, 0 to 10",
  effortHint: "as the rider gave it: 0 nothing, 10 all there was",
  words: "Words of the rider",
  add: "Note something",
  change: "Change",
  remove: "Remove",
  none: "Nothing was noted that day.",
  ofRide: "of this ride",
  ofDay: "of the day",
} as const;

/** What says that a best was ridden all-out. */
export const evidenceWords: Readonly<Record<string, string>> = {
  marked: "a test or race",
  heart: "heart rate near its maximum",
  faded: "power fell to its end",
};

export const kinds: readonly { readonly value: string; readonly label: string }[] = [
  { value: "vo2max", label: "VO2max" },
  { value: "short-vo2max", label: "short VO2max efforts" },
  { value: "threshold", label: "threshold" },
  { value: "over-unders", label: "over-unders" },
  { value: "sweet-spot", label: "sweet spot" },
  { value: "tempo", label: "tempo" },
  { value: "anaerobic", label: "anaerobic" },
  { value: "sprint", label: "sprint" },
  { value: "easy", label: "easy" },
  { value: "base-test", label: "base test" },
];
