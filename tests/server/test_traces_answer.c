/* The bytes of a ride's traces, read back and compared with a plain twin of their definition. */
#include "check.h"

#include "server/answers/traces.h"
#include "server/body.h"

#include <math.h>
#include <string.h>

/* Seconds with every kind of mask, from a counter: the same each time. */
static struct recording make_recording(struct arena *arena, size_t n)
{
    struct recording recording = recording_unknown();
    uint32_t state = 12345;
    recording.n_seconds = n;
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        if (c == CHANNEL_DISTANCE || c == CHANNEL_TEMPERATURE) {
            continue;
        }
        recording.value[c] = ARENA_ARRAY(arena, int32_t, n);
        recording.mask[c] = ARENA_ARRAY(arena, uint8_t, n);
        for (size_t i = 0; i < n; i++) {
            state = state * 1664525u + 1013904223u;
            recording.value[c][i] =
                (int32_t)((state >> 24) % 250) - (c == CHANNEL_ALTITUDE ? 100 : 0);
            recording.mask[c][i] = (state >> 8) % 5 == 0 ? (uint8_t)((state >> 16) % 8) : 0;
        }
    }
    return recording;
}

/* What came, taken apart. */
struct came {
    const uint8_t *bytes;
    size_t size;
    const struct body *head;
};

static struct came answer(struct arena *arena, const struct recording *recording, int32_t from,
                          int32_t to, int32_t points)
{
    struct text out = text_begin(arena, 10000000);
    const struct traces_wish wish = { { from, to }, points };
    traces_answer(&out, recording, &wish);
    check(!out.cut && out.length > 4);
    struct came came = { (const uint8_t *)out.bytes, out.length, NULL };
    const size_t length = (size_t)came.bytes[0] | (size_t)came.bytes[1] << 8 |
                          (size_t)came.bytes[2] << 16 | (size_t)came.bytes[3] << 24;
    struct error err = { 0 };
    check(length <= came.size - 4);
    check(body_read(arena, (struct bytes){ came.bytes + 4, length }, &came.head, &err));
    return came;
}

static int64_t number(const struct body *object, const char *key)
{
    int64_t value = -1;
    struct error err = { 0 };
    check(body_integer(object, key, BODY_NEEDED, &value, &err));
    return value;
}

/* The array of that name; NULL if there is none. */
static const struct body *array_of(const struct came *came, const char *name)
{
    const struct body *arrays = body_find(came->head, "arrays");
    for (size_t i = 0; i < arrays->n_items; i++) {
        if (strcmp(body_find(&arrays->items[i], "name")->text, name) == 0) {
            return &arrays->items[i];
        }
    }
    return NULL;
}

/* A value in its unit; NAN where it is missing. */
static double value_at(const struct came *came, const struct body *array, size_t i)
{
    const bool is_small = strcmp(body_find(array, "type")->text, "uint8") == 0;
    const size_t at = (size_t)number(array, "offset") + i * (is_small ? 1 : 2);
    check(at + (is_small ? 1 : 2) <= came->size);
    int32_t value = came->bytes[at];
    if (!is_small) {
        value |= came->bytes[at + 1] << 8;
        value = value >= 32768 ? value - 65536 : value;
    }
    return value == number(array, "missing") ? (double)NAN
                                             : (double)value * body_find(array, "scale")->real;
}

static const struct {
    enum channel channel;
    double unit; /* of one step of the recording */
    double step; /* of the array, in the unit */
} rows[] = {
    { CHANNEL_POWER, 1.0, 1.0 },    { CHANNEL_HEART_RATE, 1.0, 1.0 }, { CHANNEL_CADENCE, 1.0, 1.0 },
    { CHANNEL_SPEED, 0.001, 0.01 }, { CHANNEL_ALTITUDE, 0.1, 0.2 },
};

/* The five of a bucket by their definition. */
static void twin(const struct recording *recording, enum channel channel, int32_t from, int32_t to,
                 double five[5])
{
    double sum = 0.0;
    int n = 0;
    for (int k = 0; k < 5; k++) {
        five[k] = (double)NAN;
    }
    for (int32_t s = from; s < to; s++) {
        const double v = (double)recording->value[channel][s];
        if (!mask_is_usable(recording->mask[channel][s])) {
            continue;
        }
        five[0] = n == 0 ? v : five[0];
        five[1] = n == 0 ? v : fmin(five[1], v);
        five[2] = n == 0 ? v : fmax(five[2], v);
        five[3] = v;
        sum += v;
        five[4] = sum / (double)++n;
    }
}

static void check_same(const char *row, double got, double want, double step)
{
    check(isnan(got) == isnan(want));
    if (!isnan(want)) {
        /* Rounded to half a step. */
        check_near(row, got, want, step * 0.5 + 1e-9);
    }
}

static void test_traces_answer__buckets_are_first_least_greatest_last_and_mean(void **state)
{
    static const char *const parts[] = { "first", "min", "max", "last", "mean" };
    static const int32_t wishes[][3] = { { 0, 1000, 16 }, { 7, 998, 100 }, { 0, 1000, 999 } };
    struct arena *arena = arena_open();
    const struct recording recording = make_recording(arena, 1000);
    (void)state;
    for (size_t w = 0; w < COUNT(wishes); w++) {
        const int32_t from = wishes[w][0];
        const int32_t to = wishes[w][1];
        const struct came came = answer(arena, &recording, from, to, wishes[w][2]);
        const int32_t step = (int32_t)number(came.head, "bucket_s");
        check_integer("bucket", step, (to - from + wishes[w][2] - 1) / wishes[w][2]);
        for (size_t r = 0; r < COUNT(rows); r++) {
            for (int32_t i = 0; from + i * step < to; i++) {
                double five[5];
                const int32_t end = from + (i + 1) * step;
                twin(&recording, rows[r].channel, from + i * step, end < to ? end : to, five);
                for (size_t p = 0; p < COUNT(parts); p++) {
                    const char *name =
                        arena_format(arena, "%s.%s", channel_row(rows[r].channel)->name, parts[p]);
                    check_same(name, value_at(&came, array_of(&came, name), (size_t)i),
                               five[p] * rows[r].unit, rows[r].step);
                }
            }
        }
    }
    arena_close(arena);
}

static void test_traces_answer__a_span_that_fits_is_given_second_by_second(void **state)
{
    struct arena *arena = arena_open();
    const struct recording recording = make_recording(arena, 500);
    const struct came came = answer(arena, &recording, 100, 400, 300);
    (void)state;
    check_integer("bucket", number(came.head, "bucket_s"), 1);
    check(array_of(&came, "power_w.min") == NULL && array_of(&came, "temperature_c") == NULL);
    for (size_t r = 0; r < COUNT(rows); r++) {
        const char *name = channel_row(rows[r].channel)->name;
        const struct body *array = array_of(&came, name);
        check_integer(name, number(array, "offset") % 8, 0);
        for (int32_t s = 100; s < 400; s++) {
            double five[5];
            twin(&recording, rows[r].channel, s, s + 1, five);
            check_same(name, value_at(&came, array, (size_t)(s - 100)), five[0] * rows[r].unit,
                       rows[r].step);
        }
    }
    arena_close(arena);
}

static void test_traces_answer__what_is_too_great_for_its_type_is_held_at_its_end(void **state)
{
    struct arena *arena = arena_open();
    struct recording recording = make_recording(arena, 20);
    (void)state;
    recording.value[CHANNEL_CADENCE][3] = 300;
    recording.mask[CHANNEL_CADENCE][3] = MASK_NONE;
    recording.value[CHANNEL_POWER][4] = 40000;
    recording.mask[CHANNEL_POWER][4] = MASK_NONE;
    const struct came came = answer(arena, &recording, 0, 20, 20);
    check_near("cadence", value_at(&came, array_of(&came, "cadence_rpm"), 3), 254.0, 1e-9);
    check_near("power", value_at(&came, array_of(&came, "power_w"), 4), 32767.0, 1e-9);
    arena_close(arena);
}

static void test_traces_answer__masks_are_the_stretches_that_cant_be_used(void **state)
{
    struct arena *arena = arena_open();
    const struct recording recording = make_recording(arena, 300);
    const struct came came = answer(arena, &recording, 20, 260, 16);
    const struct body *masks = body_find(came.head, "masks");
    size_t told = 0;
    size_t wanted = 0;
    (void)state;
    for (size_t i = 0; i < masks->n_items; i++) {
        if (strcmp(body_find(&masks->items[i], "channel")->text, "power_w") == 0) {
            const int64_t from = number(&masks->items[i], "from_s");
            const int64_t to = number(&masks->items[i], "to_s");
            check(from >= 20 && from < to && to <= 260);
            told += (size_t)(to - from);
        }
    }
    for (int32_t s = 20; s < 260; s++) {
        const uint8_t reason = recording.mask[CHANNEL_POWER][s];
        wanted += !mask_is_usable(reason) && reason != MASK_PAUSED ? 1 : 0;
    }
    check_integer("seconds", (int64_t)told, (int64_t)wanted);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_traces_answer__buckets_are_first_least_greatest_last_and_mean),
        cmocka_unit_test(test_traces_answer__a_span_that_fits_is_given_second_by_second),
        cmocka_unit_test(test_traces_answer__what_is_too_great_for_its_type_is_held_at_its_end),
        cmocka_unit_test(test_traces_answer__masks_are_the_stretches_that_cant_be_used),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
