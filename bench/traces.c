/* bench/traces.c: a ride's seconds on their way to the page: as JSON against a tree of jansson and
 * against JSON.stringify, and as the arrays that are really sent against that JSON, in time and in
 * bytes. */
#include "peer.h"

#include "base/json.h"
#include "maths/maths.h"
#include "maths/random.h"
#include "server/answers/traces.h"

#include <dlfcn.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { SECONDS = 5 * 3600, CHANNELS = 5, POINTS = 800, MOST_BYTES = 16000000 };

static const enum channel channels[CHANNELS] = { CHANNEL_POWER, CHANNEL_HEART_RATE, CHANNEL_CADENCE,
                                                 CHANNEL_SPEED, CHANNEL_ALTITUDE };

struct run {
    struct recording recording;
    struct traces_wish wish;
    size_t bytes; /* of the last answer */
    double answer[1];
};

/* Values that wander as a ride's do. */
static struct run *make_run(struct arena *arena)
{
    static const double middles[CHANNELS] = { 180, 140, 85, 8500, 4000 };
    static const double steps[CHANNELS] = { 25, 1, 2, 150, 3 };
    struct run *run = arena_alloc(arena, 1, sizeof *run);
    struct random random = random_begin(3);
    run->recording = recording_unknown();
    run->recording.n_seconds = SECONDS;
    for (size_t c = 0; c < CHANNELS; c++) {
        int32_t *value = ARENA_ARRAY(arena, int32_t, SECONDS);
        double at = middles[c];
        for (size_t i = 0; i < SECONDS; i++) {
            at += 0.02 * (middles[c] - at) + steps[c] * random_normal(&random);
            value[i] = (int32_t)fmax(at, 0.0);
        }
        run->recording.value[channels[c]] = value;
        run->recording.mask[channels[c]] = ARENA_ARRAY(arena, uint8_t, SECONDS);
    }
    return run;
}

/* ---- ways ---- */

static void by_json(void *with)
{
    struct run *run = with;
    struct arena *arena = arena_open();
    struct text out = text_begin(arena, MOST_BYTES);
    struct json json = json_begin(&out);
    json_begin_object(&json, NULL);
    for (size_t c = 0; c < CHANNELS; c++) {
        json_begin_array(&json, channel_row(channels[c])->name);
        for (size_t i = 0; i < SECONDS; i++) {
            json_integer(&json, NULL, run->recording.value[channels[c]][i]);
        }
        json_end_array(&json);
    }
    json_end_object(&json);
    run->bytes = out.length;
    run->answer[0] = (double)out.length;
    arena_close(arena);
}

/* The library's calls have the names of base/json's, so it is loaded apart from them. */
struct jansson {
    void *(*object)(void);
    void *(*array)(void);
    void *(*integer)(long long value);
    int (*append)(void *array, void *value);
    int (*set)(void *object, const char *key, void *value);
    char *(*dumps)(const void *value, size_t flags);
    void (*delete)(void *value);
};
static struct jansson jansson;

enum { JANSSON_COMPACT = 0x20 };

static bool load_jansson(void)
{
    void *library = dlopen("libjansson.so.4", RTLD_NOW | RTLD_LOCAL | RTLD_DEEPBIND);
    const struct {
        const char *name;
        void *to;
    } calls[] = {
        { "json_object", &jansson.object },      { "json_array", &jansson.array },
        { "json_integer", &jansson.integer },    { "json_array_append_new", &jansson.append },
        { "json_object_set_new", &jansson.set }, { "json_dumps", &jansson.dumps },
        { "json_delete", &jansson.delete },
    };
    for (size_t i = 0; i < COUNT(calls); i++) {
        void *call = library == NULL ? NULL : dlsym(library, calls[i].name);
        if (call == NULL) {
            return false;
        }
        memcpy(calls[i].to, &call, sizeof call);
    }
    return true;
}

static void by_jansson(void *with)
{
    struct run *run = with;
    void *root = jansson.object();
    for (size_t c = 0; c < CHANNELS; c++) {
        void *array = jansson.array();
        for (size_t i = 0; i < SECONDS; i++) {
            (void)jansson.append(array, jansson.integer(run->recording.value[channels[c]][i]));
        }
        (void)jansson.set(root, channel_row(channels[c])->name, array);
    }
    char *text = jansson.dumps(root, JANSSON_COMPACT);
    run->bytes = strlen(text);
    free(text);
    jansson.delete(root);
}

static void by_arrays(void *with)
{
    struct run *run = with;
    struct arena *arena = arena_open();
    struct text out = text_begin(arena, MOST_BYTES);
    traces_answer(&out, &run->recording, &run->wish);
    run->bytes = out.length;
    arena_close(arena);
}

/* One object a second, as a list of a ride's records would be. */
static size_t bytes_as_records(struct arena *arena, const struct run *run)
{
    struct text out = text_begin(arena, MOST_BYTES);
    struct json json = json_begin(&out);
    json_begin_array(&json, NULL);
    for (size_t i = 0; i < SECONDS; i++) {
        json_begin_object(&json, NULL);
        json_integer(&json, "second", (int64_t)i);
        for (size_t c = 0; c < CHANNELS; c++) {
            json_integer(&json, channel_row(channels[c])->name,
                         run->recording.value[channels[c]][i]);
        }
        json_end_object(&json);
    }
    json_end_array(&json);
    return out.length;
}

/* ---- rows ---- */

static struct bench_peer *open_node(struct arena *arena, const struct run *run)
{
    struct text out = text_begin(arena, MOST_BYTES);
    for (size_t c = 0; c < CHANNELS; c++) {
        text_add_format(&out, "%s", channel_row(channels[c])->name);
        for (size_t i = 0; i < SECONDS; i++) {
            text_add_format(&out, " %d", run->recording.value[channels[c]][i]);
        }
        text_add(&out, "\n");
    }
    const char *path = bench_file(arena, "columns.txt", out.bytes, out.length);
    return bench_peer_open(arena, "traces.mjs", (const char *const[]){ path, NULL });
}

int main(void)
{
    maths_begin();
    bench_begin();
    struct arena *arena = arena_open();
    struct run *run = make_run(arena);
    bench_title("A ride of 5 h on its way to the page, five channels");

    const struct bench_way json = { by_json, run };
    const struct bench_way tree = { by_jansson, run };
    by_json(run);
    const size_t columns_bytes = run->bytes;
    if (!load_jansson()) {
        bench_absent("13", "JSON of all seconds", "jansson's tree");
    } else {
        by_jansson(run);
        if (run->bytes != columns_bytes) {
            bench_differs("13", "JSON of all seconds", "jansson's tree", "another number of bytes");
        } else {
            bench_faster("13", "JSON of all seconds", "jansson's tree", bench_pair(json, tree), 10);
        }
    }
    struct bench_peer *node = open_node(arena, run);
    bench_against(&(struct bench_with_peer){ .goal = "13",
                                             .what = "JSON of all seconds",
                                             .ours = json,
                                             .answer = run->answer,
                                             .n = 1,
                                             .tolerance = 1e-12,
                                             .floor = 1,
                                             .wanted = 1.5 },
                  node, "Node.js");
    if (node != NULL) {
        bench_peer_close(node);
    }

    const struct bench_way arrays = { by_arrays, run };
    run->wish = (struct traces_wish){ { 0, SECONDS }, SECONDS };
    bench_within("13", "arrays of all seconds", "the JSON of them", bench_pair(arrays, json),
                 1.0 / 15.0);
    run->wish.points = POINTS;
    bench_within("13", "first, least, most, last, mean of 800", "the JSON of all seconds",
                 bench_pair(arrays, json), 0.2);
    by_arrays(run);
    const double sent = (double)run->bytes;
    bench_counts("page", "what is sent, 800 points", "JSON by the second", sent,
                 (double)bytes_as_records(arena, run), "bytes", BENCH_AT_LEAST, 20);
    bench_counts("page", "what is sent, 800 points", "JSON by columns", sent, (double)columns_bytes,
                 "bytes", BENCH_AT_LEAST, 20);
    arena_close(arena);
    return 0;
}
