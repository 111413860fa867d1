/* tests/recordings/test_csv_files.c: real tables against facts that other decoders gave. */
#include "check.h"

#include "base/dates.h"
#include "recording/csv_read.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* facts.csv of the shared recordings: made with Python's csv module (tables) and, for FIT, with a
 * decoder from outside; means are printed there with two decimals. */
static const double PRINTED = 0.00501;

static const char *fact(const struct table *facts, const char *file, const char *name)
{
    for (size_t i = 0; i < facts->rows; i++) {
        if (strcmp(check_cell(facts, i, "file"), file) == 0) {
            return check_cell(facts, i, name);
        }
    }
    print_error("# no facts of %s\n", file);
    fail();
    return "";
}

static double fact_number(const struct table *facts, const char *file, const char *name)
{
    const char *text = fact(facts, file, name);
    return text[0] == '\0' ? (double)NAN : strtod(text, NULL);
}

static bool read_file(struct arena *arena, const char *file, struct recordings *out,
                      struct error *err)
{
    const struct bytes bytes = check_shared_file(arena, arena_format(arena, "recordings/%s", file));
    const struct read_options options = { .file = file };
    const struct limits limits = limits_default();
    check(csv_probe(bytes));
    return csv_read(arena, bytes, &options, &limits, out, err);
}

static const struct recording *read_one(struct arena *arena, const char *file)
{
    struct recordings out = { 0 };
    struct error err = { 0 };
    if (!read_file(arena, file, &out, &err)) {
        print_error("# %s\n", err.message);
        fail();
    }
    check_integer(file, (int64_t)out.count, 1);
    return out.items[0];
}

static void test_csv_files__rides_agree_with_their_facts(void **state)
{
    (void)state;
    static const char *const files[] = { "real/csv-ride-2020-08-18-power-hr.csv",
                                         "real/csv-ride-2020-08-20-power-hr.csv" };
    struct arena *arena = arena_open();
    const struct table facts = check_table(arena, "recordings/facts.csv");
    for (size_t i = 0; i < COUNT(files); i++) {
        const char *file = files[i];
        const struct recording *ride = read_one(arena, file);
        const int32_t last_s = ride->samples.time_s[ride->samples.count - 1];
        check_near(file, (double)ride->samples.count, fact_number(&facts, file, "samples"), 0);
        check_near(file, last_s, fact_number(&facts, file, "duration_s"), 0);
        static const struct {
            enum channel channel;
            const char *count, *mean, *max;
        } channels[] = {
            { CHANNEL_POWER, "n_power", "mean_power_w", "max_power_w" },
            { CHANNEL_HEART_RATE, "n_hr", "mean_hr_bpm", "max_hr_bpm" },
            { CHANNEL_CADENCE, "n_cadence", "mean_cadence_rpm", NULL },
        };
        for (size_t c = 0; c < COUNT(channels); c++) {
            const struct channel_summary got = recording_summary(ride, channels[c].channel);
            check_near(file, (double)got.samples, fact_number(&facts, file, channels[c].count), 0);
            check_near(file, got.mean, fact_number(&facts, file, channels[c].mean), PRINTED);
            if (channels[c].max != NULL) {
                check_near(file, got.max, fact_number(&facts, file, channels[c].max), 0);
            }
        }
        char start[32] = { 0 };
        dates_format_utc(ride->start_utc, start);
        check_text(file, start, fact(&facts, file, "first_timestamp_utc"));
        check(ride->has_start_utc && !ride->has_utc_offset && ride->is_ride);

        /* The facts count steps of more than 5 s and name the longest; ours above 10 s are pauses,
         * each of them a second shorter than its step. */
        size_t gaps = 0;
        int32_t longest = 0;
        for (size_t k = 1; k < ride->samples.count; k++) {
            const int32_t step = ride->samples.time_s[k] - ride->samples.time_s[k - 1];
            gaps += step > 5 ? 1 : 0;
            longest = step > longest ? step : longest;
        }
        check_near(file, (double)gaps, fact_number(&facts, file, "gaps_over_5s"), 0);
        check_near(file, longest, fact_number(&facts, file, "max_gap_s"), 0);
        int32_t longest_pause = 0;
        for (size_t k = 0; k < ride->n_pauses; k++) {
            const int32_t length = ride->pauses[k].to_s - ride->pauses[k].from_s;
            longest_pause = length > longest_pause ? length : longest_pause;
        }
        check_integer(file, longest_pause, longest - 1);
    }
    arena_close(arena);
}

/* The table of a converter and the FIT file that it was made from: the facts of the FIT file. */
static void test_csv_files__a_converters_table_equals_the_fit_files_facts(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct table facts = check_table(arena, "recordings/facts.csv");
    const char *fit = "real/ride-3h31-hr-no-power.fit";
    const struct recording *ride = read_one(arena, "real/ride-3h31-records-reference.csv");
    const struct channel_summary heart = recording_summary(ride, CHANNEL_HEART_RATE);
    const struct channel_summary cadence = recording_summary(ride, CHANNEL_CADENCE);
    check_near("samples", (double)ride->samples.count, fact_number(&facts, fit, "samples"), 0);
    check_near("duration", ride->samples.time_s[ride->samples.count - 1],
               fact_number(&facts, fit, "duration_s"), 0);
    check_near("n_hr", (double)heart.samples, fact_number(&facts, fit, "n_hr"), 0);
    check_near("mean hr", heart.mean, fact_number(&facts, fit, "mean_hr_bpm"), PRINTED);
    check_near("max hr", heart.max, fact_number(&facts, fit, "max_hr_bpm"), 0);
    /* The converter wrote 0 where the FIT file has no cadence, so the turns are equal and not the
     * mean. */
    const double n_cadence = fact_number(&facts, fit, "n_cadence");
    check_near("turns", cadence.mean * (double)cadence.samples,
               fact_number(&facts, fit, "mean_cadence_rpm") * n_cadence, PRINTED * n_cadence);
    check_near("n_altitude", (double)recording_summary(ride, CHANNEL_ALTITUDE).samples,
               fact_number(&facts, fit, "n_altitude"), 0);
    check_near("n_temperature", (double)recording_summary(ride, CHANNEL_TEMPERATURE).samples,
               fact_number(&facts, fit, "n_temperature"), 0);
    /* Position came as semicircles; the first row says 521521093 of them. */
    check_integer("latitude", ride->samples.value[CHANNEL_LATITUDE][0], 521521093);

    /* This one lacks the FIT file's first record, and counts from when the device was switched
     * on. */
    const char *run = "odd/compressed-timestamps-run.fit";
    const struct recording *other =
        read_one(arena, "odd/compressed-timestamps-run-records-reference.csv");
    check_near("samples", (double)other->samples.count, fact_number(&facts, run, "samples") - 1, 0);
    check_near("max hr", recording_summary(other, CHANNEL_HEART_RATE).max,
               fact_number(&facts, run, "max_hr_bpm"), 0);
    check(!other->has_start_utc);
    arena_close(arena);
}

static void test_csv_files__laboratory_tables_are_read_or_refused_with_a_reason(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct recordings out = { 0 };
    struct error err = { 0 };
    const struct table facts = check_table(arena, "recordings/facts.csv");

    const char *graded = "lab/graded-test-hr-vo2-1-subject.csv";
    const struct recording *test = read_one(arena, graded);
    const struct channel_summary power = recording_summary(test, CHANNEL_POWER);
    check_near(graded, (double)power.samples, fact_number(&facts, graded, "n_power"), 0);
    check_near(graded, power.mean, fact_number(&facts, graded, "mean_power_w"), PRINTED);

    /* Thirteen people below one another: each time the clock starts anew. */
    const char *steps = "lab/ergometer-steps-hr-13-subjects.csv";
    check(read_file(arena, steps, &out, &err));
    check_integer(steps, (int64_t)out.count, 13);
    size_t samples = 0;
    for (size_t i = 0; i < out.count; i++) {
        samples += recording_summary(out.items[i], CHANNEL_HEART_RATE).samples;
    }
    check_near(steps, (double)samples, fact_number(&facts, steps, "n_hr"), 0);

    static const char *const timeless[] = {
        "lab/cyclists-5min-steps-hr-vo2-lactate-11-subjects.csv",
        "lab/cyclists-max-tests-11-subjects.csv"
    };
    for (size_t i = 0; i < COUNT(timeless); i++) {
        check(!read_file(arena, timeless[i], &out, &err));
        check(strstr(err.message, "no column of time") != NULL);
        check(strstr(err.message, "(found: subject, timepoint,") != NULL);
    }
    arena_close(arena);
}

static void test_csv_files__recordings_of_other_formats_are_no_tables(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct table facts = check_table(arena, "recordings/facts.csv");
    size_t others = 0;
    for (size_t i = 0; i < facts.rows; i++) {
        const char *file = check_cell(&facts, i, "file");
        const size_t length = strlen(file);
        if (strcmp(file + length - 4, ".csv") != 0) {
            others++;
            struct arena *one = arena_open();
            check_integer(
                file, csv_probe(check_shared_file(one, arena_format(one, "recordings/%s", file))),
                false);
            arena_close(one);
        }
    }
    check(others > 50);
    arena_close(arena);
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_csv_files__rides_agree_with_their_facts),
        cmocka_unit_test(test_csv_files__a_converters_table_equals_the_fit_files_facts),
        cmocka_unit_test(test_csv_files__laboratory_tables_are_read_or_refused_with_a_reason),
        cmocka_unit_test(test_csv_files__recordings_of_other_formats_are_no_tables),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
