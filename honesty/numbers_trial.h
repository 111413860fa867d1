/* honesty/numbers_trial.h: what is fitted against what was put in: a rider's heart response, by
 * both simulators, and critical power, from efforts whose curve is known.
 *
 * A heart of the second simulator has no gain and no time constant of its own (two compartments, a
 * gain that bends).  So the truth is asked of both in the same way, by steps of power on a usual
 * day without heat:
 *
 *     beats |        .------.        level: settled at 70 % of threshold
 *           |       /        \       gain:  settled at 90 % less at 50 %, for each watt
 *           |__..--'          '--    lag:   seconds to 63.2 % of the way, mean of up and down, as a
 *           50 %     90 %    50 %           first-order heart has them after dead time and tau */
#ifndef HONESTY_NUMBERS_TRIAL_H
#define HONESTY_NUMBERS_TRIAL_H

#include "limits/limits.h"

#include <stdbool.h>
#include <stdint.h>

struct heart_truth {
    double threshold_w;
    double level_bpm; /* on a day that is neither high nor low */
    double gain_bpm_per_w;
    double lag_s; /* as the device writes it */
};
struct heart_truth heart_truth_of(uint64_t seed, bool second);

enum { NUMBERS_WINDOWS = 3 };
int numbers_window(int which); /* rides: 6, 12, 36, four a week */

struct response_recovered {
    bool is_fitted;
    bool gain_held;      /* by its 90 % interval */
    double gain_ratio;   /* found less true, as share of the true one */
    double lag_s;        /* found less true */
    double level_bpm;    /* the same, the days of its rides taken as they were */
    double days_bpm;     /* root of the mean square: each day against the others, found less true */
    double error_bpm;    /* what the fit says of its error on rides not seen */
    double new_ride_bpm; /* and what it was on the ride after them, its own day taken out */
};

struct responses_recovered {
    struct response_recovered at[NUMBERS_WINDOWS];
};

/* The rides of one rider, the newest so many of them. */
struct responses_recovered response_recover(uint64_t seed, bool second,
                                            const struct limits *limits);

/* ---- critical power ---- */

struct power_case {
    int efforts;    /* 3 to 5, of 3 to 20 min */
    double error;   /* of one effort, as share of its power: one sd */
    bool with_peak; /* the true curve has a highest power, 2.5 to 4.5 times critical power */
};
enum { POWER_CASES = 7 };
const struct power_case *power_case_of(int which);

struct power_recovered {
    bool is_known;
    bool cp_held; /* by the 90 % interval */
    bool w_held;
    double cp_ratio; /* found less true, as share of the true one */
    double w_ratio;
};
struct power_recovered power_recover(uint64_t seed, const struct power_case *of,
                                     const struct limits *limits);

#endif
