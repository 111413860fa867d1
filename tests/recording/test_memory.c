/* tests/recording/test_memory.c: reading takes at most 64 MB and four times the bytes. */
#include "check.h"

#include "base/text.h"
#include "recording/fit_write.h"
#include "recording/recording.h"

#include <stdio.h>
#include <string.h>

/* The project's own promise (performance of reading); arena bytes are all that readers hold. */
static const double FIXED = 64e6;
static const double PER_BYTE = 4.0;

/* Reads, and checks what was handed out; returns how many recordings came, 0 if refused. */
static size_t read_within(const char *row, struct bytes bytes)
{
    struct arena *arena = arena_open();
    const struct read_options options = { .file = row };
    const struct limits limits = limits_default();
    struct recordings out = { 0 };
    struct error err = { 0 };
    const bool ok = recording_read(arena, bytes, &options, &limits, &out, &err);
    const double most = FIXED + PER_BYTE * (double)bytes.size;
    if ((double)arena_bytes(arena) > most) {
        print_error("# %s: %zu bytes in, %zu handed out, wanted at most %.0f\n", row, bytes.size,
                    arena_bytes(arena), most);
        fail();
    }
    const size_t count = ok ? out.count : 0;
    arena_close(arena);
    return count;
}

/* A long ride in every channel, one record a second. */
static void test_memory__a_written_day_with_every_channel(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct fit_activity activity = { .start_utc = 1773480413,
                                     .sport = SPORT_CYCLING,
                                     .compressed_timestamps = true };
    activity.samples.count = 86400;
    activity.samples.time_s = ARENA_ARRAY(arena, int32_t, 86400);
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        activity.samples.value[c] = ARENA_ARRAY(arena, int32_t, 86400);
    }
    for (int32_t i = 0; i < 86400; i++) {
        activity.samples.time_s[i] = i;
        for (int c = 0; c < CHANNEL_COUNT; c++) {
            activity.samples.value[c][i] = 100 + i % 50;
        }
    }
    struct bytes bytes = { 0 };
    struct error err = { 0 };
    check(fit_write(arena, &activity, &bytes, &err));
    check_integer("recordings", (int64_t)read_within("day.fit", bytes), 1);

    /* Two records two days apart ask for the longest grid there is. */
    activity.samples.count = 6;
    for (int32_t i = 0; i < 6; i++) {
        activity.samples.time_s[i] = i * 34000;
    }
    check(fit_write(arena, &activity, &bytes, &err));
    check_integer("recordings", (int64_t)read_within("sparse.fit", bytes), 1);
    arena_close(arena);
}

/* Tables that ask for much with few bytes. */
static void test_memory__tables_of_every_shape(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        const char *header;
        const char *row; /* with one %d for the time */
        int rows;
        int step_s;
        int jump_every; /* a new recording each so many rows; 0 never */
        bool read;
    } tables[] = {
        { "shortest rows", "seconds,hr\n", "%d,\n", 170000, 1, 0, true },
        { "every channel",
          "seconds,power,hr,cadence,speed,distance,altitude,temp,lat,lon,left_balance\n",
          "%d,1,1,1,1,1,1,1,1,1,1\n", 170000, 1, 0, true },
        { "every channel, nothing in them",
          "seconds,power,hr,cadence,speed,distance,altitude,temp,lat,lon,left_balance\n",
          "%d,,,,,,,,,,\n", 170000, 1, 0, true },
        { "many recordings", "seconds,power,hr\n", "%d,1,1\n", 1000, 1, 2, true },
        { "long recordings of few rows",
          "seconds,power,hr,cadence,speed,distance,altitude,temp,lat,lon,left_balance\n",
          "%d,1,1,1,1,1,1,1,1,1,1\n", 1000, 43000, 4, false },
        { "a season", "seconds,power,hr,cadence\n", "%d,200,140,90\n", 1000000, 1, 7200, true },
        { "blank lines", "seconds,power,hr,cadence,speed,distance\n", "\n", 2000000, 1, 0, false },
    };
    for (size_t i = 0; i < COUNT(tables); i++) {
        struct arena *arena = arena_open();
        struct text text = text_begin(arena, 64u << 20);
        text_add(&text, tables[i].header);
        int time_s = 0;
        for (int k = 0; k < tables[i].rows; k++) {
            time_s += tables[i].jump_every > 0 && k % tables[i].jump_every == 0 ? 50000 : 0;
            if (strchr(tables[i].row, '%') == NULL) {
                text_add(&text, tables[i].row);
            } else {
                char row[80] = { 0 };
                snprintf(row, sizeof row, "%d%s", time_s, tables[i].row + 2);
                text_add(&text, row);
            }
            time_s += tables[i].step_s;
        }
        check(!text.cut);
        const size_t count =
            read_within(tables[i].name, (struct bytes){ (uint8_t *)text.bytes, text.length });
        check_integer(tables[i].name, count > 0, tables[i].read);
        arena_close(arena);
    }
}

static void test_memory__real_recordings(void **state)
{
    (void)state;
    if (check_shared() == NULL) {
        print_message("# note: the shared recordings are absent\n");
        return;
    }
    struct arena *arena = arena_open();
    const struct table facts = check_table(arena, "recordings/facts.csv");
    for (size_t i = 0; i < facts.rows; i++) {
        const char *file = check_cell(&facts, i, "file");
        struct arena *one = arena_open();
        read_within(file, check_shared_file(one, arena_format(one, "recordings/%s", file)));
        arena_close(one);
    }
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_memory__a_written_day_with_every_channel),
        cmocka_unit_test(test_memory__tables_of_every_shape),
        cmocka_unit_test(test_memory__real_recordings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
