/* physiology/facts.h: what was true of the rider on the day of the ride, and what was asked.
 *
 * Zero-initialise with facts_unknown(): every number NAN, nothing asked. */
#ifndef PHYSIOLOGY_FACTS_H
#define PHYSIOLOGY_FACTS_H

#include "limits/limits.h"
#include "physiology/zones.h"
#include "recording/recording.h"

#include <math.h>
#include <stdbool.h>

struct heart_response;
struct session;

/* What a session was meant to be.  Ranges: science, common practice (limits rows kind_*). */
enum work_kind {
    KIND_UNKNOWN, /* nothing asked: the nearest kind is assumed and said so */
    KIND_EASY,
    KIND_BASE_TEST,
    KIND_TEMPO,
    KIND_SWEET_SPOT,
    KIND_THRESHOLD,
    KIND_OVER_UNDERS,
    KIND_VO2MAX,
    KIND_SHORT_VO2MAX,
    KIND_ANAEROBIC,
    KIND_SPRINT,
    KIND_COUNT
};
/* "easy", "base-test", "tempo", "sweet-spot", "threshold", "over-unders", "vo2max",
 * "short-vo2max", "anaerobic", "sprint"; "unknown". */
const char *work_kind_name(enum work_kind kind);

/* The kind with that name ("unknown" is none), or false. */
bool work_kind_find(const char *name, enum work_kind *kind);

/* What a kind asks for, from the limits kind_*: NAN = the kind says nothing of it.
 *
 * Over-unders go between two ranges in turn; here they have one, from the lower edge of the unders
 * to the upper edge of the overs, which the mean of a whole rep must meet.
 * A range without an upper end (sprint) has high_pct INFINITY; without a lower one (easy) low_pct
 * 0.  The base test's aim is the middle of its range. */
struct kind_range {
    double low_pct; /* of threshold */
    double high_pct;
    double shortest_s; /* of one effort; of one on-part for short VO2max */
    double longest_s;
};
struct kind_range work_kind_range(enum work_kind kind, const struct limits *limits);

/* A range asked: in % of threshold, or in watts; NAN = not asked. */
struct target {
    double low_pct;
    double high_pct;
    double low_w;
    double high_w;
};

/* For published formulas that ask it, and nothing else. */
enum rider_sex { SEX_UNSET, SEX_FEMALE, SEX_MALE };

/* Things that were so on the day and may push heart rate; set by the coach. */
struct day_marks {
    bool hot;
    bool no_fan;
    bool dehydrated;
    bool ill;
    bool caffeine_out_of_habit;
    bool hard_day_before;
};

/* Where the heart sensor of the ride sat, as the roster's equipment has it. */
enum heart_at { HEART_AT_UNKNOWN, HEART_AT_CHEST, HEART_AT_ARM, HEART_AT_WRIST };

/* Which legs the power meter of the ride measures. */
enum meter_sides { SIDES_UNKNOWN, SIDES_BOTH, SIDES_LEFT, SIDES_RIGHT };

/* The questions before hard work, as last answered until the day. */
enum screened {
    SCREENED_NOT,     /* none on file */
    SCREENED_YES,     /* something was answered yes, and nobody cleared it */
    SCREENED_CLEARED, /* a yes that somebody cleared */
    SCREENED_ALL_NO,
};

/* Under so many years a guardian is asked, and no formula of age is used.
 * Source: United Nations, Convention on the Rights of the Child, 1989, article 1. */
#define ADULT_YEARS 18

/* A session given for the day of the ride. */
struct given_session {
    const struct session *session; /* its steps (coaching/session) */
    const char *kind;              /* one of session_kinds */
    const char *words;             /* as it is kept: what readings rest on */
    bool is_moved;                 /* of an earlier day: the ride was found to be it */
};

/* An effort of a session, where it was found in the ride (coaching/came_back). */
struct laid_effort {
    struct span span;
    bool as_asked;       /* of those that the range, the number and the length are asked of */
    double rest_asked_s; /* until the next effort; NAN = none was asked, or the next wasn't found */
    double rest_s;       /* that there was, by the clock */
};

/* Wide fields first: analysers count the gaps between small ones. */
struct rider_facts {
    double threshold_w;
    double threshold_low_w; /* 90 % interval; NAN = unknown */
    double threshold_high_w;
    const char *threshold_known_by; /* "given", "20-minute test of 2026-03-14"; NULL unknown */
    double max_heart_rate_bpm;
    double rest_heart_rate_bpm;
    double weight_kg;
    double age_y;         /* whole years on the day; NAN = unknown.  Under 18 no formula of age is
                           * used, and a guardian is asked */
    double training_y;    /* whole years of regular training; NAN = unknown */
    double screened_days; /* how long ago; NAN = never */
    double effort_0_10;   /* how hard it was, said afterwards; NAN = as the recording says */
    struct zones zones;
    /* by rides before this one (physiology/heart_response); NULL = not known */
    const struct heart_response *response;
    /* for its day; a ride that is found to be one of them is read with what that asks for
     * (coaching/came_back), unless something is said of the ride itself, below */
    const struct given_session *given; /* [n_given] */
    size_t n_given;
    /* the sessions and rides of the days before it that say whether it is one that was moved, as
     * text: what readings rest on; NULL = there are none */
    const char *near;
    /* where the efforts asked of it were found; none: they are found by power alone */
    const struct laid_effort *laid; /* [n_laid] in order */
    size_t n_laid;
    /* what was asked */
    struct target target;
    double rep_duration_s; /* NAN = not asked */
    int reps_asked;        /* 0 = not asked */
    enum work_kind kind;
    /* of the rider, the day and the ride */
    enum rider_sex sex;
    enum screened screened;
    enum ride_place place; /* the coach's word; PLACE_UNKNOWN = as the recording says */
    enum heart_at heart_at;
    enum meter_sides meter_sides;
    struct day_marks day;
    bool fan_known;       /* the coach said whether there was a fan (day.no_fan) */
    bool guardian_agreed; /* under 18 */
    bool heart_medicine;  /* no percent-of-maximal readings */
    bool pregnant;        /* heart-rate verdicts off */
    bool marked;          /* the coach says: a test or a race */
};

struct rider_facts facts_unknown(void);

/* True if an easy ride was asked: by its kind (easy, base test), or by a target that ends at or
 * below LIMIT_EASY_ASKED_PCT of threshold. */
bool facts_asked_easy(const struct rider_facts *facts, const struct limits *limits);

/* False with medicine that alters heart rate, or in pregnancy: it isn't held against usual then. */
bool facts_read_heart(const struct rider_facts *facts);

/* The range in watts that was asked, or that the kind implies at this threshold; false when
 * neither is known, and then both are NAN.  Watts asked win over % asked, and % over the kind; one
 * end alone is enough: the other is then 0 or INFINITY ("at least 300 W"), as it is for kinds with
 * an open end. */
bool facts_target_w(const struct rider_facts *facts, const struct limits *limits, double *low_w,
                    double *high_w);

#endif
