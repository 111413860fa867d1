/* physiology/w_balance.h: how much of the work above critical power is left, second by second.
 *
 *   W'  |---.        .-.
 *       |    \   _.-'   \   _.-      spent above CP, joule for joule;
 *       |     \.'        \.'         filled again below it, faster the further below and, really,
 *   0   +---------------------       faster at first and slower later than either form has it
 *
 * Two forms, and the truth may lie outside both: so what is left is said as a range, with "about".
 * A range that goes below nought says that CP or W' is wrong, never anything about the rider.
 * Sources: differential form: Skiba et al. 2015, Eur J Appl Physiol 115, 703-713; integral form and
 * its time constant: Skiba et al. 2012, Med Sci Sports Exerc 44, 1526-1532 (constants from memory);
 * how real recovery differs: Chorley et al. 2022 (F-71), Caen et al. 2021 (F-72). */
#ifndef PHYSIOLOGY_W_BALANCE_H
#define PHYSIOLOGY_W_BALANCE_H

#include "base/arena.h"
#include "limits/limits.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum w_form {
    W_DIFFERENTIAL, /* recovery in proportion to what is missing and to how far below CP */
    W_INTEGRAL,     /* every joule spent comes back with one time constant for the whole ride */
    W_FORMS
};

/* What a rider has; intervals may be NAN, then only the middle is used. */
struct w_rider {
    double cp_w;
    double cp_low_w;
    double cp_high_w;
    double w_prime_j;
    double w_prime_low_j;
    double w_prime_high_j;
};

/* Time constant of the integral form for a mean of the power below CP that lies `below_w` under
 * it: 546 exp(-0.01 below) + 316 s. */
double w_balance_tau_s(double below_w);

/* One form with one CP and W', from a full W'.
 *   power_w  [n] mean power of each second; NAN = unknown: nothing is spent nor comes back
 *   left_j   [n] filled with what is left at the end of each second; below 0 too */
void w_balance_trace(enum w_form form, double cp_w, double w_prime_j, const double power_w[],
                     size_t n, double left_j[]);

struct w_balance {
    size_t n;
    double *low_j; /* [n] the least and the most that the forms give, with CP and W' in the middle
                      and at the two ends of their intervals that belong together (a higher CP
                      goes with a smaller W') */
    double *high_j;
    double *middle_j;   /* [n] mean of the two forms with CP and W' in the middle */
    int32_t least_at_s; /* where the middle is least */
    double least_j;
    double least_low_j; /* least of low_j, and of high_j */
    double least_high_j;
    double unknown_ratio; /* share of seconds without power */
    bool is_known;        /* false: no CP or W', no seconds, or more unknown ones than
                             LIMIT_W_BALANCE_UNKNOWN_RATIO; the arrays are then NULL and the rest NAN */
    bool is_wrong;        /* even the highest goes below nought: CP or W' is wrong */
};

/* The range for a ride, or for a session that was drafted.  Arrays live in the arena. */
struct w_balance w_balance_read(struct arena *arena, const struct w_rider *rider,
                                const double power_w[], size_t n, const struct limits *limits);

/* Work above CP from second `from` to before `to`, in J: what a rep took. */
double w_balance_cost_j(double cp_w, const double power_w[], size_t from, size_t to);

#endif
