/* tests/recordings/test_real_files.c: recordings of real devices against other decoders.
 *
 * The shared facts.csv says what two independent public decoders of the FIT protocol and a walk
 * over the bytes made of each file (see its README for which, and how each column is counted).
 * Every FIT row is compared, each column; where we differ on purpose `differences` says why. */
#include "check.h"

#include "recording/recording.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Our value where the facts' is not what a coach should be told. */
static const struct {
    const char *file;
    const char *column;
    const char *ours;
    const char *why;
} differences[] = {
    { "odd/bad-crc-and-length-mismatch-ride.fit", "sport", "cycling",
      "no session was written, but its sport message says cycling" },
    { "odd/compressed-timestamps-run.fit", "n_speed", "754",
      "expanded from compressed_speed_distance, as the reference table has it" },
    { "odd/derived-chained-two-rides.fit", "n_pauses", "2",
      "the facts take the start of the second file for the end of the first one's last stop" },
    { "odd/derived-truncated-mid-message.fit", "sport", "cycling",
      "no session was written yet, but its laps say cycling" },
    { "odd/derived-zero-data-size.fit", "samples", "357",
      "the facts' decoders stop at the size; the README says that 357 records can be had" },
    { "odd/derived-zero-data-size.fit", "sport", "cycling", "recovered with the records" },
    { "odd/derived-zero-data-size.fit", "duration_s", "363", "as in the file it was made from" },
    { "odd/derived-zero-data-size.fit", "mean_power_w", "169.16", "as there" },
    { "odd/derived-zero-data-size.fit", "max_power_w", "750", "as there" },
    { "odd/derived-zero-data-size.fit", "mean_hr_bpm", "131.46", "as there" },
    { "odd/derived-zero-data-size.fit", "max_hr_bpm", "151", "as there" },
    { "odd/derived-zero-data-size.fit", "mean_cadence_rpm", "69.09", "as there" },
    { "odd/derived-zero-data-size.fit", "n_laps", "1", "as there" },
    { "odd/derived-zero-data-size.fit", "n_pauses", "2", "as there" },
    { "odd/derived-zero-data-size.fit", "n_power", "355", "as there" },
    { "odd/derived-zero-data-size.fit", "n_power_zero", "95", "as there" },
    { "odd/derived-zero-data-size.fit", "n_hr", "357", "as there" },
    { "odd/derived-zero-data-size.fit", "n_cadence", "351", "as there" },
    { "odd/derived-zero-data-size.fit", "n_position", "341", "as there" },
    { "odd/derived-zero-data-size.fit", "n_altitude", "357", "as there" },
    { "odd/derived-zero-data-size.fit", "n_temperature", "357", "as there" },
    { "odd/derived-zero-data-size.fit", "n_speed", "357", "as there" },
    /* No native power, but a developer field that says native power; its figures by a separate
     * walk over the bytes in another language. */
    { "odd/run-developer-fields-tricky.fit", "n_power", "6874", "developer field" },
    { "odd/run-developer-fields-tricky.fit", "mean_power_w", "182.166", "developer field" },
    { "odd/run-developer-fields-tricky.fit", "max_power_w", "242", "developer field" },
    { "odd/run-developer-fields-tricky.fit", "n_power_zero", "51", "developer field" },
};

/* Files that hold no recording, and the line that says so.  Wording is this project's. */
static const struct {
    const char *file;
    const char *line;
} refused[] = {
    { "odd/derived-empty.fit", "x.fit: is empty; copy the file from the device again" },
    { "odd/header-only-14-bytes.fit",
      "x.fit: cut off before its first record; copy the file from the device again" },
    { "odd/mangled-as-utf8-text.fit",
      "x.fit: is no recording that can be read (FIT, GPX or CSV); export it again" },
    { "odd/not-an-activity-locations.fit",
      "x.fit: is a locations file, not a ride; choose an activity file" },
    { "odd/not-an-activity-settings.fit",
      "x.fit: is a settings file, not a ride; choose an activity file" },
    { "odd/not-an-activity-workout.fit",
      "x.fit: is a workout file, not a ride; choose an activity file" },
    { "odd/record-bytes-without-header.fit",
      "x.fit: is no recording that can be read (FIT, GPX or CSV); export it again" },
};

/* Files that are damaged but read, and the line for stderr. */
static const struct {
    const char *file;
    const char *line;
} damaged[] = {
    { "odd/bad-crc-and-length-mismatch-ride.fit",
      "x.fit: cut off after 14,391 records. The first 279 min were read; copy the file from the "
      "device again." },
    { "odd/derived-bad-file-crc.fit",
      "x.fit: the checksum is wrong, so a value may be too. All 2,263 records were read; copy the "
      "file from the device again." },
    { "odd/derived-missing-final-crc.fit",
      "x.fit: its checksum is missing. All 357 records were read." },
    { "odd/derived-trailing-zeros.fit",
      "x.fit: 40 bytes after its end are no recording and were left out." },
    { "odd/derived-truncated-mid-message.fit",
      "x.fit: cut off after 2,823 records. The first 47 min were read; copy the file from the "
      "device again." },
    { "odd/derived-zero-data-size.fit",
      "x.fit: was never closed by the device. All 357 records up to its end were read." },
    { "odd/wrong-endian-flag-compressed-gps-computer.fit",
      "x.fit: its header gives a wrong size. All 804 records were read." },
};

static bool read_shared(struct arena *arena, const char *file, struct recordings *recordings,
                        struct error *err)
{
    const struct bytes bytes = check_shared_file(arena, arena_format(arena, "recordings/%s", file));
    const struct limits limits = limits_default();
    const struct read_options options = { .file = "x.fit" };
    return recording_read(arena, bytes, &options, &limits, recordings, err);
}

static const char *refusal(const char *file)
{
    for (size_t i = 0; i < COUNT(refused); i++) {
        if (strcmp(file, refused[i].file) == 0) {
            return refused[i].line;
        }
    }
    return NULL;
}

static bool is_fit(const char *file)
{
    const size_t n = strlen(file);
    return n > 4 && strcmp(file + n - 4, ".fit") == 0;
}

/* What all recordings of a file hold of one channel. */
struct sum {
    size_t n;
    size_t zeros;
    double total;
    double max;
};

static struct sum sum_of(const struct recordings *recordings, enum channel channel)
{
    struct sum sum = { .max = (double)-INFINITY };
    for (size_t i = 0; i < recordings->count; i++) {
        const struct samples *samples = &recordings->items[i]->samples;
        const int32_t *value = samples->value[channel];
        for (size_t k = 0; value != NULL && k < samples->count; k++) {
            if (value[k] == RECORDING_MISSING) {
                continue;
            }
            if (value[k] == 0) {
                sum.zeros++;
                if (channel == CHANNEL_HEART_RATE) {
                    continue;
                }
            }
            sum.n++;
            sum.total += value[k];
            sum.max = value[k] > sum.max ? value[k] : sum.max;
        }
    }
    return sum;
}

static const char *sports_of(struct arena *arena, const struct recordings *recordings)
{
    const char *sports = "";
    for (size_t i = 0; i < recordings->count; i++) {
        const char *name = sport_name(recordings->items[i]->sport);
        if (strstr(sports, name) == NULL) {
            sports = arena_format(arena, "%s%s%s", sports, i == 0 ? "" : "+", name);
        }
    }
    return sports;
}

static const char *wanted(const struct table *facts, size_t row, const char *column)
{
    const char *file = check_cell(facts, row, "file");
    for (size_t i = 0; i < COUNT(differences); i++) {
        if (strcmp(file, differences[i].file) == 0 && strcmp(column, differences[i].column) == 0) {
            return differences[i].ours;
        }
    }
    return check_cell(facts, row, column);
}

static size_t n_compared;

/* A blank fact is nought (counts) or unknown (NAN). */
static void compare(struct arena *arena, const struct table *facts, size_t row, const char *column,
                    double got, double tolerance)
{
    const char *want = wanted(facts, row, column);
    const char *name = arena_format(arena, "%s, %s", check_cell(facts, row, "file"), column);
    if (want[0] == '\0') {
        check_near(name, isnan(got) ? 0 : got, 0, 0);
    } else {
        check_near(name, got, strtod(want, NULL), tolerance);
    }
    n_compared++;
}

static void compare_channel(struct arena *arena, const struct table *facts, size_t row,
                            const struct recordings *recordings, enum channel channel,
                            const char *n, const char *mean, const char *max)
{
    const struct sum sum = sum_of(recordings, channel);
    compare(arena, facts, row, n, (double)sum.n, 0);
    /* Facts are printed with two decimals: half of the last one. */
    compare(arena, facts, row, mean, sum.n == 0 ? (double)NAN : sum.total / (double)sum.n,
            0.005 + 1e-9);
    if (max != NULL) {
        compare(arena, facts, row, max, sum.n == 0 ? (double)NAN : sum.max, 0);
    }
}

/* Last minus first sample in file order, over all recordings. */
static double duration_of(const struct recordings *recordings)
{
    const struct recording *first = recordings->items[0];
    const struct recording *last = recordings->items[recordings->count - 1];
    const double end = (double)last->samples.time_s[last->samples.count - 1];
    return end + (double)(last->start_utc - first->start_utc) - (double)first->samples.time_s[0];
}

static void compare_row(struct arena *arena, const struct table *facts, size_t row,
                        const struct recordings *recordings)
{
    size_t samples = 0;
    size_t laps = 0;
    size_t pauses = 0;
    size_t pulses = 0;
    for (size_t i = 0; i < recordings->count; i++) {
        samples += recordings->items[i]->samples.count;
        laps += recordings->items[i]->n_laps;
        pauses += recordings->items[i]->n_pauses;
        pulses += recordings->items[i]->n_pulse;
        check_integer("part", (int64_t)recordings->items[i]->part, (int64_t)i + 1);
        check_integer("parts", (int64_t)recordings->items[i]->parts, (int64_t)recordings->count);
    }
    const struct sum power = sum_of(recordings, CHANNEL_POWER);
    const struct sum heart = sum_of(recordings, CHANNEL_HEART_RATE);
    compare(arena, facts, row, "samples", (double)samples, 0);
    compare(arena, facts, row, "n_laps", (double)laps, 0);
    compare(arena, facts, row, "n_pauses", (double)pauses, 0);
    compare(arena, facts, row, "n_rr_intervals", (double)pulses, 0);
    compare_channel(arena, facts, row, recordings, CHANNEL_POWER, "n_power", "mean_power_w",
                    "max_power_w");
    compare_channel(arena, facts, row, recordings, CHANNEL_HEART_RATE, "n_hr", "mean_hr_bpm",
                    "max_hr_bpm");
    compare_channel(arena, facts, row, recordings, CHANNEL_CADENCE, "n_cadence", "mean_cadence_rpm",
                    NULL);
    compare(arena, facts, row, "n_power_zero", (double)power.zeros, 0);
    compare(arena, facts, row, "n_hr_zero", (double)heart.zeros, 0);
    compare(arena, facts, row, "n_balance", (double)sum_of(recordings, CHANNEL_BALANCE).n, 0);
    compare(arena, facts, row, "n_position", (double)sum_of(recordings, CHANNEL_LATITUDE).n, 0);
    compare(arena, facts, row, "n_altitude", (double)sum_of(recordings, CHANNEL_ALTITUDE).n, 0);
    compare(arena, facts, row, "n_temperature", (double)sum_of(recordings, CHANNEL_TEMPERATURE).n,
            0);
    compare(arena, facts, row, "n_speed", (double)sum_of(recordings, CHANNEL_SPEED).n, 0);
    /* A chain whose second file is older than its first has no duration (blank in the facts). */
    if (wanted(facts, row, "duration_s")[0] != '\0') {
        compare(arena, facts, row, "duration_s", duration_of(recordings), 0);
    }
    check_text(arena_format(arena, "%s, sport", check_cell(facts, row, "file")),
               sports_of(arena, recordings), wanted(facts, row, "sport"));
}

static void test_real_files__agree_with_other_decoders(void **state)
{
    (void)state;
    struct arena *facts_arena = arena_open();
    const struct table facts = check_table(facts_arena, "recordings/facts.csv");
    size_t files = 0;
    for (size_t row = 0; row < facts.rows; row++) {
        const char *file = check_cell(&facts, row, "file");
        if (!is_fit(file) || refusal(file) != NULL) {
            continue;
        }
        struct arena *arena = arena_open();
        struct recordings recordings;
        struct error err = { 0 };
        if (!read_shared(arena, file, &recordings, &err)) {
            print_error("# %s: %s\n", file, err.message);
            fail();
        }
        compare_row(arena, &facts, row, &recordings);
        arena_close(arena);
        files++;
    }
    arena_close(facts_arena);
    printf("# note: FIT files compared with other decoders: %zu, figures: %zu, known "
           "differences: %zu\n",
           files, n_compared, COUNT(differences));
}

static void test_real_files__refusals_say_what_and_what_to_do(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(refused); i++) {
        struct arena *arena = arena_open();
        struct recordings recordings;
        struct error err = { 0 };
        check(!read_shared(arena, refused[i].file, &recordings, &err));
        check_text(refused[i].file, err.message, refused[i].line);
        check_integer(refused[i].file, err.kind, ERROR_INPUT);
        arena_close(arena);
    }
}

static void test_real_files__damage_is_one_line(void **state)
{
    (void)state;
    struct arena *facts_arena = arena_open();
    const struct table facts = check_table(facts_arena, "recordings/facts.csv");
    for (size_t row = 0; row < facts.rows; row++) {
        const char *file = check_cell(&facts, row, "file");
        if (!is_fit(file) || refusal(file) != NULL) {
            continue;
        }
        const char *want = NULL;
        for (size_t i = 0; i < COUNT(damaged); i++) {
            want = strcmp(file, damaged[i].file) == 0 ? damaged[i].line : want;
        }
        struct arena *arena = arena_open();
        struct recordings recordings;
        struct error err = { 0 };
        check(read_shared(arena, file, &recordings, &err));
        check_text(file, recordings.damage, want);
        for (size_t i = 0; i < recordings.count && want != NULL; i++) {
            bool found = false;
            for (size_t f = 0; f < recordings.items[i]->n_findings; f++) {
                found = found || strcmp(recordings.items[i]->findings[f].code, "damage") == 0;
            }
            check(found);
        }
        arena_close(arena);
    }
    arena_close(facts_arena);
}

/* "Sun Sep 25 06:00:22 PDT 2011" as seconds of that day in September 2011; PDT is UTC - 7 h. */
static int64_t utc_of_reference(const char *text)
{
    static const int64_t september_25_utc = 1316908800; /* 2011-09-25T00:00:00Z, `date -u` */
    char *end = NULL;
    const long hour = strtol(text + 11, &end, 10);
    const long minute = strtol(end + 1, &end, 10);
    const long second = strtol(end + 1, &end, 10);
    return september_25_utc + (hour + 7) * 3600 + minute * 60 + second;
}

/* A cell of the table in the channel's step, or missing for "null" and blanks. */
static void compare_cell(struct arena *arena, const struct table *table, size_t row,
                         const char *column, int32_t got, double steps_a_unit)
{
    const char *text = check_cell(table, row, column);
    const char *name = arena_format(arena, "row %zu, %s", row + 1, column);
    char *end = NULL;
    const double value = strtod(text, &end);
    if (end == text) {
        check_integer(name, got, RECORDING_MISSING);
    } else {
        /* Half a step: the table has more decimals than steps in some columns. */
        check_near(name, got, value * steps_a_unit, 0.5 + 1e-6);
    }
}

static int32_t sample(const struct recording *recording, enum channel channel, size_t i)
{
    const int32_t *value = recording->samples.value[channel];
    return value == NULL ? RECORDING_MISSING : value[i];
}

/* Expected: the device maker's own converter, as kept by the source of the recording. */
static void test_real_files__every_record_equals_the_reference_table(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct table table =
        check_table(arena, "recordings/real/ride-3h31-records-reference.csv");
    struct recordings recordings;
    struct error err = { 0 };
    check(read_shared(arena, "real/ride-3h31-hr-no-power.fit", &recordings, &err));
    const struct recording *ride = recordings.items[0];
    check_integer("rows", (int64_t)ride->samples.count, (int64_t)table.rows);
    int32_t latitude = RECORDING_MISSING;
    int32_t longitude = RECORDING_MISSING;
    for (size_t i = 0; i < table.rows; i++) {
        check_integer("time", ride->start_utc + ride->samples.time_s[i],
                      utc_of_reference(check_cell(&table, i, "timestamp")));
        compare_cell(arena, &table, i, "heart_rate", sample(ride, CHANNEL_HEART_RATE, i), 1);
        /* That converter writes 0 for a cadence that the device marked as not known. */
        const int32_t cadence = sample(ride, CHANNEL_CADENCE, i);
        compare_cell(arena, &table, i, "cadence", cadence == RECORDING_MISSING ? 0 : cadence, 1);
        compare_cell(arena, &table, i, "speed", sample(ride, CHANNEL_SPEED, i), 1000);
        compare_cell(arena, &table, i, "distance", sample(ride, CHANNEL_DISTANCE, i), 100);
        /* ... and the last position again where there is none. */
        if (sample(ride, CHANNEL_LATITUDE, i) != RECORDING_MISSING) {
            latitude = sample(ride, CHANNEL_LATITUDE, i);
            longitude = sample(ride, CHANNEL_LONGITUDE, i);
        }
        compare_cell(arena, &table, i, "position_lat", latitude, 1);
        compare_cell(arena, &table, i, "position_long", longitude, 1);
        compare_cell(arena, &table, i, "altitude", sample(ride, CHANNEL_ALTITUDE, i), 10);
        compare_cell(arena, &table, i, "temperature", sample(ride, CHANNEL_TEMPERATURE, i), 10);
    }
    arena_close(arena);
}

/* Compressed time stamps and compressed_speed_distance, from the same kind of converter.  The
 * table leaves out the file's first record, which holds nothing but a time. */
static void test_real_files__compressed_records_equal_the_reference_table(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct table table =
        check_table(arena, "recordings/odd/compressed-timestamps-run-records-reference.csv");
    struct recordings recordings;
    struct error err = { 0 };
    check(read_shared(arena, "odd/compressed-timestamps-run.fit", &recordings, &err));
    const struct recording *run = recordings.items[0];
    check(!run->has_start_utc);
    check_text("clock", run->findings[0].code, "clock");
    const double origin = run->findings[0].numbers[0].value;
    check_integer("rows", (int64_t)run->samples.count, (int64_t)table.rows + 1);
    for (size_t i = 0; i < table.rows; i++) {
        const double *stamps = check_column(arena, &table, "Timestamp");
        check_near("time", origin + run->samples.time_s[i + 1], stamps[i], 0);
        compare_cell(arena, &table, i, " Heart Rate [bpm]", sample(run, CHANNEL_HEART_RATE, i + 1),
                     1);
        compare_cell(arena, &table, i, "Speed [m/s]", sample(run, CHANNEL_SPEED, i + 1), 1000);
        compare_cell(arena, &table, i, "Distance [m]", sample(run, CHANNEL_DISTANCE, i + 1), 100);
        compare_cell(arena, &table, i, "Cadence [rpm]", sample(run, CHANNEL_CADENCE, i + 1), 1);
    }
    arena_close(arena);
}

/* By hand from the files' messages: three legs and two transitions, with each session's own
 * start and length; the chained file holds the same kind in its first part, and three more parts
 * that are no activity. */
static void test_real_files__multisport_gives_one_recording_a_session(void **state)
{
    (void)state;
    static const struct {
        const char *file;
        size_t n;
        enum sport sports[5];
        size_t samples[5];
    } rows[] = {
        { "odd/multisport-summary-first.fit",
          5,
          { SPORT_SWIMMING, SPORT_TRANSITION, SPORT_CYCLING, SPORT_TRANSITION, SPORT_RUNNING },
          { 676, 156, 1566, 70, 1575 } },
        { "odd/chained-4-files-multisport.fit",
          5,
          { SPORT_SWIMMING, SPORT_TRANSITION, SPORT_CYCLING, SPORT_TRANSITION, SPORT_RUNNING },
          { 349, 38, 854, 14, 518 } },
        { "odd/derived-chained-two-rides.fit", 2, { SPORT_CYCLING, SPORT_CYCLING }, { 357, 2263 } },
        { "odd/clock-jump-25-days-ride.fit", 2, { SPORT_CYCLING, SPORT_CYCLING }, { 17, 2013 } },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct recordings recordings;
        struct error err = { 0 };
        check(read_shared(arena, rows[i].file, &recordings, &err));
        check_integer(rows[i].file, (int64_t)recordings.count, (int64_t)rows[i].n);
        for (size_t k = 0; k < rows[i].n; k++) {
            const struct recording *part = recordings.items[k];
            check_integer(rows[i].file, part->sport, rows[i].sports[k]);
            check_integer(rows[i].file, (int64_t)part->samples.count, (int64_t)rows[i].samples[k]);
            check(part->is_ride == (part->sport == SPORT_CYCLING));
        }
        arena_close(arena);
    }
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_real_files__agree_with_other_decoders),
        cmocka_unit_test(test_real_files__refusals_say_what_and_what_to_do),
        cmocka_unit_test(test_real_files__damage_is_one_line),
        cmocka_unit_test(test_real_files__every_record_equals_the_reference_table),
        cmocka_unit_test(test_real_files__compressed_records_equal_the_reference_table),
        cmocka_unit_test(test_real_files__multisport_gives_one_recording_a_session),
    };
    return cmocka_run_group_tests_name("real_files", tests, NULL, NULL);
}
