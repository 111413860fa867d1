/* server/answers/next.c: what to ride in the coming days, as JSON. */
#include "server/answers/next.h"

#include "server/answers/rider.h"
#include "server/answers/sessions.h"

static void texts_json(struct json *json, const char *key, const char *const texts[], size_t n)
{
    json_begin_array(json, key);
    for (size_t i = 0; i < n; i++) {
        json_string(json, NULL, texts[i]);
    }
    json_end_array(json);
}

static void outlook_of_json(struct json *json, const struct next_item *item)
{
    if (item->outlook == NULL) {
        json_null(json, "outlook");
        return;
    }
    json_begin_object(json, "outlook");
    json_string(json, "verdict", outlook_verdict_name(item->outlook->verdict));
    json_string(json, "text", item->outlook->text);
    json_begin_array(json, "warnings");
    for (size_t i = 0; i < item->outlook->n_warnings; i++) {
        json_string(json, NULL, item->outlook->warnings[i].words);
    }
    json_end_array(json);
    json_end_object(json);
}

static void proposed_json(struct json *json, const struct next_item *item)
{
    const struct next_proposal *proposal = item->proposal;
    if (item->number == 0) {
        json_null(json, "session");
        return;
    }
    json_begin_object(json, "session");
    json_string(json, "of", proposal->session);
    json_string(json, "name", proposal->name);
    json_string(json, "kind", proposal->kind);
    json_string(json, "words", proposal->words);
    json_string(json, "change", next_change_name(proposal->change));
    json_string(json, "change_text", proposal->how);
    json_integer(json, "seconds", proposal->dose.seconds);
    json_integer(json, "hard_seconds", proposal->dose.hard_s);
    json_bool(json, "is_hard", proposal->dose.is_hard);
    json_string(json, "caution", item->caution);
    json_end_object(json);
}

static void item_json(struct json *json, const struct next_item *item)
{
    json_begin_object(json, NULL);
    if (item->number > 0) {
        json_integer(json, "number", (int64_t)item->number);
    } else {
        json_null(json, "number");
    }
    json_string(json, "day", item->day);
    json_string(json, "rule", item->proposal->rule);
    json_string(json, "why", item->proposal->why);
    json_string(json, "source", item->proposal->source);
    proposed_json(json, item);
    outlook_of_json(json, item);
    session_breaches_json(json, item->breaches, item->n_breaches);
    json_end_object(json);
}

static void stands_json(struct json *json, const struct next_stands *stands)
{
    json_begin_object(json, NULL);
    json_integer(json, "number", stands->row.entry.id);
    json_integer(json, "version", stands->row.entry.version);
    json_string(json, "day", stands->row.day);
    json_string(json, "name", stands->row.name);
    json_string(json, "kind", stands->row.kind);
    json_string(json, "state", stands->row.state);
    json_string(json, "unfit", stands->code);
    json_string(json, "unfit_text", stands->words);
    json_end_object(json);
}

void next_json(struct json *json, const struct rider *rider, const struct next_answer *answer)
{
    json_integer(json, "rider", rider->id);
    json_string(json, "name", rider->name);
    json_string(json, "from", answer->from);
    json_string(json, "until", answer->until);
    json_number(json, "threshold_w", answer->threshold_w, 0);
    json_begin_array(json, "proposals");
    for (size_t i = 0; i < answer->n; i++) {
        item_json(json, &answer->items[i]);
    }
    json_end_array(json);
    json_string(json, "nothing_because", answer->nothing);
    json_begin_array(json, "left_out");
    for (size_t i = 0; i < answer->plan.n_left; i++) {
        json_begin_object(json, NULL);
        json_string(json, "rule", answer->plan.left[i].rule);
        json_string(json, "of", answer->plan.left[i].session);
        json_string(json, "why", answer->plan.left[i].why);
        json_end_object(json);
    }
    json_end_array(json);
    json_begin_array(json, "stands");
    for (size_t i = 0; i < answer->n_stands; i++) {
        stands_json(json, &answer->stands[i]);
    }
    json_end_array(json);
    texts_json(json, "evidence", answer->evidence, answer->n_evidence);
    texts_json(json, "assumed", answer->assumed, answer->n_assumed);
    texts_json(json, "cannot_tell", answer->cannot, answer->n_cannot);
    rider_cautions_json(json, &answer->cautions);
    json_string(json, "mark", answer->mark);
}
