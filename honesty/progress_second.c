/* honesty/progress_second.c: efforts that scatter otherwise than those of progress_trial.c.
 *
 * There: parts that are normal, the same for every duration.  Here: one day in the same few weeks
 * is like the next (memory of ten days), days and pacing have heavy tails, short efforts scatter
 * more than long ones, and what is left undone is now nothing, now much.  Both come to the
 * published typical errors that limits change_error_* name: 3 % of chance efforts, 1.9 % of tests.
 */
#include "honesty/progress_trial.h"

#include "honesty/second/random.h"

#include <math.h>

enum { STREAM = 0x81, WINDOW_DAYS = 42, DURATIONS = 3 };

static const int32_t durations[DURATIONS] = { 300, 600, 1200 };
static const double more_when_short[DURATIONS] = { 1.15, 1.0, 0.9 };

/* Shares of the variance. */
static const double FORM = 0.30;
static const double DAY = 0.35;
static const double PACING = 0.25;
static const double UNDONE = 0.10;

struct form {
    int64_t day;
    double at;
};

static double form_on(struct form *form, struct second_random *r, int64_t day)
{
    const double keeps = form->day == 0 ? 0.0 : exp(-(double)(day - form->day) / 10.0);
    form->at = keeps * form->at + sqrt(1.0 - keeps * keeps) * second_normal(r);
    form->day = day;
    return form->at;
}

size_t progress_second_efforts(const struct progress_case *c,
                               struct progress_effort out[PROGRESS_MOST])
{
    struct second_random r = second_random_begin(c->seed, STREAM);
    struct form form = { 0 };
    const double size =
        (c->tests ? 0.019 : 0.030) * exp(0.2 * second_normal(&r)) * (c->first_year ? 1.3 : 1.0);
    size_t n = 0;
    for (int window = 0; window < 2; window++) {
        const int days = window == 0 ? c->n_before : c->n_recent;
        for (int i = 0; i < days; i++) {
            const double part = ((double)i + second_unit(&r)) / days;
            const int64_t day = progress_window(window) + (int64_t)(part * WINDOW_DAYS);
            const double shared =
                sqrt(FORM) * form_on(&form, &r, day) + sqrt(DAY) * second_heavy(&r);
            const int one = c->mix == PROGRESS_MIXED ? (int)(3.0 * second_unit(&r)) : 2;
            for (int k = 0; k < DURATIONS; k++) {
                /* Nothing is left undone in two of three; of variance 1 together. */
                const double undone =
                    second_chance(&r, 1.0 / 3.0) ? -1.34 * log(1.0 - second_unit(&r)) : 0.0;
                const double off = sqrt(PACING) * second_heavy(&r) - sqrt(UNDONE) * undone;
                if (k == one || c->mix == PROGRESS_TOGETHER) {
                    const double all = size * more_when_short[k] * (shared + off);
                    out[n++] =
                        (struct progress_effort){ .day = day,
                                                  .duration_s = durations[k],
                                                  .ratio = progress_truth(c, day) * exp(all) };
                }
            }
        }
    }
    return n;
}
