/* server/write.c: what handlers that write do alike. */
#include "server/write.h"

#include "base/json.h"
#include "coaching/safe.h"
#include "roster/changes.h"
#include "roster/entries.h"
#include "roster/rereading.h"
#include "server/answers/said.h"

#include <math.h>
#include <string.h>

static bool newest_change(struct api_call *call, struct change_line *out, struct error *err)
{
    struct change_line *lines = NULL;
    size_t count = 0;
    *out = (struct change_line){ 0 };
    if (!changes_list(call->roster, call->arena, 1, &lines, &count, err)) {
        return false;
    }
    if (count > 0) {
        *out = lines[0];
    }
    return true;
}

bool write_begin(struct api_call *call, struct write_done *done, struct error *err)
{
    struct change_line line;
    if (!newest_change(call, &line, err)) {
        return false;
    }
    done->before = line.id;
    return true;
}

/* The change that was made; 0 if nothing changed, or another program's came after it. */
static bool find_change(struct api_call *call, const struct write_done *done, int64_t *out,
                        struct error *err)
{
    struct change_line line;
    if (!newest_change(call, &line, err)) {
        return false;
    }
    const bool is_ours = line.id > done->before && line.words != NULL && done->words != NULL &&
                         strcmp(line.words, done->words) == 0;
    *out = is_ours ? line.id : 0;
    return true;
}

bool write_end(struct api_call *call, const struct write_done *done, struct error *err)
{
    struct rereading_jobs asked = { 0 };
    struct error unheard = { 0 };
    int64_t change = 0;
    size_t n_waiting = 0;
    /* What was written is committed: a look that can't be had now waits for the server's own. */
    if (!rereading_look(call->roster, call->arena, call->now, &asked, &unheard)) {
        asked.count = 0;
    }
    if (!find_change(call, done, &change, err) ||
        !jobs_count(roster_db(call->roster), call->arena, JOB_READ, &n_waiting, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    id_json(&json, "change", change);
    json_string(&json, "words", done->words);
    id_json(&json, "number", done->number);
    id_json(&json, "version", done->version);
    json_integer(&json, "rides_being_read_again", (int64_t)n_waiting);
    json_end_object(&json);
    return true;
}

bool write_rider(struct api_call *call, struct rider *out, struct error *err)
{
    int64_t id = 0;
    return api_path_id(call, "rider", &id, err) &&
           riders_row(roster_db(call->roster), call->arena, id, out, err);
}

bool write_day(const struct body *body, const char *key, enum body_need need, const char **out,
               struct error *err)
{
    return body_text(body, key, need, out, err) && (body_find(body, key) == NULL || *out == NULL ||
                                                    entry_day_is_sound(key, *out, true, err));
}

bool write_last_day(struct arena *arena, const struct body *body, const char *key,
                    enum body_need need, const char **out, struct error *err)
{
    const char *last = NULL;
    const struct body *value = body_find(body, key);
    if (value == NULL && need == BODY_MAY_LACK) {
        return true;
    }
    if (!write_day(body, key, need, &last, err)) {
        return false;
    }
    *out = last == NULL ? NULL : entry_day_after(arena, last, 1);
    return true;
}

bool write_words(struct arena *arena, const char *key, const char **words, struct error *err)
{
    return entry_clean_words(arena, key, words, ENTRY_WORDS_MOST, false, err);
}

bool write_text(struct api_call *call, const char *key, const char **out, struct error *err)
{
    const struct body *value = body_find(call->body, key);
    if (value == NULL) {
        return true;
    }
    const char *text = NULL;
    if (!body_text(call->body, key, BODY_MAY_LACK, &text, err)) {
        return false;
    }
    *out = text != NULL && text[0] == '\0' ? NULL : text;
    return true;
}

bool write_number(const struct body *body, const char *key, double *out, struct error *err)
{
    const struct body *value = body_find(body, key);
    if (value == NULL) {
        return true;
    }
    *out = (double)NAN;
    return body_number(body, key, BODY_MAY_LACK, out, err);
}

bool write_knowingly(struct arena *arena, const struct body *body, const char **out,
                     struct error *err)
{
    const struct body *list = NULL;
    struct text names = text_begin(arena, ENTRY_WORDS_MOST);
    if (!body_list(body, "knowingly", BODY_MAY_LACK, &list, err)) {
        return false;
    }
    for (size_t i = 0; list != NULL && i < list->n_items; i++) {
        if (list->items[i].kind != BODY_TEXT || list->n_items > SAFE_BREACHES) {
            return error_set(err, ERROR_USAGE, "knowingly: a list of at most %d names of limits",
                             SAFE_BREACHES);
        }
        text_add_format(&names, "%s%.40s", i == 0 ? "" : " ", list->items[i].text);
    }
    *out = names.length == 0 ? NULL : names.bytes;
    return true;
}
