/* server/answers/traces.c: a ride's channels at the resolution that a screen can show. */
#include "server/answers/traces.h"

#include "base/json.h"
#include "coaching/words/words.h"

#include <math.h>
#include <string.h>

enum value_type { TYPE_UINT8, TYPE_INT16 };

/* How a channel is sent: `steps` of the recording's own steps are one step of the array. */
struct trace_row {
    enum channel channel;
    enum value_type type;
    int32_t steps;
    double scale; /* times it a value is in `unit` */
    const char *unit;
};

static const struct trace_row rows[] = {
    { CHANNEL_POWER, TYPE_INT16, 1, 1.0, "W" },
    { CHANNEL_HEART_RATE, TYPE_UINT8, 1, 1.0, "bpm" },
    { CHANNEL_CADENCE, TYPE_UINT8, 1, 1.0, "rpm" },
    { CHANNEL_SPEED, TYPE_INT16, 10, 0.01, "m/s" },
    { CHANNEL_ALTITUDE, TYPE_INT16, 2, 0.2, "m" },
    { CHANNEL_TEMPERATURE, TYPE_INT16, 1, 0.1, "degrees C" },
};
enum { ROWS = sizeof rows / sizeof rows[0] };

enum part { PART_FIRST, PART_MIN, PART_MAX, PART_LAST, PART_MEAN, PARTS };
static const char *const part_names[PARTS] = { "first", "min", "max", "last", "mean" };

/* One answer being made. */
struct traces {
    const struct recording *recording;
    struct span span;
    int32_t bucket_s;
    size_t n;                   /* values in an array */
    size_t parts;               /* arrays of a channel: 1, or PARTS */
    bool usable[UINT8_MAX + 1]; /* by mask: asked of every second */
};

static const char *type_name(enum value_type type)
{
    return type == TYPE_UINT8 ? "uint8" : "int16";
}

static size_t type_size(enum value_type type)
{
    return type == TYPE_UINT8 ? 1 : 2;
}

static int32_t missing_of(enum value_type type)
{
    return type == TYPE_UINT8 ? UINT8_MAX : INT16_MIN;
}

static size_t padded(size_t size)
{
    return (size + 7) / 8 * 8;
}

static bool has(const struct traces *traces, const struct trace_row *row)
{
    return traces->recording->value[row->channel] != NULL;
}

/* ---- values ---- */

struct bucket {
    int32_t part[PART_MEAN]; /* in the recording's steps */
    int64_t sum;
    int32_t count; /* of usable seconds; 0 = the rest means nothing */
};

static struct bucket summarise(const struct traces *traces, enum channel channel, size_t place)
{
    const int32_t *value = traces->recording->value[channel];
    const uint8_t *mask = traces->recording->mask[channel];
    const int32_t from = traces->span.from_s + (int32_t)place * traces->bucket_s;
    const int32_t end = from + traces->bucket_s;
    const int32_t to = end < traces->span.to_s ? end : traces->span.to_s;
    struct bucket bucket = { .part[PART_MIN] = INT32_MAX, .part[PART_MAX] = INT32_MIN };
    for (int32_t s = from; s < to; s++) {
        const int32_t v = value[s];
        if (!traces->usable[mask[s]] || v == RECORDING_MISSING) {
            continue;
        }
        bucket.part[PART_FIRST] = bucket.count == 0 ? v : bucket.part[PART_FIRST];
        bucket.part[PART_MIN] = v < bucket.part[PART_MIN] ? v : bucket.part[PART_MIN];
        bucket.part[PART_MAX] = v > bucket.part[PART_MAX] ? v : bucket.part[PART_MAX];
        bucket.part[PART_LAST] = v;
        bucket.sum += v;
        bucket.count++;
    }
    return bucket;
}

/* Within what the type holds besides `missing`. */
static int32_t held(enum value_type type, int64_t value)
{
    const int32_t least = type == TYPE_UINT8 ? 0 : INT16_MIN + 1;
    const int32_t most = type == TYPE_UINT8 ? UINT8_MAX - 1 : INT16_MAX;
    return value < least ? least : value > most ? most : (int32_t)value;
}

/* In the array's steps, halves away from 0. */
static int32_t stepped(const struct trace_row *row, int64_t value)
{
    const int64_t half = row->steps / 2;
    return held(row->type, row->steps == 1 ? value
                           : value >= 0    ? (value + half) / row->steps
                                           : -((half - value) / row->steps));
}

static int32_t mean_stepped(const struct trace_row *row, const struct bucket *bucket)
{
    const double mean = (double)bucket->sum / (double)bucket->count;
    return held(row->type, (int64_t)round(mean / (double)row->steps));
}

static void put(char *bytes, enum value_type type, size_t place, int32_t value)
{
    const uint32_t bits = (uint32_t)value;
    if (type == TYPE_UINT8) {
        bytes[place] = (char)(bits & 0xff);
    } else {
        bytes[2 * place] = (char)(bits & 0xff);
        bytes[2 * place + 1] = (char)((bits >> 8) & 0xff);
    }
}

/* Every second: one array. */
static void put_seconds(char *bytes, const struct traces *traces, const struct trace_row *row)
{
    const int32_t *value = traces->recording->value[row->channel] + traces->span.from_s;
    const uint8_t *mask = traces->recording->mask[row->channel] + traces->span.from_s;
    const int32_t missing = missing_of(row->type);
    for (size_t i = 0; i < traces->n; i++) {
        const bool known = traces->usable[mask[i]] && value[i] != RECORDING_MISSING;
        put(bytes, row->type, i, known ? stepped(row, value[i]) : missing);
    }
}

/* The five of each bucket: as many arrays, one after the other. */
static void put_buckets(char *bytes, size_t size, const struct traces *traces,
                        const struct trace_row *row)
{
    for (size_t i = 0; i < traces->n; i++) {
        const struct bucket bucket = summarise(traces, row->channel, i);
        for (size_t part = 0; part < traces->parts; part++) {
            put(bytes + part * size, row->type, i,
                bucket.count == 0   ? missing_of(row->type)
                : part == PART_MEAN ? mean_stepped(row, &bucket)
                                    : stepped(row, bucket.part[part]));
        }
    }
}

static void add_channel(struct text *out, const struct traces *traces, const struct trace_row *row)
{
    const size_t size = padded(traces->n * type_size(row->type));
    char *bytes = arena_alloc(out->arena, traces->parts * size, 1);
    if (traces->parts == 1) {
        put_seconds(bytes, traces, row);
    } else {
        put_buckets(bytes, size, traces, row);
    }
    text_add_bytes(out, bytes, traces->parts * size);
}

/* ---- head ---- */

/* base: where the arrays begin.  Returns where they end. */
static size_t arrays_json(struct json *json, const struct traces *traces, size_t base)
{
    size_t offset = base;
    json_begin_array(json, "arrays");
    for (size_t r = 0; r < ROWS; r++) {
        const char *name = channel_row(rows[r].channel)->name;
        for (size_t p = 0; has(traces, &rows[r]) && p < traces->parts; p++) {
            json_begin_object(json, NULL);
            json_string(json, "name",
                        traces->parts == 1
                            ? name
                            : arena_format(json->out->arena, "%s.%s", name, part_names[p]));
            json_string(json, "type", type_name(rows[r].type));
            json_string(json, "unit", rows[r].unit);
            json_number(json, "scale", rows[r].scale, 3);
            json_integer(json, "missing", missing_of(rows[r].type));
            json_integer(json, "offset", (int64_t)offset);
            json_integer(json, "count", (int64_t)traces->n);
            json_end_object(json);
            offset += padded(traces->n * type_size(rows[r].type));
        }
    }
    json_end_array(json);
    return offset;
}

/* A stretch of one reason that can't be used; a pause is told apart. */
static void channel_masks_json(struct json *json, const struct traces *traces, enum channel channel)
{
    const uint8_t *mask = traces->recording->mask[channel];
    for (int32_t s = traces->span.from_s; s < traces->span.to_s;) {
        const int32_t from = s;
        const uint8_t reason = mask[from];
        while (s < traces->span.to_s && mask[s] == reason) {
            s++;
        }
        if (!mask_is_usable(reason) && reason != MASK_PAUSED) {
            json_begin_object(json, NULL);
            json_string(json, "channel", channel_row(channel)->name);
            json_integer(json, "from_s", from);
            json_integer(json, "to_s", s);
            json_string(json, "text", words_mask(channel, (enum mask_reason)reason));
            json_end_object(json);
        }
    }
}

static void pauses_json(struct json *json, const struct traces *traces)
{
    const struct recording *recording = traces->recording;
    json_begin_array(json, "pauses");
    for (size_t i = 0; i < recording->n_pauses; i++) {
        const struct span pause = recording->pauses[i];
        const int32_t from =
            pause.from_s > traces->span.from_s ? pause.from_s : traces->span.from_s;
        const int32_t to = pause.to_s < traces->span.to_s ? pause.to_s : traces->span.to_s;
        if (from < to) {
            json_begin_array(json, NULL);
            json_integer(json, NULL, from);
            json_integer(json, NULL, to);
            json_end_array(json);
        }
    }
    json_end_array(json);
}

static void head_json(struct text *out, const struct traces *traces, size_t base)
{
    struct json json = json_begin(out);
    json_begin_object(&json, NULL);
    json_integer(&json, "from_s", traces->span.from_s);
    json_integer(&json, "to_s", traces->span.to_s);
    json_integer(&json, "seconds", (int64_t)traces->recording->n_seconds);
    json_integer(&json, "bucket_s", traces->bucket_s);
    arrays_json(&json, traces, base);
    json_begin_array(&json, "masks");
    for (size_t r = 0; r < ROWS; r++) {
        if (has(traces, &rows[r])) {
            channel_masks_json(&json, traces, rows[r].channel);
        }
    }
    json_end_array(&json);
    pauses_json(&json, traces);
    json_end_object(&json);
}

void traces_answer(struct text *out, const struct recording *recording,
                   const struct traces_wish *wish)
{
    const int32_t seconds = wish->span.to_s - wish->span.from_s;
    const int32_t bucket_s = (seconds + wish->points - 1) / wish->points;
    struct traces traces = { .recording = recording,
                             .span = wish->span,
                             .bucket_s = bucket_s,
                             .n = (size_t)((seconds + bucket_s - 1) / bucket_s),
                             .parts = bucket_s == 1 ? 1 : PARTS };
    for (size_t reason = 0; reason <= UINT8_MAX; reason++) {
        traces.usable[reason] = mask_is_usable((uint8_t)reason);
    }
    /* Offsets are told in digits, whose number depends on them: room for the longest. */
    enum { DIGITS_MOST = 10 };
    struct text head = text_begin(out->arena, out->cap);
    head_json(&head, &traces, 0);
    const size_t base = padded(4 + head.length + ROWS * PARTS * DIGITS_MOST);
    head = text_begin(out->arena, out->cap);
    head_json(&head, &traces, base);
    while (head.length < base - 4 && !head.cut) {
        text_add(&head, " ");
    }
    const uint32_t length = (uint32_t)head.length;
    const char bytes[4] = { (char)(length & 0xff), (char)((length >> 8) & 0xff),
                            (char)((length >> 16) & 0xff), (char)((length >> 24) & 0xff) };
    text_add_bytes(out, bytes, sizeof bytes);
    text_add_bytes(out, head.bytes, head.length);
    for (size_t r = 0; r < ROWS; r++) {
        if (has(&traces, &rows[r])) {
            add_channel(out, &traces, &rows[r]);
        }
    }
}
