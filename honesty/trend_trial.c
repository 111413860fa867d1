/* honesty/trend_trial.c: weeks of one simulated rider. */
#include "honesty/trend_trial.h"

#include "honesty/outings.h"

#include <math.h>

enum { RIDES_A_WEEK = 4, RIDES_MOST = TREND_WEEKS_MOST * RIDES_A_WEEK, STREAM = 0xb7, METERS = 6 };

static const double OFFSET_COUNTS = 800.0;
static const double OFFSET_SD_COUNTS = 10.0;
static const double OFFSET_STEP_COUNTS = 300.0;

static const double meters[METERS] = { 1.0, 0.8, 0.9, 1.1, 1.2, 1.3 };

static const struct trend_cell cells[TREND_CELLS] = {
    { -12.0, TREND_NOTHING, 1.0 },     { -6.0, TREND_NOTHING, 1.0 },
    { 0.0, TREND_NOTHING, 1.0 },       { 6.0, TREND_NOTHING, 1.0 },
    { 12.0, TREND_NOTHING, 1.0 },      { 0.0, TREND_ANOTHER_METER, 0.8 },
    { 0.0, TREND_ANOTHER_METER, 0.9 }, { 0.0, TREND_ANOTHER_METER, 1.0 },
    { 0.0, TREND_ANOTHER_METER, 1.1 }, { 0.0, TREND_ANOTHER_METER, 1.2 },
    { 0.0, TREND_ANOTHER_METER, 1.3 }, { 0.0, TREND_ZERO_OFFSET, 0.8 },
    { 0.0, TREND_ZERO_OFFSET, 1.0 },   { 0.0, TREND_ZERO_OFFSET, 1.2 },
    { 0.0, TREND_ZERO_OFFSET, 1.3 },   { 0.0, TREND_NOTHING, 0.8 },
    { 0.0, TREND_NOTHING, 1.2 },
};

const struct trend_cell *trend_cell(int cell)
{
    return &cells[cell];
}

const char *trend_done_name(enum trend_done done)
{
    static const char *const names[TREND_DONE] = {
        [TREND_NOTHING] = "nothing that is seen",
        [TREND_ANOTHER_METER] = "another meter",
        [TREND_ZERO_OFFSET] = "another zero offset",
    };
    return names[done];
}

/* ---- the rider's rides, by meter ---- */

struct ride {
    bool is_later;
    double share; /* of the weeks, 0 .. 1 */
    double offset_counts;
    bool fits[METERS];
    struct response_ride sums[METERS]; /* of an earlier one only the first */
};

static void ride_out(const struct outing_rider *of, const struct outing *usual,
                     const struct limits *limits, struct ride *ride)
{
    for (int m = 0; m < (ride->is_later ? METERS : 1); m++) {
        struct arena *scratch = arena_open();
        struct outing outing = *usual;
        double max_bpm = (double)NAN;
        outing.scale = meters[m];
        const struct recording *recording = outing_ride(scratch, of, &outing, limits, &max_bpm);
        ride->fits[m] = outing_sums(scratch, recording, max_bpm, &outing, limits, &ride->sums[m]);
        arena_close(scratch);
    }
}

static struct ride *ride_weeks(struct arena *arena, const struct trend_case *c,
                               const struct outing_rider *of, const struct limits *limits)
{
    struct ride *rides = ARENA_ARRAY(arena, struct ride, RIDES_MOST);
    struct outing_days days = outing_days_begin(c->seed);
    struct simulated_random counts = simulated_random_begin(c->seed, STREAM);
    const int all = c->weeks * RIDES_A_WEEK;
    for (int number = 0; number < all; number++) {
        struct ride *ride = &rides[number];
        const struct outing outing = { .number = number,
                                       .day = outing_day(RIDES_A_WEEK, number),
                                       .day_bpm = outing_next_day_bpm(of, &days) };
        ride->is_later = number >= all / 2;
        ride->share = (double)(outing.day - outing_day(RIDES_A_WEEK, 0)) / (7.0 * c->weeks);
        ride->offset_counts =
            round(OFFSET_COUNTS + OFFSET_SD_COUNTS * simulated_random_normal(&counts));
        ride_out(of, &outing, limits, ride);
    }
    return rides;
}

/* ---- one cell ---- */

enum { COLUMN_ONE, COLUMN_HEART = RESPONSE_COLUMNS - 1 };

typedef double table[RESPONSE_COLUMNS][RESPONSE_COLUMNS];

/* The sums of the same steps with so many beats more: heart becomes heart + bpm times the column of
 * ones, in the rows and then in the columns. */
static void add_beats(table at, double bpm)
{
    for (size_t j = 0; j < RESPONSE_COLUMNS; j++) {
        at[COLUMN_HEART][j] += bpm * at[COLUMN_ONE][j];
    }
    for (size_t i = 0; i < RESPONSE_COLUMNS; i++) {
        at[i][COLUMN_HEART] += bpm * at[i][COLUMN_ONE];
    }
}

static void add_beats_to(struct response_ride *ride, double bpm)
{
    for (size_t node = 0; node < RESPONSE_NODES; node++) {
        add_beats(ride->at[node].plain, bpm);
        add_beats(ride->at[node].now, bpm);
        add_beats(ride->at[node].then, bpm);
        add_beats(ride->at[node].both, bpm);
    }
}

static int meter_of(double step)
{
    int m = 0;
    while (m + 1 < METERS && fabs(meters[m] - step) > 1e-9) {
        m++;
    }
    return m;
}

struct weeks {
    struct response_ride *sums; /* [n] */
    struct past_ride *rides;    /* [n] */
    size_t n;
};

static struct weeks weeks_of(struct arena *arena, const struct ride rides[], int all,
                             const struct trend_cell *cell)
{
    struct weeks out = { ARENA_ARRAY(arena, struct response_ride, RIDES_MOST),
                         ARENA_ARRAY(arena, struct past_ride, RIDES_MOST), 0 };
    for (int number = 0; number < all; number++) {
        const struct ride *ride = &rides[number];
        const int m = ride->is_later ? meter_of(cell->step) : 0;
        if (!ride->fits[m]) {
            continue;
        }
        struct response_ride *sums = &out.sums[out.n];
        struct past_ride *past = &out.rides[out.n++];
        *sums = ride->sums[m];
        add_beats_to(sums, cell->bpm * ride->share);
        *past = past_ride_begin(sums->id, sums->day);
        past->felt_w = sums->mean_w;
        past->meter = ride->is_later && cell->done == TREND_ANOTHER_METER ? 2 : 1;
        past->zero_offset =
            ride->offset_counts +
            (ride->is_later && cell->done == TREND_ZERO_OFFSET ? OFFSET_STEP_COUNTS : 0.0);
    }
    return out;
}

static struct trend_outcome outcome_of(const struct trend_cell *cell, int weeks,
                                       const struct base_trend *trend)
{
    const double in_four_weeks = cell->bpm * 4.0 / weeks;
    const struct reading *reading = &trend->reading;
    const struct meter_shift *shift = &trend->shift;
    const double step_pct = 100.0 * (cell->step - 1.0);
    return (struct trend_outcome){
        .is_read = true,
        .verdict = reading->verdict,
        .why_not = reading->cannot_because.count > 0 ? reading->cannot_because.items[0].code : NULL,
        .is_known = !isnan(reading->low),
        .is_held = reading->low <= in_four_weeks && in_four_weeks <= reading->high,
        .shift = shift->state,
        .is_tried = !isnan(shift->pct),
        .is_step_held = shift->low_pct <= step_pct && step_pct <= shift->high_pct,
    };
}

static struct trend_outcome try_cell(const struct trend_case *c, const struct outing_rider *of,
                                     const struct ride rides[], const struct trend_cell *cell,
                                     const struct limits *limits)
{
    struct arena *arena = arena_open();
    struct trend_outcome out = { .verdict = VERDICT_CANNOT_TELL, .why_not = "no-response" };
    struct weeks weeks = weeks_of(arena, rides, c->weeks * RIDES_A_WEEK, cell);
    const struct heart_response response =
        heart_response_fit(arena, weeks.sums, weeks.n, outing_threshold_w(of), limits);
    if (response.end == RESPONSE_FITTED) {
        for (size_t i = 0; i < weeks.n; i++) {
            weeks.rides[i].day_bpm = response.day_bpm[i];
        }
        const struct rider_history history = {
            .today = outing_day(RIDES_A_WEEK, c->weeks * RIDES_A_WEEK),
            .power_since_day = INT64_MIN,
            .heart = { response.threshold_w, response.gain_bpm_per_w, response.rest_bpm,
                       response.day_sd_bpm, true },
            .rides = weeks.rides,
            .n_rides = weeks.n,
        };
        struct reading progress = reading_begin(QUESTION_PROGRESS);
        struct base_trend trend;
        progress.verdict = VERDICT_NO_CLEAR_CHANGE; /* bests hold: a fall counts */
        const struct base_trend_beside beside = { &progress, NULL };
        base_trend_read(arena, &history, &beside, limits, &trend);
        out = outcome_of(cell, c->weeks, &trend);
    }
    arena_close(arena);
    return out;
}

struct trend_outcomes trend_trial(const struct trend_case *c, const struct limits *limits)
{
    struct arena *arena = arena_open();
    const struct outing_rider of = { c->seed, RIDES_A_WEEK, c->second };
    const struct ride *rides = ride_weeks(arena, c, &of, limits);
    struct trend_outcomes out;
    for (int cell = 0; cell < TREND_CELLS; cell++) {
        out.of[cell] = try_cell(c, &of, rides, &cells[cell], limits);
    }
    arena_close(arena);
    return out;
}
