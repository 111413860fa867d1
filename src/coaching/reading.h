/* coaching/reading.h: a verdict with its evidence and its doubts.
 *
 * A reading answers one question about one ride (or a rep, or a set of it).  The same reading
 * feeds words, JSON, page and paper; its sentences come from coaching/words only. */
#ifndef COACHING_READING_H
#define COACHING_READING_H

#include "base/arena.h"
#include "base/error.h"
#include "limits/limits.h"
#include "physiology/bests.h"
#include "physiology/drift.h"
#include "physiology/effort.h"
#include "physiology/facts.h"
#include "physiology/heart_response.h"
#include "physiology/load.h"
#include "physiology/reps.h"
#include "physiology/steady.h"
#include "recording/recording.h"

enum question {
    /* about a ride */
    QUESTION_TRUST,
    QUESTION_BASE,
    QUESTION_EASY_WORK,
    QUESTION_HARD_WORK,
    QUESTION_HARD_DAY,
    /* about a rider, over weeks */
    QUESTION_BASE_STATE,
    QUESTION_BASE_TREND,
    QUESTION_PROGRESS,
    QUESTION_STALLED,
    QUESTION_EASY_WEEKS,
    QUESTION_HOW,
    QUESTION_LOAD,
    QUESTION_COMEBACK,
    /* about two recordings of one ride */
    QUESTION_METERS,
    /* about a ride, against those before it: made from history, never by reading_make */
    QUESTION_TODAY,
};
enum { RIDE_QUESTIONS = QUESTION_HARD_DAY + 1 };
const char *question_name(enum question question); /* "trust", "base", "easy work", ... */

/* The version of the method that answers a question: "base/1".  Raised whenever an output can
 * change for the same input. */
const char *question_method(enum question question);

enum verdict {
    VERDICT_CANNOT_TELL,
    /* trust */
    VERDICT_USABLE,
    VERDICT_USABLE_IN_PART,
    VERDICT_NOT_USABLE,
    /* base */
    VERDICT_PASSED,
    VERDICT_ON_THE_LINE, /* also easy and hard work */
    VERDICT_NOT_PASSED,
    /* easy work */
    VERDICT_EASY_ENOUGH,
    VERDICT_TOO_HARD,
    /* hard work */
    VERDICT_DONE,
    VERDICT_DONE_FAST_START,
    VERDICT_STARTED_TOO_HARD,
    VERDICT_FADED,
    VERDICT_BELOW,
    VERDICT_ABOVE,
    VERDICT_CUT_SHORT,
    VERDICT_STOPPED,
    VERDICT_DESCRIBED, /* nothing asked and no shape to judge: numbers only */
    /* hard day */
    VERDICT_HARD_DAY,
    VERDICT_NO_HARD_DAY,
    /* base state */
    VERDICT_BUILT,
    VERDICT_TO_CONFIRM,
    VERDICT_STILL_BUILDING,
    VERDICT_OUT_OF_DATE,
    VERDICT_NOT_TESTED, /* also progress */
    /* base trend */
    VERDICT_FALLING,
    VERDICT_FLAT,
    VERDICT_RISING,
    /* progress */
    VERDICT_BETTER,
    VERDICT_NO_CLEAR_CHANGE,
    VERDICT_LOWER,
    /* stalled */
    VERDICT_YES,
    VERDICT_NO,
    /* how */
    VERDICT_USUAL,
    VERDICT_LOOK,      /* something differs from what is usual with this rider */
    VERDICT_ASK_FIRST, /* illness, or words that must be asked about before anything hard */
    /* load */
    VERDICT_NO_JUMP,
    VERDICT_JUMP,
    /* comeback */
    VERDICT_NO_BREAK,
    VERDICT_OFF,         /* ill, injured or without rides today */
    VERDICT_COMING_BACK, /* something is not proposed yet */
    VERDICT_BACK,        /* what was known is from before the break */
    /* meters */
    VERDICT_NO_CLEAR_DIFFERENCE,
    VERDICT_DIFFER,
    /* today; as usual: VERDICT_USUAL */
    VERDICT_HIGHER_THAN_USUAL,
    VERDICT_LOWER_THAN_USUAL,
};
enum { VERDICTS = VERDICT_LOWER_THAN_USUAL + 1 };
const char *verdict_name(enum verdict verdict); /* "cannot tell", "usable in part", ... */
bool verdict_find(const char *name, enum verdict *verdict);

#define CAUSE_NUMBERS 8

/* One reason: a code with its numbers, and the sentence that words/ made of them. */
struct cause {
    const char *code;
    struct number numbers[CAUSE_NUMBERS];
    size_t n_numbers;
    const char *text;
};

struct causes {
    struct cause *items;
    size_t count;
    size_t capacity;
};

#define BASIS_LIMITS       32
#define BASIS_OWN_RESPONSE "the rider's own: lag " /* how it begins */

/* What the reading rests on besides the recording. */
struct basis {
    const char *method;                 /* "base/1": raised whenever an output can change */
    double threshold_w;                 /* NAN = none used */
    const char *threshold_known_by;     /* NULL = none used */
    enum limit_id limits[BASIS_LIMITS]; /* the rows used */
    double limit_values[BASIS_LIMITS];
    size_t n_limits;
    const char *intent; /* "asked: 106-120 %", "assumed: vo2max"; NULL none */
    /* base, hard work: by whose response heart rate was read: BASIS_OWN_RESPONSE "31 s, ...", or
     * "usual of riders: lag 70 s"; NULL = none used */
    const char *response;
    /* hard work: how its efforts were found: "the session's steps, laid along power", "power
     * alone"; NULL = none were looked for */
    const char *efforts_by;
};

struct reading {
    enum question question;
    enum verdict verdict;
    int set;         /* hard work: 0 = the ride; else 1-based set.  Progress: 0 = 5, 10 and
                        20 min together; else the duration in s */
    int rep;         /* hard work: 0 = the set or the ride; else 1-based rep of the ride */
    double estimate; /* NAN = none */
    double low;      /* 90 % interval */
    double high;
    const char *unit;   /* "bpm", "%", "W", "s"; NULL none */
    double limit_value; /* NAN = none */
    double range_low;   /* hard work: the range it was judged by, in `unit`; 0 and INFINITY
                           = open; NAN = none, or of several kinds */
    double range_high;
    const char *limit_source;     /* NULL none */
    struct causes because;        /* most telling first */
    struct causes cannot_because; /* empty unless the verdict was withheld */
    struct causes settle_by;      /* what would settle it */
    struct span *spans;           /* the evidence */
    size_t n_spans;
    struct basis basis;
    const char *text; /* the sentence(s) */
};

struct came_line;    /* coaching/came_back.h */
struct ride_balance; /* coaching/ride_balance.h */

struct ride_readings {
    struct reading *items; /* trust first, then base, easy work, hard work (ride, sets, reps),
                                             hard day */
    size_t count;
    size_t capacity;
    struct steady steady;
    struct drift drift;
    struct reps reps;
    enum verdict *rep_verdicts;              /* [reps.count] */
    struct bests bests;                      /* the shown durations */
    struct effort efforts[EFFORT_DURATIONS]; /* [n_efforts] those bests, with what says all-out */
    size_t n_efforts;
    struct ride_load load;
    const struct response_ride *heart;  /* sums for the heart's response; NULL unless heart_fits */
    enum response_unfit heart_unfit;    /* RIDE_FITS, or why there are none */
    const struct ride_balance *balance; /* of W'; NULL = not looked at: it needs other rides */
    const struct came_line *came;       /* the session that it is, or was held against; NULL =
                                         * none, or not looked for: it needs other rides */
    double zone_s[ZONES_MOST];          /* NAN without threshold */
    const char **finding_texts;         /* [recording->n_findings], one sentence each */
    struct causes cautions;             /* stand at the top of the ride whatever was masked */
    const char *summary;                /* what the recording is, one or two sentences */
};

/* The only path from a recording to readings.  Pure: no files, no clock.
 * False only for ERROR_INTERNAL; what can't be told is a verdict. */
MUST_USE bool reading_make(struct arena *arena, const struct recording *recording,
                           const struct rider_facts *facts, const struct limits *limits,
                           struct ride_readings *out, struct error *err);

/* Base, easy work and hard work alone, to the letter as reading_make has them: of these base and
 * hard work are all that facts->response changes. */
void reading_make_work(struct arena *arena, const struct recording *recording,
                       const struct rider_facts *facts, const struct limits *limits,
                       struct ride_readings *out);

/* For basis.response; NULL where no own response is known, or heart rate isn't read. */
const char *reading_own_response(struct arena *arena, const struct rider_facts *facts);

/* Helpers for the rooms that fill readings. */
struct reading reading_begin(enum question question); /* cannot tell, every number NAN */
struct reading *readings_add(struct arena *arena, struct ride_readings *readings,
                             enum question question);
struct cause *causes_add(struct arena *arena, struct causes *causes, const char *code);
void cause_number(struct cause *cause, const char *name, double value);

/* The number of that name; NAN if there is none, or no cause (NULL). */
double cause_value(const struct cause *cause, const char *name);

/* The first cause with that code; NULL if there is none. */
const struct cause *causes_find(const struct causes *causes, const char *code);

/* The limit's value in force, noted in the reading's basis. */
double reading_limit(struct reading *reading, const struct limits *limits, enum limit_id id);

#endif
