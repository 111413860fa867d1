/* physiology/power_duration.h: critical power, from efforts ridden all-out over several durations.
 *
 *   power  |\
 *          | \            mean power = CP + W' / duration
 *          |  `.
 *          |    `--.____            CP: what is left at the long end
 *          |- - - - - - -`------    W': the work above it, the same whatever the duration
 *          +---------------------- duration
 *             3    7    12 min
 *
 * The same line has three common forms, which differ in where they put the error; a fourth adds a
 * power that can't be passed, for short efforts.  All are shown; one decides: mean power with an
 * error in proportion to it, whose interval joins the scatter about the line with what efforts are
 * known to scatter by.  With three efforts the scatter alone would say "sure" far too often.
 *
 * Critical power isn't threshold, and neither is turned into the other.
 * Sources: Monod and Scherrer 1965, Ergonomics 8, 329; Moritani et al. 1981, Ergonomics 24, 339;
 * Hill 1993, Sports Med 16, 237; three parameters: Morton 1996, Ergonomics 39, 611-619; profile
 * intervals: Bates and Watts 1988, Nonlinear Regression Analysis, section 6.1. */
#ifndef PHYSIOLOGY_POWER_DURATION_H
#define PHYSIOLOGY_POWER_DURATION_H

#include "base/arena.h"
#include "limits/limits.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* What says that an effort was all-out. */
enum duration_said {
    DURATION_SAID_EVIDENCE, /* heart rate near maximal, or the coach's mark (physiology/effort) */
    DURATION_SAID_TEST,     /* an effort of a marked test, of the length that it was ridden */
    DURATION_SAID_SPENT,    /* W' was nearly gone at its end, by other efforts' critical power */
};
const char *duration_said_name(enum duration_said said); /* "evidence", "test", "spent" */

struct duration_effort {
    double duration_s;
    double mean_w;
    int64_t ride; /* which ride holds it, and where: efforts may not share a second */
    int32_t start_s;
    int64_t day;     /* since 1970 */
    bool is_maximal; /* evidence says that it was all-out */
    enum duration_said said_by;
};

/* Long enough, and short enough, to tell critical power: LIMIT_TEST_MANY_LEAST_S to _MOST_S. */
bool duration_effort_tells(const struct duration_effort *effort, const struct limits *limits);

/* ---- the forms ---- */

enum duration_form {
    DURATION_WORK,      /* work = W' + CP t, by line */
    DURATION_INVERSE,   /* P = CP + W' / t, by line */
    DURATION_HYPERBOLA, /* t = W' / (P - CP) */
    DURATION_PEAK,      /* t = W' / (P - CP) - W' / (peak - CP): three parameters */
    DURATION_FORMS
};
const char *duration_form_name(enum duration_form form); /* "work against time", ... */

/* Why a form has no numbers. */
enum duration_lack {
    DURATION_LACKS_NOTHING,
    DURATION_LACKS_EFFORTS,  /* fewer than duration_form_least of them */
    DURATION_LACKS_SHORT,    /* the highest power: no effort of LIMIT_CP_PEAK_S or less */
    DURATION_LACKS_FALL,     /* longer efforts aren't weaker: nowhere to begin from */
    DURATION_LACKS_END,      /* the search found no best place, or many as good */
    DURATION_LACKS_CRITICAL, /* the best place lies at the edge of what is possible: critical power
                                at nought or at the weakest effort, or no W' */
    DURATION_LACKS_BEND,     /* the same, the highest power at the hardest effort, or at 20 times
                                it: the efforts don't bend towards one */
};
const char *duration_lack_name(enum duration_lack lack); /* "nothing", "efforts", ... */

/* Efforts that a form needs: two of different length; with a highest power five, its three
 * parameters and two to judge by. */
size_t duration_form_least(enum duration_form form);

/* One form fitted by plain least squares; every number NAN unless is_fitted.  A standard error is
 * NAN where no effort is left over to judge by. */
struct duration_fit {
    bool is_fitted;
    enum duration_lack lack; /* DURATION_LACKS_NOTHING if is_fitted */
    size_t n;                /* efforts that it had */
    double cp_w;
    double cp_se_w;
    double w_prime_j;
    double w_prime_se_j;
    double peak_w; /* DURATION_PEAK alone */
    double peak_se_w;
    double residual_squares; /* in J, W or s, as the form has it */
    double r_squared;        /* of the two lines */
};

struct duration_fit power_duration_fit(struct arena *arena, enum duration_form form,
                                       const struct duration_effort efforts[], size_t n);

/* ---- the answer ---- */

enum duration_end {
    DURATION_KNOWN,
    DURATION_TOO_FEW,     /* fewer than LIMIT_CP_EFFORTS that count */
    DURATION_NOT_MAXIMAL, /* as many were ridden, but too few with evidence of being all-out */
    DURATION_OVERLAP,     /* two share seconds of one ride */
    DURATION_TOO_SHORT,   /* none lasts LIMIT_TEST_MANY_LONGEST_S: CP would come out high */
    DURATION_TOO_ALIKE,   /* the longest isn't LIMIT_TEST_MANY_SPAN_RATIO times the shortest */
    DURATION_TOO_WIDE,    /* days from first to last above LIMIT_CP_WINDOW_DAYS */
    DURATION_NOT_FALLING, /* longer efforts aren't weaker: no W' above nought */
    DURATION_NOT_TOLD,    /* the intervals hold no positive CP, or no positive W' */
};
const char *duration_end_name(enum duration_end end); /* "known", "too-few", ... */

struct power_duration {
    enum duration_end end; /* the numbers below are NAN unless DURATION_KNOWN */
    size_t n;              /* efforts used: maximal, of LIMIT_TEST_MANY_LEAST_S to _MOST_S */
    double cp_w;
    double cp_low_w; /* 90 % interval, by profile */
    double cp_high_w;
    double w_prime_j;
    double w_prime_low_j;
    double w_prime_high_j;
    double effort_sd_ratio; /* error of one effort, prior and scatter together: 0.022 = 2.2 % */
    double shortest_s;
    double longest_s;
    int64_t first_day;
    int64_t last_day;
    struct duration_fit forms[DURATION_FORMS]; /* where CP is known, of the same efforts; the peak
                                                form also of the maximal ones shorter, if one is of
                                                LIMIT_CP_PEAK_S or less */
};

/* Critical power from a rider's efforts.
 *   arena    scratch
 *   efforts  [n] any order; those that aren't maximal are counted and left out
 * Pure; the same whatever the order of the efforts. */
struct power_duration power_duration_read(struct arena *arena,
                                          const struct duration_effort efforts[], size_t n,
                                          const struct limits *limits);

/* Of many efforts the set to read: per duration (as ridden, to a tenth) the hardest maximal one in
 * [to_day - LIMIT_CP_WINDOW_DAYS, to_day), none sharing a second with a harder one already taken;
 * longest durations first, since they tell critical power.  Outside of tests none that isn't harder
 * than a longer one: it wasn't all-out.  Fills kept[n], returns how many. */
size_t power_duration_choose(const struct duration_effort efforts[], size_t n, int64_t to_day,
                             const struct limits *limits, struct duration_effort kept[]);

/* Seconds that a power lasts: W' / (P - CP), INFINITY at or below CP. */
double power_duration_lasts_s(double power_w, double cp_w, double w_prime_j);

#endif
