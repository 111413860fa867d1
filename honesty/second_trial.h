/* honesty/second_trial.h: the trials of the other files, on rides of the second simulator. */
#ifndef HONESTY_SECOND_TRIAL_H
#define HONESTY_SECOND_TRIAL_H

#include "honesty/base_trial.h"
#include "honesty/easy_trial.h"
#include "honesty/reps_trial.h"
#include "honesty/second/sessions.h"
#include "honesty/trust_trial.h"

/* The quirk that a base hour is recorded with: each alone, none, or as devices are drawn. */
enum second_quirk {
    SECOND_QUIRK_NONE,
    SECOND_QUIRK_REPEATS, /* each watt value written twice, heart rate four times */
    SECOND_QUIRK_COARSE,  /* watts in steps of 5 */
    SECOND_QUIRK_LATE,    /* heart rate over 16 beats, 5 s late */
    SECOND_QUIRK_GAPS,    /* 8 gaps of 1-3 s an hour, cadence falling to 0 as often */
    SECOND_QUIRK_CHANGES, /* rows only when something changed */
    SECOND_QUIRKS
};
const char *second_quirk_name(enum second_quirk quirk);
void second_quirk_set(struct second_plan *plan, enum second_quirk quirk);

struct second_base_case {
    uint64_t seed;
    double drift_bpm;
    double ease; /* power at the end of the hour, of what it was; 1 = even */
    enum second_place place;
    enum second_quirk quirk;
};

struct base_outcome second_base_trial(const struct second_base_case *c,
                                      const struct limits *limits);

struct easy_outcome second_easy_trial(uint64_t seed, enum second_place place,
                                      const struct limits *limits);

struct reps_outcome second_reps_trial(uint64_t seed, enum second_session session,
                                      enum second_place place, enum work_kind asked,
                                      const struct limits *limits);

/* Findings of a ride without a fault, as devices are drawn. */
struct trust_outcome second_clean_trial(uint64_t seed, enum second_session session,
                                        enum second_place place, const struct limits *limits);

/* A fault put into such a ride. */
struct trust_outcome second_fault_trial(uint64_t seed, enum simulated_fault fault,
                                        const struct limits *limits);

#endif
