/* tests/npm/write_workouts.c: FOLDER/NAME.fit for every session of the library and a few more, and
 * beside each FOLDER/NAME.json: what was asked.  tests/npm/fit_workout.test.mjs reads both.
 *
 * usage: write_workouts FOLDER */
#include "base/files.h"
#include "base/json.h"
#include "coaching/session_device.h"
#include "coaching/session_library.h"
#include "coaching/session_text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Invented; what the library has no session for. */
static const struct {
    const char *name;
    const char *words;
    double threshold_w;
} more[] = {
    { "in-percent", "5 times (4 min at 106-112 %, 4 min at 50 %)", (double)NAN },
    { "heart-and-legs",
      "10 min at 130-145 bpm with 85-95 rpm \"seated\", 20 min at 65-75 % of maximal heart rate, "
      "until the button",
      250 },
    { "in-one-another", "2 times (3 times (30 s at 400 W, 90 s), rest 5 min at 45 %), 1 s", 250 },
    { "long-words",
      "4 min at 100 % \"\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9"
      "\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\"",
      251 },
};

static void tell(struct json *json, const struct fit_workout *workout)
{
    static const char *const aims[] = { "open", "w", "pct", "bpm", "max_pct" };
    json_begin_object(json, NULL);
    json_string(json, "name", workout->name);
    json_integer(json, "made_utc_s", workout->made_utc);
    json_integer(json, "serial", workout->serial);
    json_begin_array(json, "steps");
    for (size_t i = 0; i < workout->n_steps; i++) {
        const struct fit_step *step = &workout->steps[i];
        json_begin_object(json, NULL);
        json_integer(json, "times", step->times);
        json_integer(json, "first", step->first);
        json_integer(json, "seconds", step->seconds);
        json_string(json, "aim", aims[step->aim]);
        json_integer(json, "low", step->low);
        json_integer(json, "high", step->high);
        json_integer(json, "rpm_low", step->rpm_low);
        json_integer(json, "rpm_high", step->rpm_high);
        json_integer(json, "intensity", step->intensity);
        json_string(json, "name", step->name);
        json_string(json, "words", step->words);
        json_end_object(json);
    }
    json_end_array(json);
    json_end_object(json);
}

static bool write_one(struct arena *arena, const char *folder, const char *name, const char *title,
                      const char *words, double threshold_w)
{
    struct session session;
    struct session_fault fault = { 0 };
    struct error err = { 0 };
    struct bytes bytes = { 0 };
    struct fit_workout workout = { .name = title, .made_utc = 1773480413, .serial = 77 };
    struct text out = text_begin(arena, 1 << 20);
    struct json json = json_begin(&out);
    if (!session_read(arena, words, &session, &fault) ||
        !session_for_device(arena, &session, threshold_w, &workout.steps, &workout.n_steps, &err) ||
        !fit_workout_write(arena, &workout, &bytes, &err)) {
        fprintf(stderr, "write_workouts: %s: %s\n", name, err.message);
        return false;
    }
    tell(&json, &workout);
    return files_write(arena_format(arena, "%s/%s.fit", folder, name), bytes, &err) &&
           files_write(arena_format(arena, "%s/%s.json", folder, name),
                       (struct bytes){ (const uint8_t *)out.bytes, out.length }, &err);
}

int main(int argc, char *argv[])
{
    if (argc != 2) {
        fprintf(stderr, "usage: write_workouts FOLDER\n");
        return 2;
    }
    struct arena *arena = arena_open();
    bool done = true;
    for (size_t i = 0; i < session_library_count && done; i++) {
        const struct library_session *row = &session_library[i];
        done = write_one(arena, argv[1], row->name, row->title, row->words, 246);
    }
    for (size_t i = 0; i < sizeof more / sizeof more[0] && done; i++) {
        done = write_one(arena, argv[1], more[i].name,
                         "V\xc3\xa9lo, a name that is longer than any "
                         "device shows, cut at a letter's edge \xc3\xa9",
                         more[i].words, more[i].threshold_w);
    }
    arena_close(arena);
    return done ? 0 : 1;
}
