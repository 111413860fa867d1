/* cli/roster.c: plumbline roster: what is in it, where it lies, where copies of it lie. */
#include "base/dates.h"
#include "base/json.h"
#include "cli/ask.h"
#include "cli/roster_call.h"
#include "coaching/words/record_words.h"
#include "roster/about.h"
#include "roster/kept_copies.h"
#include "roster/readings.h"
#include "roster/record.h"
#include "roster/settings.h"
#include "server/answers/record.h"

#include <string.h>
#include <unistd.h>

struct roster_command_values {
    struct roster_values common;
};

static const struct option_row options[] = { ROSTER_OPTIONS };

static const struct roster_work work;

static bool is_record(const struct roster_call *call)
{
    return call->n_words > 0 && strcmp(call->words[0], "record") == 0;
}

static bool check_words(const struct roster_call *call, const void *raw, struct error *err)
{
    (void)raw;
    if (is_record(call) && call->n_words > 1) {
        return roster_usage(&work, "record: takes no more words", err);
    }
    return call->n_words == 0 || is_record(call) || strcmp(call->words[0], "zone") == 0 ||
           roster_usage(
               &work, arena_format(call->arena, "%.60s: zone, record, or nothing", call->words[0]),
               err);
}

static bool is_there(const struct kept_copy *copy)
{
    return access(copy->path, F_OK) == 0;
}

/* ---- JSON ---- */

static void add_json(struct roster_call *call, const struct about *about,
                     const struct kept_copy *copies, size_t n_copies)
{
    struct json json = json_begin(&call->out);
    char moment[32];
    json_begin_object(&json, NULL);
    json_string(&json, "roster", db_place(roster_db(call->roster)));
    json_integer(&json, "bytes", about->bytes);
    json_integer(&json, "schema", about->schema);
    dates_format_utc(about->made_utc_s, moment);
    json_string(&json, "made_utc", moment);
    json_string(&json, "zone", about->zone_name);
    json_integer(&json, "riders", about->riders);
    json_integer(&json, "riders_away", about->riders_away);
    json_integer(&json, "recordings", about->recordings);
    json_integer(&json, "rides", about->rides);
    json_integer(&json, "same", about->same);
    json_string(&json, "first_day", about->first_day);
    json_string(&json, "last_day", about->last_day);
    json_integer(&json, "originals", about->originals);
    json_integer(&json, "original_bytes", about->original_bytes);
    json_integer(&json, "readings", about->readings);
    json_integer(&json, "changes", about->changes);
    json_integer(&json, "jobs", about->jobs);
    json_integer(&json, "failed_files", about->failed);
    json_begin_array(&json, "copies");
    for (size_t i = 0; i < n_copies; i++) {
        dates_format_utc(copies[i].made_utc_s, moment);
        json_begin_object(&json, NULL);
        json_string(&json, "kind", copies[i].kind);
        json_string(&json, "path", copies[i].path);
        json_string(&json, "made_utc", moment);
        json_bool(&json, "there", is_there(&copies[i]));
        json_end_object(&json);
    }
    json_end_array(&json);
    json_end_object(&json);
}

/* ---- words ---- */

static void add_field(struct roster_call *call, const char *what, const char *words)
{
    text_add_format(&call->out, "  %-12s", what);
    text_add_wrapped(&call->out, words, 14, 14, 80);
}

static void add_copies(struct roster_call *call, const struct kept_copy *copies, size_t n_copies)
{
    if (n_copies == 0) {
        add_field(call, "copies", "none is known; plumbline backup FILE makes one");
    }
    for (size_t i = 0; i < n_copies; i++) {
        add_field(call, i == 0 ? "copies" : "",
                  arena_format(call->arena, "%s of %s: %s%s", copies[i].kind,
                               moment_words(call->arena, copies[i].made_utc_s), copies[i].path,
                               is_there(&copies[i]) ? "" : " (not there now)"));
    }
}

static void add_words(struct roster_call *call, const struct about *about,
                      const struct kept_copy *copies, size_t n_copies)
{
    struct arena *arena = call->arena;
    text_add_wrapped(&call->out, db_place(roster_db(call->roster)), 0, 2, 80);
    add_field(call, "size",
              arena_format(arena, "%s, schema %lld, begun %s", size_words(arena, about->bytes),
                           (long long)about->schema, moment_words(arena, about->made_utc_s)));
    add_field(call, "riders",
              arena_format(arena, about->riders_away > 0 ? "%lld, %lld of them away" : "%lld",
                           (long long)about->riders, (long long)about->riders_away));
    add_field(call, "rides",
              about->recordings == 0
                  ? "none yet"
                  : arena_format(arena, "%lld, from %s to %s", (long long)about->rides,
                                 about->first_day == NULL ? "no day" : about->first_day,
                                 about->last_day == NULL ? "no day" : about->last_day));
    if (about->recordings != about->rides) {
        add_field(call, "",
                  arena_format(arena,
                               "%lld recordings in all, %lld of a ride that another one stands for",
                               (long long)about->recordings, (long long)about->same));
    }
    add_field(call, "files",
              arena_format(arena, "%lld as they came, %s unpacked", (long long)about->originals,
                           size_words(arena, about->original_bytes)));
    if (about->failed > 0) {
        add_field(call, "",
                  arena_format(arena, "%lld could not be read", (long long)about->failed));
    }
    add_field(call, "time zone", about->zone_name == NULL ? "none set (UTC)" : about->zone_name);
    add_field(call, "changes", arena_format(arena, "%lld", (long long)about->changes));
    add_field(call, "jobs",
              about->jobs == 0 ? "none waiting"
                               : arena_format(arena, "%lld waiting", (long long)about->jobs));
    add_copies(call, copies, n_copies);
}

/* ---- the program's record ---- */

static bool tell_record(struct roster_call *call, struct error *err)
{
    struct record record;
    struct limits limits;
    if (!record_take(call->roster, call->arena, call->today, &record, err) ||
        !readings_limits(roster_db(call->roster), call->arena, 0, &limits, err)) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        json_begin_object(&json, NULL);
        record_json(&json, call->arena, &record, &limits, call->today);
        json_end_object(&json);
        return true;
    }
    text_add_wrapped(&call->out, words_record_head(call->arena, &record), 0, 0, 80);
    for (size_t i = 0; record.n_rides > 0 && i < RECORD_CLAIMS; i++) {
        roster_call_sentence(call, record.rows[i].text);
    }
    roster_call_sentence(call, record.repeat_text);
    roster_call_sentence(call, record.text);
    return true;
}

/* ---- the call ---- */

static bool show(struct roster_call *call, const void *raw, struct error *err)
{
    struct about about = { 0 };
    struct kept_copy *copies = NULL;
    size_t n_copies = 0;
    (void)raw;
    if (is_record(call)) {
        return tell_record(call, err);
    }
    if (call->n_words == 2) {
        const char *name = strcmp(call->words[1], "none") == 0 ? NULL : call->words[1];
        if (!settings_set(call->roster, call->arena, call->now, SETTING_ZONE, name, err)) {
            return false;
        }
    }
    if (!about_read(call->roster, call->arena, &about, err) ||
        !kept_copies_list(call->roster, call->arena, 0, &copies, &n_copies, err)) {
        return false;
    }
    if (call->n_words > 0 && call->json) {
        struct json json = json_begin(&call->out);
        json_begin_object(&json, NULL);
        json_string(&json, "zone", about.zone_name);
        json_end_object(&json);
    } else if (call->n_words > 0) {
        text_add_format(&call->out, "%s\n", about.zone_name == NULL ? "none" : about.zone_name);
    } else if (call->json) {
        add_json(call, &about, copies, n_copies);
    } else {
        add_words(call, &about, copies, n_copies);
    }
    return true;
}

static const struct roster_work work = {
    .command = &command_roster, .most_words = 2, .check = check_words, .run = show
};

static int roster_run(int argc, char *const argv[])
{
    struct roster_command_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_roster = {
    .name = "roster",
    .usage = "[zone [NAME]|record] [options]",
    .summary = "what is in the roster, and where it and its copies lie",
    .about =
        "Says where the roster is, how large, what is in it, from when to when, and which "
        "copies of it were made. roster zone prints the time zone of riders without their own, "
        "roster zone Europe/Berlin sets it, roster zone none takes it away: a change that can "
        "be taken back. Rides keep the day they have. roster record holds the program's own "
        "verdicts against what came next: of base tests passed, how many of the next ones passed "
        "too, and so on, with how many cases each count has; and how far a base test repeats.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = roster_run,
};
