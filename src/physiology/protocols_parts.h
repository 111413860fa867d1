/* physiology/protocols_parts.h: what the parts of protocols share.  Not for other rooms.
 *
 *   protocols.c         the list, the estimates, the peak of heart rate
 *   protocols_even.c    efforts held evenly: 60 min, 20 min, 2 x 8 min
 *   protocols_shape.c   ramp, several efforts, 3 min all-out */
#ifndef PHYSIOLOGY_PROTOCOLS_PARTS_H
#define PHYSIOLOGY_PROTOCOLS_PARTS_H

#include "physiology/protocols.h"

struct protocols_ride {
    struct arena *arena;
    const struct recording *recording;
    const struct rider_facts *facts;
    const struct limits *limits;
    const double *v; /* their values */
    int32_t n;
    const double *power_w;   /* [n] NAN unknown, 0 while paused */
    const double *heart_bpm; /* [n]; NULL where it can't be read */
    const double *sum_w;     /* [n + 1] of the known seconds before each */
    const int32_t *known;    /* [n + 1] how many they are */
};

/* Mean of the known seconds of [from, to), clipped to the ride; NAN when none is known. */
double protocols_mean(const struct protocols_ride *ride, int32_t from_s, int32_t to_s);

/* Usable share of [from, to). */
double protocols_known(const struct protocols_ride *ride, int32_t from_s, int32_t to_s);

/* Whether a span has a second in common with one of n others. */
bool protocols_touches(struct span span, const struct span others[], size_t n);

/* The hardest window of that length that touches none of the spans; false if there is none whose
 * power is known well enough. */
bool protocols_best(const struct protocols_ride *ride, int32_t length_s, const struct span taken[],
                    size_t n_taken, struct span *out);

/* The effort around a window: as far as power beside it stays near its mean. */
struct span protocols_widen(const struct protocols_ride *ride, struct span window);

struct test_effort protocols_effort(const struct protocols_ride *ride, struct span span);

/* Whether heart rate, or else power, shows that the effort was meant as a test.
 *   threshold_w  what the effort would make of the threshold */
bool protocols_was_meant(const struct protocols_ride *ride, const struct test_effort *effort,
                         double threshold_w);

void protocols_add_reason(struct protocol_test *test, const char *code, double value, double limit);

/* Whether heart rate at the end of an effort was near maximal, as a reason where it wasn't. */
void protocols_check_heart(const struct protocols_ride *ride, const struct test_effort *effort,
                           struct protocol_test *test);

/* The estimate: mean x a factor between two, its interval from their distance, the protocol's
 * standard deviation and the meter's precision. */
struct ranged protocols_estimate(const struct protocols_ride *ride, double mean_w, double low,
                                 double high, double sd_pct);

/* Each returns whether it is there; spans of `taken` are left alone. */
typedef bool protocols_finder(const struct protocols_ride *ride, const struct span taken[],
                              size_t n_taken, struct protocol_test *out);
protocols_finder protocols_find_hour;
protocols_finder protocols_find_twenty;
protocols_finder protocols_find_eights;
protocols_finder protocols_find_ramp;
protocols_finder protocols_find_many;
protocols_finder protocols_find_all_out;

#endif
