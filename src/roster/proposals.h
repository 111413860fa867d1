/* roster/proposals.h: what a rider's stored rides let propose, to be accepted together.
 *
 *      1  threshold 251 W (likely 224 to 278) from 2026-03-14   20-minute test, ride 41
 *      2  maximal heart rate at least 184 from 2025-06-11       ride 17
 *      3  weight 62.5 kg from 2025-06-11                        ride 17, as set in its device
 *      4  power meter, serial 41877                             38 rides, 2025-03-01 to 2026-03-14
 *      5  ride 29 looks like someone else's                     its meter is Ben's (31 rides)
 *      6  ride 8 is dated 1999-11-30
 *
 * Made from the store each time, so nothing is forgotten; what was accepted or declined isn't
 * proposed again.  Nothing is applied until the coach accepts: then all that was named at once is
 * one change.  Numbers hold for one page: `mark` is a short sum over what stands on it, and a page
 * that has changed since it was shown is refused. */
#ifndef ROSTER_PROPOSALS_H
#define ROSTER_PROPOSALS_H

#include "roster/equipment.h"
#include "roster/scan.h"

enum proposal_kind {
    PROPOSAL_THRESHOLD,
    PROPOSAL_MAX_HEART_RATE,
    PROPOSAL_WEIGHT,
    PROPOSAL_EQUIPMENT,
    PROPOSAL_TEST,  /* recognised, but not to be accepted: invalid, or of critical power */
    PROPOSAL_OTHER, /* a ride that looks like someone else's: evidence only */
    PROPOSAL_DAY,   /* a ride with an impossible date: evidence only */
    PROPOSAL_KINDS
};
const char *proposal_kind_name(enum proposal_kind kind); /* "threshold", "max-heart-rate", ... */

/* What accepting one sets; false: no fact. */
bool proposal_fact(enum proposal_kind kind, enum fact_kind *out);

/* Why a ride is on the page.  Codes of PROPOSAL_OTHER:
 *   serial        device `serial` has `value` rides of this rider and `than` of `name`
 *   overlap       it runs at the same time as ride `ride`, for `value` s
 *   apart         and began `value` m from where that one was
 *   watts-a-beat  it gave `value` W for each beat above 60, the most of all others `than`
 *   heart-level   its heart rate reached `value`, that of all others `than`
 *   weight        its file has a weight of `value` kg, the nearest of all others is `than`
 * of PROPOSAL_DAY: no-day, before-2000, future, before-training, before-birth. */
struct proposal_evidence {
    const char *code;
    double value;
    double than;
    const char *name;
    int64_t ride;
    int64_t serial;
};

enum { EVIDENCE_MOST = 8 };

struct proposal {
    enum proposal_kind kind;
    size_t number;     /* on the page, from 1 */
    bool can_accept;   /* else it can only be declined: not shown again */
    const char *what;  /* with recording and day, what is remembered when it is declined */
    int64_t recording; /* 0 = none */
    const char *day;   /* NULL = none */
    struct fact fact;  /* PROPOSAL_THRESHOLD, PROPOSAL_MAX_HEART_RATE, PROPOSAL_WEIGHT */
    bool weighed;      /* PROPOSAL_WEIGHT: by a scale that day, else set in the device once */
    double in_force;   /* PROPOSAL_WEIGHT: on file or proposed above; NAN = nothing */
    const char *in_force_from;
    int64_t meter_serial; /* PROPOSAL_THRESHOLD: of the power meter; 0 = not known */
    int64_t agrees;       /* PROPOSAL_MAX_HEART_RATE: the ride that came near; 0 = none */
    struct protocol_test test;
    struct seen_sensor sensor;
    struct proposal_evidence evidence[EVIDENCE_MOST];
    size_t n_evidence;
};

struct double_ride {
    int64_t ride;
    int64_t same_as;
    const char *day;
};

struct proposals {
    struct proposal *items; /* [count] in the order of kinds, then of days */
    size_t count;
    size_t capacity;
    char mark[9];
    size_t n_rides; /* that were looked at */
    const char *first_day;
    const char *last_day;
    struct double_ride *doubles; /* [n_doubles] */
    size_t n_doubles;
    size_t n_weights;          /* rides whose files have a weight */
    size_t n_weights_left_out; /* of them: doubtful, or another rider's device as much */
};

MUST_USE bool proposals_make(struct arena *arena, const struct scan_call *call,
                             struct proposals *out, struct error *err);

/* One change for all of them, with *said its words; the readings that it makes old are looked for
 * by the change itself.  numbers[n] in any order; n = 0: all that can be accepted. ERROR_USAGE: a
 * number that isn't on the page, or nothing to accept. */
MUST_USE bool proposals_accept(struct arena *arena, const struct scan_call *call,
                               struct roster_now now, const struct proposals *page,
                               const size_t numbers[], size_t n, const char **said,
                               struct error *err);
MUST_USE bool proposals_decline(struct arena *arena, const struct scan_call *call,
                                struct roster_now now, const struct proposals *page,
                                const size_t numbers[], size_t n, const char **said,
                                struct error *err);

/* ---- for its parts ---- */

/* One more, at the end. */
struct proposal *proposals_add(struct arena *arena, struct proposals *page,
                               enum proposal_kind kind);

/* What the coach declined: recorded as what, recording, day. */
bool proposals_is_declined(const struct db_rows *declined, const struct proposal *one);

/* Rides that look like someone else's, and impossible dates. */
MUST_USE bool proposals_doubt_rides(struct db *db, struct arena *arena,
                                    const struct scan_call *call, const struct scan *scan,
                                    struct proposals *page, struct error *err);

/* Weights that change what is in force: what a scale sent, and of each device its first setting and
 * every other; what was declined isn't taken as in force.
 *   doubts  rides that are left out, since a device that isn't the rider's has another's weight */
MUST_USE bool proposals_add_weights(struct db *db, struct arena *arena,
                                    const struct scan_call *call, const struct scan *scan,
                                    const struct proposals *doubts, const struct db_rows *declined,
                                    struct proposals *page, struct error *err);

#endif
