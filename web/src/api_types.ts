/* The shapes that the screens read and send: those of api/openapi.yaml, by shorter names. */
import type { components } from "./generated/api_schema";

type Schemas = components["schemas"];

export type Session = Schemas["session"];
export type Who = Schemas["who"];
export type WhoItem = Schemas["who_item"];
export type WhoMarkWish = Schemas["who_mark_wish"];

export type ProgramRecord = Schemas["record"];

export type Riders = Schemas["riders"];
export type RidersRow = Schemas["riders_row"];
export type Rider = Schemas["rider"];
export type PersonWish = Schemas["person_wish"];
export type Available = Schemas["available"];
export type Fact = Schemas["fact"];
export type Note = Schemas["note"];

export type Weeks = Schemas["weeks"];
export type Reading = Schemas["reading"];
export type DurationReading = Schemas["duration_reading"];
export type WorkRide = Schemas["work_ride"];
export type QuestionMark = Schemas["question_mark"];
export type RideRows = Schemas["rides"];
export type RideRow = Schemas["rides"]["rides"][number];
export type RideAnswer = Schemas["ride"];
export type RideSession = Schemas["ride_session"];
export type Bests = Schemas["bests"];
export type Critical = Schemas["critical"];
export type Heart = Schemas["heart"];

export type RiderSessions = Schemas["rider_sessions"];
export type RiderSession = RiderSessions["sessions"][number];
export type CameBack = NonNullable<Schemas["session_whole"]["came_back"]>;
export type SessionWhole = Schemas["session_whole"];
export type NextAnswer = Schemas["next"];
export type NextProposal = NextAnswer["proposals"][number];
export type SessionLibrary = Schemas["session_library"];
export type SessionWords = Schemas["session_words"];
export type SessionStep = Schemas["session_step"];
export type SessionBreach = Schemas["session_breach"];
export type SessionOutlook = NonNullable<SessionWords["outlook"]>;

export type Scene = Schemas["scene"];
export type Done = Schemas["done"];
export type Jobs = Schemas["jobs"];
export type Job = Schemas["job"];
export type ImportResult = Schemas["import_result"];
export type ImportFile = Schemas["import_file"];

/* The four answers that every verdict comes down to. */
export type AnswerKind = QuestionMark["answer"];
