/* tests/recordings/test_gpx_files.c: real tracks against facts that another XML reader gave. */
#include "check.h"

#include "recording/recording.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* facts.csv of the shared recordings: GPX by the XML parser of Python's standard library, FIT by a
 * decoder from outside; means are printed there with two decimals. */
static const double PRINTED = 0.00501;

/* Our value where the facts' is not what a coach should be told. */
static const struct {
    const char *file;
    const char *column;
    double ours;
    const char *why;
} differences[] = {
    { "odd/gpx-fractional-seconds.gpx", "duration_s", 1,
      "the facts cut the fraction off; 0.994 s is 1 s on a grid of whole seconds" },
};

static bool read_shared(struct arena *arena, const char *file, struct recordings *out,
                        struct error *err)
{
    const struct bytes bytes = check_shared_file(arena, arena_format(arena, "recordings/%s", file));
    const struct read_options options = { .file = "x.gpx" };
    const struct limits limits = limits_default();
    return recording_read(arena, bytes, &options, &limits, out, err);
}

static const struct recording *read_one(struct arena *arena, const char *file)
{
    struct recordings out = { 0 };
    struct error err = { 0 };
    if (!read_shared(arena, file, &out, &err)) {
        print_error("# %s: %s\n", file, err.message);
        fail();
    }
    check_integer(file, (int64_t)out.count, 1);
    check_text(file, out.damage, NULL);
    return out.items[0];
}

static double wanted(const struct table *facts, size_t row, const char *column)
{
    const char *file = check_cell(facts, row, "file");
    for (size_t i = 0; i < COUNT(differences); i++) {
        if (strcmp(file, differences[i].file) == 0 && strcmp(column, differences[i].column) == 0) {
            return differences[i].ours;
        }
    }
    const char *text = check_cell(facts, row, column);
    return text[0] == '\0' ? (double)NAN : strtod(text, NULL);
}

/* A blank fact is nought of a count and unknown of a mean. */
static void compare(struct arena *arena, const struct table *facts, size_t row, const char *column,
                    double got, double tolerance)
{
    const double want = wanted(facts, row, column);
    check_near(arena_format(arena, "%s, %s", check_cell(facts, row, "file"), column),
               isnan(got) ? 0.0 : got, isnan(want) ? 0.0 : want, tolerance);
}

static void compare_row(struct arena *arena, const struct table *facts, size_t row,
                        const struct recording *ride)
{
    static const struct {
        enum channel channel;
        const char *count, *mean, *max;
    } channels[] = {
        { CHANNEL_POWER, "n_power", "mean_power_w", "max_power_w" },
        { CHANNEL_HEART_RATE, "n_hr", "mean_hr_bpm", "max_hr_bpm" },
        { CHANNEL_CADENCE, "n_cadence", "mean_cadence_rpm", NULL },
    };
    compare(arena, facts, row, "samples", (double)ride->samples.count, 0);
    compare(arena, facts, row, "duration_s", ride->samples.time_s[ride->samples.count - 1], 0);
    for (size_t c = 0; c < COUNT(channels); c++) {
        const struct channel_summary sum = recording_summary(ride, channels[c].channel);
        compare(arena, facts, row, channels[c].count, (double)sum.samples, 0);
        compare(arena, facts, row, channels[c].mean, sum.mean, PRINTED);
        if (channels[c].max != NULL) {
            compare(arena, facts, row, channels[c].max, sum.max, 0);
        }
    }
    compare(arena, facts, row, "n_position",
            (double)recording_summary(ride, CHANNEL_LATITUDE).samples, 0);
    /* The facts hold the track's type as written: "run", "cycling", or nothing. */
    const char *type = check_cell(facts, row, "sport");
    const char *want = type[0] == '\0' ? "unknown" : type;
    check_integer(check_cell(facts, row, "file"),
                  strncmp(sport_name(ride->sport), want, strlen(want)), 0);
}

static bool ends_with(const char *text, const char *end)
{
    const size_t n = strlen(text);
    return n > strlen(end) && strcmp(text + n - strlen(end), end) == 0;
}

static void test_gpx_files__every_track_agrees_with_its_facts(void **state)
{
    (void)state;
    struct arena *facts_arena = arena_open();
    const struct table facts = check_table(facts_arena, "recordings/facts.csv");
    size_t files = 0;
    for (size_t row = 0; row < facts.rows; row++) {
        const char *file = check_cell(&facts, row, "file");
        if (!ends_with(file, ".gpx") || strcmp(file, "odd/gpx-iso-8859-1.gpx") == 0) {
            continue;
        }
        struct arena *arena = arena_open();
        compare_row(arena, &facts, row, read_one(arena, file));
        arena_close(arena);
        files++;
    }
    arena_close(facts_arena);
    check_integer("files", (int64_t)files, 7);
}

static void test_gpx_files__waypoints_alone_are_refused(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct recordings out = { 0 };
    struct error err = { 0 };
    check(!read_shared(arena, "odd/gpx-iso-8859-1.gpx", &out, &err));
    check_text("line", err.message,
               "x.gpx: holds 8 waypoints and no track, so no recording; export the ride itself");
    arena_close(arena);
}

/* The FIT recording without the records that have no position, which its GPX lacks. */
static void compare_samples(const char *file, const struct recording *fit,
                            const struct recording *gpx)
{
    static const struct {
        enum channel channel;
        int32_t tolerance;
    } channels[] = {
        { CHANNEL_POWER, 0 },
        { CHANNEL_HEART_RATE, 0 },
        { CHANNEL_CADENCE, 0 },
        { CHANNEL_ALTITUDE, 0 },
        /* Written with seven decimals of a degree: 0.6 steps, and the rounding to one. */
        { CHANNEL_LATITUDE, 1 },
        { CHANNEL_LONGITUDE, 1 },
    };
    size_t k = 0;
    for (size_t i = 0; i < fit->samples.count; i++) {
        if (fit->samples.value[CHANNEL_LATITUDE][i] == RECORDING_MISSING) {
            continue;
        }
        check(k < gpx->samples.count);
        check_integer(file, gpx->start_utc + gpx->samples.time_s[k],
                      fit->start_utc + fit->samples.time_s[i]);
        for (size_t c = 0; c < COUNT(channels); c++) {
            const int32_t *from = fit->samples.value[channels[c].channel];
            const int32_t *to = gpx->samples.value[channels[c].channel];
            check_integer(file, to != NULL, from != NULL);
            if (from != NULL) {
                check_near(channel_row(channels[c].channel)->name, to[k], from[i],
                           channels[c].tolerance);
            }
        }
        k++;
    }
    check_integer(file, (int64_t)gpx->samples.count, (int64_t)k);
}

static void test_gpx_files__derived_tracks_equal_the_fit_rides_they_come_from(void **state)
{
    (void)state;
    static const struct {
        const char *fit;
        const char *gpx;
    } pairs[] = {
        { "real/ride-79min-power-hr.fit", "real/derived-gpx-plain-power-79min.gpx" },
        { "real/ride-road-88min-power-hr.fit", "real/derived-gpx-powerinwatts-88min.gpx" },
    };
    for (size_t i = 0; i < COUNT(pairs); i++) {
        struct arena *arena = arena_open();
        compare_samples(pairs[i].gpx, read_one(arena, pairs[i].fit), read_one(arena, pairs[i].gpx));
        arena_close(arena);
    }
}

/* Eight segments, each begun after a gap over 10 s of the FIT file: seven pauses, and each of them
 * is one of the FIT file's own timer stops, to the second before. */
static void test_gpx_files__segments_are_the_fit_rides_longer_stops(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct recording *fit = read_one(arena, "real/ride-79min-power-hr.fit");
    const struct recording *gpx = read_one(arena, "real/derived-gpx-plain-power-79min.gpx");
    check_integer("pauses", (int64_t)gpx->n_pauses, 7);
    size_t found = 0;
    for (size_t i = 0; i < fit->n_pauses; i++) {
        const struct span stop = fit->pauses[i];
        for (size_t k = 0; k < gpx->n_pauses; k++) {
            const int32_t late_s = gpx->pauses[k].from_s - stop.from_s;
            found += gpx->pauses[k].to_s == stop.to_s && late_s >= 0 && late_s <= 1 ? 1 : 0;
        }
    }
    check_integer("of the device", (int64_t)found, 7);
    check_near("work", recording_work_kj(gpx), recording_work_kj(fit), 0.5);
    /* All in one segment: no pause, the stops are missing seconds. */
    check_integer("one segment",
                  (int64_t)read_one(arena, "real/derived-gpx-powerinwatts-88min.gpx")->n_pauses, 0);
    arena_close(arena);
}

/* What a device got wrong is found at the same second, whatever the file was written as. */
static void test_gpx_files__trust_finds_the_same_faults(void **state)
{
    (void)state;
    static const char *const codes[] = { "power-spike", "heart-flat" };
    struct arena *arena = arena_open();
    const struct recording *fit = read_one(arena, "real/ride-road-88min-power-hr.fit");
    const struct recording *gpx = read_one(arena, "real/derived-gpx-powerinwatts-88min.gpx");
    for (size_t i = 0; i < COUNT(codes); i++) {
        const struct finding *of_fit = recording_finding(fit, codes[i]);
        const struct finding *of_gpx = recording_finding(gpx, codes[i]);
        check(of_fit != NULL && of_gpx != NULL);
        check_integer(codes[i], gpx->start_utc + of_gpx->span.from_s,
                      fit->start_utc + of_fit->span.from_s);
        check_integer(codes[i], of_gpx->span.to_s - of_gpx->span.from_s,
                      of_fit->span.to_s - of_fit->span.from_s);
    }
    arena_close(arena);
}

/* A real track cut and torn: each point before that place, nothing else. */
static void test_gpx_files__a_torn_track_keeps_what_came_before(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct bytes whole =
        check_shared_file(arena, "recordings/real/derived-gpx-plain-power-79min.gpx");
    const struct limits limits = limits_default();
    const struct read_options options = { .file = "x.gpx" };
    for (size_t part = 1; part < 8; part++) {
        const size_t size = whole.size * part / 8;
        size_t points = 0;
        const char *text = (const char *)whole.at;
        for (const char *at = text; (at = memmem(at, size - (size_t)(at - text), "</trkpt>", 8));) {
            at += 8;
            points++;
        }
        for (int torn = 0; torn < 2; torn++) {
            struct arena *own = arena_open();
            uint8_t *bytes = arena_copy(own, whole.at, whole.size);
            memset(bytes + size, '<', 3);
            struct recordings out = { 0 };
            struct error err = { 0 };
            check(recording_read(own, (struct bytes){ bytes, torn == 0 ? size : whole.size },
                                 &options, &limits, &out, &err));
            check_integer("points", (int64_t)out.items[0]->samples.count, (int64_t)points);
            check(strstr(out.damage, torn == 0 ? "cut off after " : "is no XML from line ") !=
                  NULL);
            arena_close(own);
        }
    }
    arena_close(arena);
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_gpx_files__every_track_agrees_with_its_facts),
        cmocka_unit_test(test_gpx_files__waypoints_alone_are_refused),
        cmocka_unit_test(test_gpx_files__derived_tracks_equal_the_fit_rides_they_come_from),
        cmocka_unit_test(test_gpx_files__segments_are_the_fit_rides_longer_stops),
        cmocka_unit_test(test_gpx_files__trust_finds_the_same_faults),
        cmocka_unit_test(test_gpx_files__a_torn_track_keeps_what_came_before),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
