/* coaching/next.h: what should be ridden in the coming days?  Proposals; the coach decides.
 *
 *     what is known of the rider ──> rules, the first that stop everything first ──> sessions
 *                                                        │                             │
 *                                             safe limits (coaching/safe)     days with time for
 * them
 *
 * Each proposal names its rule, says why and where the rule comes from, and holds a session of the
 * library, or the one that was given last, with at most one change, made (coaching/next_session).
 * An all-out effort is proposed only of a length that was chosen for the rider, where none of late
 * shows what the rider can do, and never two maximal sessions within LIMIT_SAFE_MAXIMAL_DAYS.
 * After sessions missed in a row rides are few, short and easy; after weeks without hard work there
 * is less of it, once a week.
 *
 * Coming back, near an event, in a lighter week and after a jump the hours of all that is planned
 * and proposed are held to a share of the usual ones.  Nothing hard is proposed without
 * the questions before hard work, in illness, after a break, or while a caution is open; whatever
 * the rules say, each session is held against the safe limits before it is proposed, and one that
 * breaks any is left out, and said to be.  What was given and no longer fits is offered for
 * withdrawal, never withdrawn. */
#ifndef COACHING_NEXT_H
#define COACHING_NEXT_H

#include "coaching/next_session.h"
#include "coaching/safe.h"

#define NEXT_DAYS_MOST 14
#define NEXT_MOST      16

enum next_base {
    NEXT_NOT_TESTED,
    NEXT_BUILDING,
    NEXT_TO_CONFIRM,
    NEXT_BUILT,
    NEXT_OUT_OF_DATE,
    NEXT_NOT_JUDGED, /* tests there are, but none that could be judged */
    NEXT_BASES
};

/* How the last hard session went. */
enum next_hard {
    NEXT_HARD_NONE, /* none yet, or it can't be told */
    NEXT_HARD_DONE,
    NEXT_HARD_TOO_FAST, /* started too hard, the end in the range */
    NEXT_HARD_FELL,     /* started too hard, and the end fell below */
    NEXT_HARD_FADED,    /* or cut short */
    NEXT_HARD_ABOVE,    /* harder than asked, to the end */
    NEXT_HARD_UNSURE,   /* on the line: neither done nor not */
    NEXT_HARDS
};

/* After illness or a break (coaching/comeback). */
enum next_comeback {
    NEXT_WELL,
    NEXT_DOCTOR,    /* a doctor first */
    NEXT_ILL,       /* ill now */
    NEXT_EASY_ONLY, /* back: easy only */
    NEXT_MORE,      /* more hours, still easy */
    NEXT_ONE_HARD,  /* one short hard session */
    NEXT_TEST,      /* then a test */
    NEXT_INJURED,   /* injured now */
    NEXT_COMEBACKS
};

struct next_event {
    int64_t day;
    bool is_minor; /* of least weight: trained through, its day alone is taken */
};

struct next_case {
    enum next_base base;
    int base_test_days; /* since the last; -1 = never */
    enum next_hard hard;
    const char *hard_session; /* of the library, that the last was; NULL = not known */
    const char *hard_words;   /* the session that was given for it; NULL = none was */
    const char *hard_name;    /* what that is called */
    int hard_done;            /* so often done in a row */
    /* What was asked in it, where no session was given. */
    int hard_reps;        /* efforts; 0 = as the library has it */
    int32_t hard_rep_s;   /* seconds of each; 0 = as the library has it */
    int32_t hard_low_pct; /* the range; 0 = as the library has it */
    int32_t hard_high_pct;
    enum next_comeback comeback;
    bool test_due;
    bool stalled;
    bool easy_too_hard;
    bool today_high;        /* heart rate higher than usual, or a note of feeling unwell */
    bool caution_open;      /* a heart-rate caution that was not asked about */
    bool ask_first;         /* words that must be asked about before anything hard */
    bool week_jump;         /* of hours */
    bool hard_often;        /* too many hard days of late */
    bool missed;            /* sessions in a row, and not asked about yet */
    int weeks_without_hard; /* whole ones since the last hard work, asked or not */
    const int32_t *tests;   /* [n_tests] seconds of all-out efforts that were chosen for the rider
                               and are not tested or out of date, the longest waiting first */
    size_t n_tests;
    int weeks_since_lighter;
    double usual_hours; /* a week, before an illness or a break if there was one; 0 = not known */
    int event_days;     /* to the next event that isn't minor; -1 = none */
    const struct next_event *events; /* [n_events] from today on, in any order */
    size_t n_events;
    int64_t hard_from; /* coming back: nothing hard before; 0 = no such day */
    int ahead;         /* days that are proposed for; 0 = LIMIT_NEXT_DAYS */
    int planned_hard;  /* sessions that stand on those days already */
    int planned_easy;
    int32_t planned_s; /* their length */
    bool planned_test;
    bool planned_base_test;
    const struct rider_facts *facts;
    int64_t today;                  /* base/dates' day number: the first day that is proposed for */
    int32_t free_s[NEXT_DAYS_MOST]; /* time on each day from today on; 0 = none, or away */
    int32_t full_s[NEXT_DAYS_MOST]; /* that it would have, were it not for what stands on it */
    const struct safe_day *days;    /* what was ridden and is planned */
    size_t n_days;
};

struct next_proposal {
    const char *rule;    /* "base-building" */
    const char *session; /* of the library; NULL = nothing to ride: words alone */
    enum next_change change;
    int64_t day; /* INT64_MIN = no day */
    const char *why;
    const char *source;
    const char *how; /* the change, and hours that must be kept to, in words; NULL = as it is */
    /* What is ridden: the session with its change. */
    const char *name; /* "VO2max, one effort more" */
    const char *kind;
    const char *words; /* a line a block */
    struct session steps;
    struct session_dose dose;
};

/* Why a rule's session is left out. */
enum next_why_left {
    NEXT_LEFT_NO_TIME, /* no day has the time for it */
    NEXT_LEFT_TAKEN,   /* each that has is taken, or too near to other hard or maximal days */
    NEXT_LEFT_HOURS    /* more than the hours that must be kept to */
};

/* Asked for by a rule, and not proposed. */
struct next_left {
    const char *rule;
    const char *session;
    const char *why; /* no time; what stands about it; the hours that must be kept to */
};

struct next_plan {
    struct next_proposal items[NEXT_MOST]; /* [n] in the order of days; what has no day first */
    size_t n;
    struct next_left left[NEXT_MOST]; /* [n_left] */
    size_t n_left;
};

void next_make(struct arena *arena, const struct next_case *c, const struct limits *limits,
               struct next_plan *out);

/* In the order of days; what has no day first.  Returns how many. */
size_t next_propose(struct arena *arena, const struct next_case *c, const struct limits *limits,
                    struct next_proposal out[NEXT_MOST]);

const char *next_change_name(enum next_change change); /* "as-it-is", "cap-start", ... */

/* Something that stands on a day, drafted or given. */
struct next_standing {
    int64_t day;
    const char *kind;
    bool is_hard;
    bool is_maximal;
    bool is_off;                        /* away, or no training on that day */
    const struct safe_breach *breaches; /* [n_breaches] beyond what was gone past knowingly */
    size_t n_breaches;
};

/* Why it no longer fits: a code, and its sentence in *words; NULL = it fits. */
const char *next_unfit(const struct next_case *c, const struct next_standing *one,
                       const struct limits *limits, const char **words);

#endif
