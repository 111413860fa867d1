/* physiology/heart_response.h: how one rider's heart answers power.
 *
 *   power  |   ______            H = rest + day + gain F + drift E
 *          |__|      |____       F = power, `dead` seconds late, through a first-order lag of `tau`
 *                                E = work so far, as hours at threshold
 *   heart  |     .--.
 *          |_.-''    `-.__       one rest, gain, tau, dead time and drift a rider, from the trusted
 *                                rides of the last months; one `day` a ride: how that day's heart
 *                                lay against usual
 *
 * Nothing is searched in a ride's samples twice: a ride is boiled down to sums of products at each
 * of a few pairs of tau and dead time, which are kept; a fit over any choice of rides, with one
 * left out or not, is additions and a solution of three equations.
 *
 * What it may say: what this power usually brings, within some beats.  A ride that is unusual is
 * one more question to the rider, never a diagnosis.  Whoever takes heart-altering medicine, or is
 * pregnant, is not read at all (physiology/facts).
 * Sources: first order with dead time: Hunt and Wang 2024 (F-24), Hunt, Grunder and Zahnd 2019
 * (F-20); spread of days: Lamberts et al. 2004 (F-30), Sylta et al. 2016 (F-33); jackknife: Efron
 * and Tibshirani 1993, An Introduction to the Bootstrap, chapter 11. */
#ifndef PHYSIOLOGY_HEART_RESPONSE_H
#define PHYSIOLOGY_HEART_RESPONSE_H

#include "physiology/facts.h"
#include "recording/recording.h"

/* Raised whenever the same recording can give other sums. */
#define HEART_SUMS_METHOD "heart-sums/1"

enum {
    RESPONSE_TAUS = 7,
    RESPONSE_DEADS = 4,
    RESPONSE_NODES = RESPONSE_TAUS * RESPONSE_DEADS,
    RESPONSE_COLUMNS = 4, /* 1, F in W, work so far in Wh, heart rate */
    RESPONSE_STEP_S = 5   /* heart rate and F are means of so many seconds */
};

double response_tau_s(size_t node);  /* 20 to 110 s, on a scale of logarithms */
double response_dead_s(size_t node); /* 0, 5, 10, 15 s */

/* A ride's sums of products at one node: of steps with themselves, and of steps that follow one
 * another, so that any memory of the errors can be taken out afterwards. */
struct response_sums {
    double plain[RESPONSE_COLUMNS][RESPONSE_COLUMNS]; /* over all steps */
    double now[RESPONSE_COLUMNS][RESPONSE_COLUMNS];   /* over steps that have one before them */
    double then[RESPONSE_COLUMNS][RESPONSE_COLUMNS];  /* over those before */
    double both[RESPONSE_COLUMNS][RESPONSE_COLUMNS];  /* row: now, column: before */
};

struct response_ride {
    int64_t id;      /* as the caller names rides; later rides have later days, then greater ids */
    int64_t day;     /* since 1970 */
    size_t n;        /* steps */
    size_t n_pairs;  /* that follow one another */
    double mean_w;   /* of F, at the middle node */
    double spread_w; /* its standard deviation within the ride */
    struct response_sums at[RESPONSE_NODES];
};

enum response_unfit {
    RIDE_FITS,
    RIDE_NO_POWER,
    RIDE_NO_HEART,
    RIDE_TOO_SHORT, /* fewer usable steps than LIMIT_RESPONSE_RIDE_S */
};

/* A recording's sums.  Left out: the first LIMIT_RESPONSE_SETTLE_S and as long after any gap that
 * power can't be carried over; heart rate within 1 beat of maximal, where it can't rise further;
 * what trust has masked.
 *   max_heart_bpm   NAN = not known */
enum response_unfit response_ride_of(struct arena *arena, const struct recording *recording,
                                     double max_heart_bpm, const struct limits *limits,
                                     struct response_ride *out);

/* ---- the fit ---- */

enum response_end {
    RESPONSE_FITTED,
    RESPONSE_TOO_FEW,  /* fewer than LIMIT_RESPONSE_RIDES rides */
    RESPONSE_TOO_EVEN, /* power hardly changed within them: gain and rest can't be told apart */
    RESPONSE_NO_THRESHOLD,
    RESPONSE_ABSURD, /* heart rate that doesn't rise with power, or not as a heart does */
};
const char *response_end_name(enum response_end end); /* "fitted", "too-few", ... */

struct heart_response {
    enum response_end end; /* numbers are NAN unless RESPONSE_FITTED */
    size_t n_rides;
    int64_t first_day;
    int64_t last_day;
    double threshold_w; /* that drift and the priors are measured by */
    size_t node;        /* of tau and dead time */
    double tau_s;
    double dead_s;
    double gain_bpm_per_w;
    double gain_low; /* 90 % interval: jackknife over rides, and what the form itself may be off */
    double gain_high;
    double rest_bpm;        /* at no power, on a usual day */
    double drift_bpm_per_h; /* for each hour at threshold */
    double memory;          /* of the errors, from one step to the next */
    double noise_bpm;       /* of what is new in each step */
    double error_bpm;       /* a ride's own, after its day: from fits without it */
    double day_sd_bpm;      /* from day to day, drawn towards LIMIT_RESPONSE_DAY_SD_BPM */
    double alike;           /* how far a day is like the ride's before it, 0 to 1 */
    double trend_bpm;       /* of days, a day: drawn towards none */
    double trend_at;        /* the day on which that trend lies at usual */
    double trend_se_bpm;    /* a day */
    double *day_bpm; /* [n rides given] each against usual, by a fit without it; NAN: not used */
    double *day_se_bpm;
};

/* Fits to rides[n], in any order; those too short are passed over.  Pure.
 *   threshold_w   in force at the end of the window */
struct heart_response heart_response_fit(struct arena *arena, const struct response_ride rides[],
                                         size_t n, double threshold_w, const struct limits *limits);

/* What that power brings on a usual day.
 *   power_w  [n] each second, NAN = unknown: the last known goes on
 *   bpm, low, high   [n] filled; low and high: 9 days in 10 */
void heart_response_expect(const struct heart_response *response, const double power_w[], size_t n,
                           double bpm[], double low[], double high[]);

/* ---- a day against usual ---- */

enum against_usual {
    USUAL,
    USUAL_HIGHER, /* unusual: once in LIMIT_TODAY_RARITY rides by chance */
    USUAL_LOWER,
    USUAL_UNKNOWN, /* no response, too few past rides, or the ride isn't like them */
};

struct response_day {
    enum against_usual verdict;
    double bpm;       /* against usual */
    double trend_bpm; /* how far usual itself had moved by that day, taken out of it */
    double low;       /* 90 % interval of this ride's own offset */
    double high;
    double line_bpm;      /* how far off is unusual, either way */
    double pair_line_bpm; /* the same of the mean of two rides */
    double sd_bpm;        /* of days */
    size_t n_past;
};

/* A ride against a response that was fitted only on rides before it.  Usual is where the trend of
 * those days has come to; a line allows for what the mean of so many days, alike as they are, and
 * their trend are unsure of.
 *   with_before   the ride before it is looked at too, in the mean of both: two looks, each as much
 *                 rarer that both together keep to LIMIT_TODAY_RARITY */
struct response_day heart_response_day(const struct heart_response *response,
                                       const struct response_ride *ride, bool with_before,
                                       const struct limits *limits);

#endif
