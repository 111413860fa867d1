/* server/answers/who.c: whom to see first, and what the coach did about it. */
#include "server/answers/who.h"

#include "base/dates.h"
#include "roster/attention_marks.h"
#include "server/answers/said.h"

#include <string.h>

const struct attention_item *roll_find(const struct roll *roll, int64_t rider, const char *code)
{
    for (size_t i = 0; i < roll->attention.count; i++) {
        const struct attention_item *item = &roll->attention.items[i];
        if (item->rider == rider &&
            (code == NULL ? item->is_first : strcmp(item->why.code, code) == 0)) {
            return item;
        }
    }
    return NULL;
}

static int64_t newest_note(const struct roll *roll, int64_t rider)
{
    int64_t newest = 0;
    for (size_t i = 0; i < roll->n; i++) {
        const struct rider_history *history = roll->riders[i].history;
        for (size_t k = 0; roll->riders[i].id == rider && k < history->n_notes; k++) {
            newest = history->notes[k].id > newest ? history->notes[k].id : newest;
        }
    }
    return newest;
}

/* FNV-1a over 64 bits, from its published constants (Fowler, Noll, Vo); what JSON's numbers hold
 * exactly is kept of it. */
int64_t roll_version(const struct attention_item *item)
{
    const struct attention_mark *mark = item->mark;
    const int64_t parts[] = {
        item->evidence,
        mark == NULL ? -1 : (int64_t)mark->state,
        mark == NULL ? 0 : mark->evidence,
        mark == NULL ? 0 : mark->last_note,
        mark == NULL ? 0 : mark->set_day,
        mark == NULL ? 0 : mark->not_before_day,
    };
    uint64_t hash = 0xcbf29ce484222325u;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        for (unsigned shift = 0; shift < 64; shift += 8) {
            hash = (hash ^ (((uint64_t)parts[i] >> shift) & 0xff)) * 0x100000001b3u;
        }
    }
    return (int64_t)(hash >> 12) + 1;
}

static bool find_wished(const struct roll *roll, const struct mark_wish *wish,
                        const struct attention_item **item, struct error *err)
{
    const char *name = wish->rider->name;
    *item = roll_find(roll, wish->rider->id, wish->code);
    if (*item == NULL) {
        return wish->code == NULL
                   ? error_set(err, ERROR_NOT_FOUND, "%s isn't on the list today", name)
                   : error_set(err, ERROR_NOT_FOUND,
                               "%s isn't on the list for %s; who --all --json has the codes", name,
                               wish->code);
    }
    return wish->version == 0 || wish->version == roll_version(*item) ||
           error_set(err, ERROR_CONFLICT,
                     "something new came of %s meanwhile, or somebody marked it; look at it again",
                     name);
}

bool roll_mark(struct roster *roster, struct arena *arena, struct roster_now now, const char *today,
               const struct roll *roll, const struct mark_wish *wish, const char **code,
               const char **said, struct error *err)
{
    const struct attention_item *item = NULL;
    if (!find_wished(roll, wish, &item, err) || item == NULL) {
        return false;
    }
    struct attention_mark mark = { .rider = wish->rider->id,
                                   .code = item->why.code,
                                   .state = wish->state,
                                   .evidence = item->evidence,
                                   .last_note = newest_note(roll, wish->rider->id),
                                   .not_before_day = INT64_MIN,
                                   .line = wish->line };
    if (!dates_parse_day(today, &mark.set_day) ||
        (wish->not_before != NULL && !dates_parse_day(wish->not_before, &mark.not_before_day))) {
        return error_set(err, ERROR_INTERNAL, "a day that was checked is none");
    }
    *code = mark.code;
    return attention_marks_set(roster, arena, now, wish->rider, &mark, said, err);
}

void who_item_json(struct json *json, const struct attention_item *item)
{
    json_integer(json, "rider", item->rider);
    json_string(json, "name", item->name);
    json_string(json, "group", attention_group_name(item->group));
    json_string(json, "code", item->why.code);
    json_string(json, "text", item->why.text);
    json_string(json, "act", attention_act_name(item->act));
    id_json(json, "ride", item->ride);
    json_begin_object(json, "numbers");
    for (size_t i = 0; i < item->why.n_numbers; i++) {
        json_number(json, item->why.numbers[i].name, item->why.numbers[i].value, 3);
    }
    json_end_object(json);
    json_bool(json, "first", item->is_first);
    json_bool(json, "again", item->is_again);
    json_string(json, "mark", item->mark == NULL ? NULL : attention_state_name(item->mark->state));
    json_string(json, "mark_line", item->mark == NULL ? NULL : item->mark->line);
}
