/* honesty/trust_trial.h: one ride with a known fault, or with none, and what was found in it. */
#ifndef HONESTY_TRUST_TRIAL_H
#define HONESTY_TRUST_TRIAL_H

#include "coaching/reading.h"
#include "honesty/reps_trial.h"
#include "simulated/faults.h"

#include <stdint.h>

#define TRUST_CODES 19

/* The code of row i of the table of docs/measures.md; the last is "other": any code besides. */
const char *trust_code(size_t i);

enum { TRUST_NO_FAULT = -1 };

struct trust_case {
    uint64_t seed;
    int fault;   /* enum simulated_fault, or TRUST_NO_FAULT */
    double size; /* see simulated_fault_add_sized; NAN = by seed */
    enum simulated_session session;
    enum reps_place place;
};

struct trust_outcome {
    double hours;                   /* of riding */
    bool put;                       /* the ride had a place for the fault */
    bool found;                     /* a finding with the fault's code where it was put */
    struct span touched;            /* where it was put */
    int findings[TRUST_CODES];      /* of each code, that of the fault too */
    struct span first[TRUST_CODES]; /* of the first finding of each code */
};

/* The session and place that a fault is tried on, in turn by seed: efforts of a minute and more
 * for the trainer's hand, an hour for the balance, any for the rest; half of them outdoors. */
struct trust_case trust_case_of(int fault, double size, uint64_t seed);

struct trust_outcome trust_trial(const struct trust_case *c, const struct limits *limits);

/* A fault put into a ride that somebody rode; heart rate above maximal and the trainer's hand need
 * what no file says and aren't put.  Not put either where power is unknown beside the place:
 * between missing seconds nobody could tell. */
struct trust_outcome trust_trial_in_real(const struct recording *real, enum simulated_fault fault,
                                         uint64_t seed, const struct limits *limits);

/* Findings of the recording by code, and the reasons that only the reading gives. */
void trust_count(const struct recording *recording, const struct ride_readings *readings,
                 struct trust_outcome *out);

#endif
