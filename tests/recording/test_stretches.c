/* tests/recording/test_stretches.c: where a file is cut by its clock.  Expected values by hand,
 * from the rules in recording/stretches.h, with the limits as they are: back 60 s, jump 43,200 s,
 * pause gap 10 s. */
#include "check.h"

#include "base/text.h"
#include "recording/stretches.h"

#include <string.h>

enum { MOST = 8 };

/* "0 1 3x | 0 1": seconds of each stretch, x = dropped. */
static const char *show(struct arena *arena, const struct stretches *stretches)
{
    struct text text = text_begin(arena, 200);
    for (size_t i = 0; i < stretches->count; i++) {
        const struct stretch *stretch = &stretches->items[i];
        text_add(&text, i == 0 ? "" : " |");
        for (size_t k = stretch->from; k < stretch->to; k++) {
            text_add_format(&text, "%s%d%s", i + k == 0 ? "" : " ", stretches->time_s[k],
                            stretches->dropped[k] != 0 ? "x" : "");
        }
    }
    return text.bytes;
}

static void test_stretches__cut_where_clock_or_file_says(void **state)
{
    (void)state;
    enum { I = STRETCH_INSIDE, G = STRETCH_MAY_GO_ON, A = STRETCH_APART };
    static const struct {
        const char *name;
        size_t n;
        int64_t time_ms[MOST];
        uint8_t link[MOST];
        const char *want;
    } rows[] = {
        { "one", 1, { -5 }, { I }, "0" },
        { "halves are rounded up", 4, { 0, 499, 500, 1500 }, { 0 }, "0 0 1 2" },
        { "back a little, before the first too", 4, { 0, 2000, -1500, 3000 }, { 0 }, "0 2 -2x 3" },
        { "back by the limit", 3, { 60000, 0, 61000 }, { 0 }, "0 -60x 1" },
        { "back by more", 3, { 60001, 0, 1000 }, { 0 }, "0 | 0 1" },
        { "ahead by the limit", 3, { 0, 43200000, 43201000 }, { 0 }, "0 43200 43201" },
        { "ahead by more", 3, { 0, 43200001, 43201001 }, { 0 }, "0 | 0 1" },
        { "one far ahead alone", 4, { 0, 1000, 61001, 2000 }, { 0 }, "0 1 1x 2" },
        { "one far back alone", 4, { 0, 1000, -60000, 2000 }, { 0 }, "0 1 1x 2" },
        { "two far back", 5, { 0, 1000, -60000, -59000, 2000 }, { 0 }, "0 1 | 0 1 62" },
        { "far at the end isn't alone", 3, { 0, 1000, 99000 }, { 0 }, "0 1 99" },
        { "another track soon", 4, { 0, 1000, 11000, 12000 }, { I, I, G, I }, "0 1 11 12" },
        { "another track later", 4, { 0, 1000, 11001, 12001 }, { I, I, G, I }, "0 1 | 0 1" },
        { "another track before", 4, { 0, 1000, 999, 1999 }, { I, I, G, I }, "0 1 | 0 1" },
        { "another recording", 4, { 0, 1000, 2000, 3000 }, { I, I, A, I }, "0 1 | 0 1" },
        { "far at a track's end", 4, { 0, 1000, 99000, 2000 }, { I, I, I, G }, "0 1 99 | 0" },
    };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct stretches out;
        const struct stretch_times times = { rows[i].n, rows[i].time_ms, rows[i].link };
        check_integer(rows[i].name, stretches_cut(arena, &times, &limits, &out), STRETCHES_CUT);
        check_text(rows[i].name, show(arena, &out), rows[i].want);
        arena_close(arena);
    }
}

static void test_stretches__say_what_the_clock_did(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    /* -2 s and 90 s are dropped; then the clock is set back by an hour. */
    const int64_t time_ms[] = { 0, 5000, -2000, 90000, 6000, -3594000, -3593000 };
    const struct stretch_times times = { COUNT(time_ms), time_ms, NULL };
    int32_t power[COUNT(time_ms)] = { 1, 2, 3, 4, 5, 6, 7 };
    int32_t pulse[COUNT(time_ms)] = { 1, 2, 3, 4, 5, RECORDING_MISSING, RECORDING_MISSING };
    int32_t *value[CHANNEL_COUNT] = { [CHANNEL_POWER] = power, [CHANNEL_HEART_RATE] = pulse };
    struct stretches out;
    check_integer("cut", stretches_cut(arena, &times, &limits, &out), STRETCHES_CUT);
    check_integer("stretches", (int64_t)out.count, 2);
    check_integer("seconds", (int64_t)stretches_seconds(&out), 7 + 2);
    check_integer("most back", out.items[0].most_back_ms, 7000);
    const struct stretch_clock *first = &out.items[0].clock;
    const struct stretch_clock *second = &out.items[1].clock;
    check_integer("back", (int64_t)first->n_back, 1);
    check_integer("wild", (int64_t)first->n_wild, 1);
    check(!first->set_before && first->set_after && second->set_before && !second->set_after);
    check_near("set by", first->after_s, -3600.0, 0);
    check_near("set by", second->before_s, -3600.0, 0);

    struct recording *recording = stretches_recording(arena, &out, 1, value);
    check_integer("part", (int64_t)recording->part, 2);
    check_integer("parts", (int64_t)recording->parts, 2);
    check_integer("samples", (int64_t)recording->samples.count, 2);
    check(recording->samples.value[CHANNEL_POWER] == power + 5);
    check(recording->samples.value[CHANNEL_HEART_RATE] == NULL);
    arena_close(arena);
}

static void test_stretches__stop_at_the_caps(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const size_t most = (size_t)limits.value[LIMIT_CAP_FILE_RECORDINGS];
    int64_t *time_ms = ARENA_ARRAY(arena, int64_t, most + 1);
    uint8_t *link = ARENA_ARRAY(arena, uint8_t, most + 1);
    memset(link, STRETCH_APART, most + 1);
    struct stretches out;
    struct stretch_times times = { most, time_ms, link };
    check_integer("as many", stretches_cut(arena, &times, &limits, &out), STRETCHES_CUT);
    times.count = most + 1;
    check_integer("one more", stretches_cut(arena, &times, &limits, &out), STRETCHES_TOO_MANY);

    const int64_t longest_ms = (int64_t)limits.value[LIMIT_CAP_RECORDING_S] * 1000;
    const int64_t quarter_ms = longest_ms / 4;
    int64_t long_ms[] = { 0, quarter_ms, 2 * quarter_ms, 3 * quarter_ms, longest_ms - 1 };
    times = (struct stretch_times){ COUNT(long_ms), long_ms, NULL };
    check_integer("long", stretches_cut(arena, &times, &limits, &out), STRETCHES_CUT);
    long_ms[4] = longest_ms;
    check_integer("too long", stretches_cut(arena, &times, &limits, &out), STRETCHES_TOO_LONG);
    check_integer("up to there", out.longest_ms, longest_ms);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_stretches__cut_where_clock_or_file_says),
        cmocka_unit_test(test_stretches__say_what_the_clock_did),
        cmocka_unit_test(test_stretches__stop_at_the_caps),
    };
    return cmocka_run_group_tests_name("stretches", tests, NULL, NULL);
}
