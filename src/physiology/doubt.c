/* physiology/doubt.c: heart rate against what this rider's heart would have done. */
#include "physiology/doubt.h"

#include <math.h>

static const enum channel HEART = CHANNEL_HEART_RATE;

enum { LATE_STEP_S = 5 }; /* as the response is fitted */

struct ride {
    size_t n;
    double *power_w; /* [n] NAN = unknown; 0 while the timer stood */
    double *heart_bpm;
    double *expected_bpm; /* [n] NAN where power was unknown until shortly before */
    double *least_bpm; /* [n] the same of a heart that answers as fast as any, if that is lower */
    const struct limits *limits;
};

/* ---- what was to be expected ---- */

static void expect(struct arena *arena, const struct recording *recording,
                   const struct heart_response *response, double max_heart_bpm, struct ride *ride)
{
    const size_t n = ride->n;
    double *low = ARENA_RAW(arena, double, n);
    double *high = ARENA_RAW(arena, double, n);
    ride->expected_bpm = ARENA_RAW(arena, double, n);
    ride->least_bpm = ARENA_RAW(arena, double, n);
    /* A heart doesn't answer a sprint as it answers a minute. */
    const double most_w = ride->limits->value[LIMIT_DOUBT_CLIP_RATIO] * response->threshold_w;
    for (size_t t = 0; t < n; t++) {
        if (recording->paused[t] != 0) {
            ride->power_w[t] = 0.0;
        }
        ride->power_w[t] = fmin(ride->power_w[t], most_w);
        if (!mask_is_usable(recording->mask[CHANNEL_POWER][t]) && recording->paused[t] == 0) {
            ride->power_w[t] = (double)NAN; /* fmin gives the other of a NAN */
        }
    }
    heart_response_expect(response, ride->power_w, n, ride->expected_bpm, low, high);
    /* Hearts fall faster than they rise, as on a descent, and one lag stands for both. */
    struct heart_response quick = *response;
    quick.tau_s = response_tau_s(0);
    quick.dead_s = response_dead_s(0);
    heart_response_expect(&quick, ride->power_w, n, ride->least_bpm, low, high);
    /* Unknown power is carried on for a while; after that heart rate must settle again. */
    const double carried_s = ride->limits->value[LIMIT_RESPONSE_GAP_S];
    const double settle_s = ride->limits->value[LIMIT_DOUBT_FROM_S];
    double gap_s = 0.0;
    double since_s = settle_s;
    for (size_t t = 0; t < n; t++) {
        gap_s = isnan(ride->power_w[t]) ? gap_s + 1.0 : 0.0;
        since_s = gap_s > carried_s ? 0.0 : since_s + 1.0;
        ride->expected_bpm[t] = since_s < settle_s
                                    ? (double)NAN
                                    : fmin(ride->expected_bpm[t],
                                           isnan(max_heart_bpm) ? (double)INFINITY : max_heart_bpm);
        ride->least_bpm[t] = isnan(ride->expected_bpm[t])
                                 ? (double)NAN
                                 : fmin(ride->least_bpm[t], ride->expected_bpm[t]);
    }
}

/* ---- findings ---- */

static void mask(struct recording *recording, struct span span)
{
    for (int32_t t = span.from_s; t < span.to_s; t++) {
        if (mask_is_usable(recording->mask[HEART][t])) {
            recording->mask[HEART][t] = MASK_ARTEFACT;
        }
    }
}

static void add_masked(struct arena *arena, struct recording *recording, const char *code,
                       struct span span, double most_bpm, double seconds, double count)
{
    struct finding *finding =
        recording_add_finding(arena, recording, code, (int)HEART, EFFECT_MASKED);
    finding->whole_ride = false;
    finding->span = span;
    finding_add_number(finding, "seconds", seconds);
    finding_add_number(finding, "count", count);
    finding_add_number(finding, "off_bpm", most_bpm);
}

/* ---- far too low ---- */

static void find_low(struct arena *arena, struct recording *recording, const struct ride *ride)
{
    const double *v = ride->limits->value;
    const size_t from = (size_t)v[LIMIT_DOUBT_FROM_S];
    struct span all = { 0, 0 };
    double most = 0.0;
    double seconds = 0.0;
    double count = 0.0;
    for (size_t t = from; t < ride->n;) {
        const size_t start = t;
        double run_most = 0.0;
        while (t < ride->n && ride->least_bpm[t] - ride->heart_bpm[t] > v[LIMIT_DOUBT_LOW_BPM]) {
            run_most = fmax(run_most, ride->least_bpm[t] - ride->heart_bpm[t]);
            t++;
        }
        if ((double)(t - start) >= v[LIMIT_DOUBT_LOW_S]) {
            const struct span run = { (int32_t)start, (int32_t)t };
            mask(recording, run);
            all = count > 0.0 ? (struct span){ all.from_s, run.to_s } : run;
            most = fmax(most, run_most);
            seconds += (double)(t - start);
            count += 1.0;
        }
        t += t == start;
    }
    if (count > 0.0) {
        add_masked(arena, recording, "heart-low", all, most, seconds, count);
    }
}

/* ---- a strap that was dry at first ---- */

/* Whether the 30-s means of power stay within one another, from some time before `from` on: what
 * changed just before it the heart is still answering. */
static bool is_same_power(const struct ride *ride, double threshold_w, size_t from, size_t to)
{
    const double *v = ride->limits->value;
    const double most_w = v[LIMIT_DOUBT_SAME_PCT] / 100.0 * threshold_w;
    const size_t mean_s = (size_t)v[LIMIT_DOUBT_MEAN_S];
    const size_t before_s = (size_t)v[LIMIT_DOUBT_BEFORE_S];
    double lowest = (double)INFINITY;
    double highest = 0.0;
    for (size_t start = from < before_s ? 0 : from - before_s; start + mean_s <= to; start++) {
        double sum = 0.0;
        for (size_t t = start; t < start + mean_s; t++) {
            sum += ride->power_w[t];
        }
        if (isnan(sum)) {
            return false;
        }
        lowest = fmin(lowest, sum / (double)mean_s);
        highest = fmax(highest, sum / (double)mean_s);
    }
    return highest > 0.0 && highest - lowest <= most_w;
}

static void find_dry(struct arena *arena, struct recording *recording, const struct ride *ride,
                     double threshold_w)
{
    const double *v = ride->limits->value;
    const size_t until = (size_t)v[LIMIT_DOUBT_DRY_UNTIL_S];
    const size_t within = (size_t)v[LIMIT_DOUBT_DRY_FALL_S];
    double most = 0.0;
    size_t first = ride->n;
    for (size_t t = 0; t < ride->n && t < until; t++) {
        const double above = ride->heart_bpm[t] - ride->expected_bpm[t];
        if (!(above > v[LIMIT_DOUBT_DRY_BPM])) {
            continue;
        }
        first = first < t ? first : t;
        most = fmax(most, above);
        size_t end = t;
        for (size_t s = t + 1; s <= t + within && s < ride->n; s++) {
            end = ride->heart_bpm[s] < ride->heart_bpm[end] ? s : end;
        }
        if (ride->heart_bpm[t] - ride->heart_bpm[end] > v[LIMIT_DOUBT_DRY_FALL_BPM] &&
            is_same_power(ride, threshold_w, t, end)) {
            /* From the start: how much of it the strap made is not to be told. */
            const struct span span = { 0, (int32_t)end };
            mask(recording, span);
            add_masked(arena, recording, "dry-strap", span, most, (double)end, 1.0);
            return;
        }
    }
}

/* ---- late ---- */

struct steps {
    size_t n;
    double *heart_bpm; /* [n] means; NAN where not all seconds are usable */
    double *f_w;
    double *work_wh;
};

/* Squared error of heart rate about 1, F and work, by least squares, and the gain; NAN where they
 * can't be told apart. */
static double squares_of(const struct steps *steps, double *gain)
{
    double a[3][4] = { { 0.0 } };
    double yy = 0.0;
    for (size_t i = 0; i < steps->n; i++) {
        const double z[4] = { 1.0, steps->f_w[i], steps->work_wh[i], steps->heart_bpm[i] };
        if (!isfinite(z[1]) || !isfinite(z[3])) {
            continue;
        }
        for (size_t j = 0; j < 3; j++) {
            for (size_t k = 0; k < 4; k++) {
                a[j][k] += z[j] * z[k];
            }
        }
        yy += z[3] * z[3];
    }
    for (size_t step = 0; step < 3; step++) {
        if (!(a[step][step] > 1e-9)) {
            return (double)NAN;
        }
        yy -= a[step][3] * a[step][3] / a[step][step];
        for (size_t i = step + 1; i < 3; i++) {
            const double factor = a[i][step] / a[step][step];
            for (size_t k = step; k < 4; k++) {
                a[i][k] -= factor * a[step][k];
            }
        }
    }
    *gain = (a[1][3] - a[1][2] * a[2][3] / a[2][2]) / a[1][1];
    return fmax(yy, 0.0);
}

static void lag_into(const struct ride *ride, double tau_s, size_t dead, struct steps *steps)
{
    const double share = 1.0 - exp(-1.0 / tau_s);
    double f = (double)NAN;
    double last = 0.0;
    double sum = 0.0;
    for (size_t t = 0; t < steps->n * LATE_STEP_S; t++) {
        const double power = ride->power_w[t >= dead ? t - dead : 0];
        last = isnan(power) ? last : power;
        f = isnan(f) ? last : f + (last - f) * share;
        sum += f;
        if (t % LATE_STEP_S == LATE_STEP_S - 1) {
            steps->f_w[t / LATE_STEP_S] = sum / LATE_STEP_S;
            sum = 0.0;
        }
    }
}

/* Heart rate and work by steps; every dead time is held against the same of them. */
static struct steps steps_of(struct arena *arena, const struct ride *ride)
{
    const double *v = ride->limits->value;
    struct steps steps = { .n = ride->n / LATE_STEP_S };
    steps.heart_bpm = ARENA_ARRAY(arena, double, steps.n + 1);
    steps.f_w = ARENA_ARRAY(arena, double, steps.n + 1);
    steps.work_wh = ARENA_ARRAY(arena, double, steps.n + 1);
    const double from_s = v[LIMIT_DOUBT_FROM_S] + v[LIMIT_DOUBT_LATE_LONGEST_S];
    double work = 0.0;
    for (size_t i = 0; i < steps.n; i++) {
        double sum = 0.0;
        for (size_t t = i * LATE_STEP_S; t < (i + 1) * LATE_STEP_S; t++) {
            work += isnan(ride->power_w[t]) ? 0.0 : ride->power_w[t] / 3600.0;
            sum += isnan(ride->expected_bpm[t]) ? (double)NAN : ride->heart_bpm[t];
        }
        steps.work_wh[i] = work;
        steps.heart_bpm[i] = (double)(i * LATE_STEP_S) < from_s ? (double)NAN : sum / LATE_STEP_S;
    }
    return steps;
}

static double spread_of(const struct steps *steps)
{
    double n = 0.0;
    double sum = 0.0;
    double squares = 0.0;
    for (size_t i = 0; i < steps->n; i++) {
        if (isfinite(steps->heart_bpm[i])) {
            n += 1.0;
            sum += steps->f_w[i];
            squares += steps->f_w[i] * steps->f_w[i];
        }
    }
    return n < 2.0 ? 0.0 : sqrt(fmax(squares / n - sum / n * sum / n, 0.0));
}

static double usable_s(const struct steps *steps)
{
    double n = 0.0;
    for (size_t i = 0; i < steps->n; i++) {
        n += isfinite(steps->heart_bpm[i]) ? LATE_STEP_S : 0.0;
    }
    return n;
}

static struct heart_lateness lateness(struct arena *arena, const struct ride *ride,
                                      const struct heart_response *response)
{
    const double *v = ride->limits->value;
    struct heart_lateness out = { false, (double)NAN, (double)NAN };
    struct steps steps = steps_of(arena, ride);
    double gain = 0.0;
    lag_into(ride, response->tau_s, (size_t)response->dead_s, &steps);
    const double usual = squares_of(&steps, &gain);
    if (usable_s(&steps) < v[LIMIT_RESPONSE_RIDE_S] || !(usual > 0.0) ||
        spread_of(&steps) < v[LIMIT_RESPONSE_SPREAD_RATIO] * response->threshold_w) {
        return out;
    }
    double best = (double)INFINITY;
    const size_t longest = (size_t)v[LIMIT_DOUBT_LATE_LONGEST_S];
    for (size_t dead = 0; dead <= longest; dead += LATE_STEP_S) {
        lag_into(ride, response->tau_s, dead, &steps);
        const double squares = squares_of(&steps, &gain);
        if (squares < best && gain > 0.0) {
            best = squares;
            out = (struct heart_lateness){ true, (double)dead, squares / usual };
        }
    }
    return out;
}

static void find_late(struct arena *arena, struct recording *recording, const struct ride *ride,
                      const struct heart_response *response)
{
    const double *v = ride->limits->value;
    const struct heart_lateness late = lateness(arena, ride, response);
    if (!late.known || late.dead_s <= v[LIMIT_DOUBT_LATE_S] + response->dead_s ||
        late.gain_ratio > v[LIMIT_DOUBT_LATE_FIT_RATIO]) {
        return;
    }
    struct finding *finding =
        recording_add_finding(arena, recording, "late-heart", (int)HEART, EFFECT_NOTED);
    finding->whole_ride = true;
    finding_add_number(finding, "dead_s", late.dead_s);
    finding_add_number(finding, "usual_s", response->dead_s);
}

/* ---- all of them ---- */

/* False without what it needs. */
static bool begin(struct arena *arena, const struct recording *recording,
                  const struct heart_response *response, double max_heart_bpm,
                  const struct limits *limits, struct ride *ride)
{
    *ride = (struct ride){ .n = recording->n_seconds, .limits = limits };
    if (response == NULL || response->end != RESPONSE_FITTED || !recording->is_ride ||
        recording->n_seconds == 0 || recording->value[CHANNEL_POWER] == NULL ||
        recording->value[HEART] == NULL) {
        return false;
    }
    ride->power_w = recording_series(arena, recording, CHANNEL_POWER);
    ride->heart_bpm = recording_series(arena, recording, HEART);
    expect(arena, recording, response, max_heart_bpm, ride);
    return true;
}

struct heart_lateness doubt_lateness(struct arena *arena, const struct recording *recording,
                                     const struct heart_response *response,
                                     const struct limits *limits)
{
    struct ride ride;
    return begin(arena, recording, response, (double)NAN, limits, &ride)
               ? lateness(arena, &ride, response)
               : (struct heart_lateness){ false, (double)NAN, (double)NAN };
}

void doubt_check(struct arena *arena, struct recording *recording,
                 const struct heart_response *response, double max_heart_bpm,
                 const struct limits *limits)
{
    struct arena *scratch = arena_open();
    struct ride ride;
    if (begin(scratch, recording, response, max_heart_bpm, limits, &ride)) {
        find_dry(arena, recording, &ride, response->threshold_w);
        ride.heart_bpm = recording_series(scratch, recording, HEART); /* what is left */
        find_low(arena, recording, &ride);
        ride.heart_bpm = recording_series(scratch, recording, HEART);
        find_late(arena, recording, &ride, response);
    }
    arena_close(scratch);
}

struct recording *doubt_checked(struct arena *arena, const struct recording *recording,
                                const struct heart_response *response, double max_heart_bpm,
                                const struct limits *limits)
{
    struct recording *copy = arena_copy(arena, recording, sizeof *recording);
    const uint8_t *mask = recording->mask[HEART];
    copy->mask[HEART] = mask == NULL ? NULL : arena_copy(arena, mask, recording->n_seconds);
    copy->findings = ARENA_ARRAY(arena, struct finding, recording->n_findings + 1);
    copy->findings_capacity = recording->n_findings + 1;
    for (size_t i = 0; i < recording->n_findings; i++) {
        copy->findings[i] = recording->findings[i];
    }
    doubt_check(arena, copy, response, max_heart_bpm, limits);
    return copy;
}
