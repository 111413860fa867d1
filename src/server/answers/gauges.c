/* server/answers/gauges.c: what the page gets beside a reading. */
#include "server/answers/gauges.h"

#include "base/data.h"
#include "coaching/gauge.h"
#include "coaching/words/words.h"
#include "coaching/words/worth_words.h"
#include "drawing/scene_json.h"

#include <pthread.h>

static pthread_key_t fonts_key;
static pthread_once_t fonts_once = PTHREAD_ONCE_INIT;

static void close_fonts(void *fonts)
{
    fonts_close(fonts);
}

static void make_key(void)
{
    if (pthread_key_create(&fonts_key, close_fonts) != 0) {
        fonts_key = 0;
    }
}

bool gauges_fonts(struct arena *arena, struct fonts **out, struct error *err)
{
    const char *folder = NULL;
    pthread_once(&fonts_once, make_key);
    *out = pthread_getspecific(fonts_key);
    if (*out != NULL) {
        return true;
    }
    if (!data_find(arena, "fonts", &folder, err) || !fonts_open(folder, out, err)) {
        return false;
    }
    if (pthread_setspecific(fonts_key, *out) != 0) {
        fonts_close(*out);
        return error_set(err, ERROR_INTERNAL, "no room for a thread's fonts");
    }
    return true;
}

void answer_json(struct json *json, enum verdict verdict)
{
    json_string(json, "answer", verdict_answer_name(verdict_answer(verdict)));
}

void gauge_json(struct json *json, const struct gauges *gauges, const struct reading *reading)
{
    struct scene scene;
    struct gauge gauge;
    if (reading == NULL || !figure_gauge(&gauges->maker, reading, false, &scene)) {
        json_null(json, "gauge");
        json_null(json, "gauge_words");
        return;
    }
    scene_json(json, "gauge", &scene);
    json_string(json, "gauge_words",
                reading_gauge(gauges->maker.arena, reading, &gauge)
                    ? gauge_in_words(gauges->maker.arena, &gauge)
                    : NULL);
}

static void add_more(struct json *json, const struct reading *reading, void *context)
{
    const struct gauges *gauges = context;
    const size_t lead = words_lead(reading->text);
    json_string(json, "heading", words_question(reading->question));
    json_string(json, "lead",
                lead == 0 ? NULL
                          : arena_format(gauges->maker.arena, "%.*s", (int)lead, reading->text));
    answer_json(json, reading->verdict);
    json_string(json, "verdict_words", words_verdict(reading->verdict));
    json_string(json, "worth", words_worth(reading->question));
    gauge_json(json, gauges, reading);
}

bool gauges_begin(struct arena *arena, double width, struct gauges *out, struct error *err)
{
    struct fonts *fonts = NULL;
    if (!gauges_fonts(arena, &fonts, err)) {
        return false;
    }
    *out = (struct gauges){ .maker = { arena, fonts, width }, .more = { add_more, out } };
    return true;
}
