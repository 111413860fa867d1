/* server/answers/facts.c: a rider's dated facts as JSON and in words. */
#include "server/answers/facts.h"

#include <math.h>
#include <string.h>

/* How surely, and whence: what a kind has of it. */
static void add_how_known(struct json *json, enum fact_kind kind, const struct fact *fact)
{
    if (kind == FACT_THRESHOLD) {
        json_number(json, "low", fact->low, 3);
        json_number(json, "high", fact->high, 3);
        json_string(json, "meter", fact->meter_name);
    }
    if (kind == FACT_MAX_HEART_RATE) {
        json_bool(json, "at_least", fact->at_least);
    }
    if (kind != FACT_WEIGHT) {
        json_string(json, "known_by", fact->protocol);
    }
}

void fact_json(struct json *json, enum fact_kind kind, const struct fact *fact, enum json_for whom)
{
    json_begin_object(json, NULL);
    json_string(json, "from", fact->day);
    json_number(json, "value", fact->value, 3);
    json_string(json, "unit", fact_row(kind)->unit);
    add_how_known(json, kind, fact);
    json_string(json, "note", fact->note);
    if (whom == JSON_TO_EDIT) {
        json_integer(json, "number", fact->id);
        json_integer(json, "version", fact->version);
        json_string(json, "text", figure_in_words(json->out->arena, kind, fact));
    }
    json_end_object(json);
}

void figure_json(struct json *json, enum fact_kind kind, const struct fact *fact)
{
    const struct fact_row *row = fact_row(kind);
    if (fact == NULL) {
        json_null(json, row->name);
        return;
    }
    json_begin_object(json, row->name);
    json_number(json, "value", fact->value, 3);
    json_string(json, "unit", row->unit);
    json_string(json, "day", fact->day);
    add_how_known(json, kind, fact);
    json_end_object(json);
}

const char *figure_in_words(struct arena *arena, enum fact_kind kind, const struct fact *fact)
{
    const struct fact_row *row = fact_row(kind);
    struct text out = text_begin(arena, 4000);
    text_add_format(&out, "%s%.*f %s", fact->at_least ? "at least " : "", row->decimals,
                    fact->value, row->unit);
    if (!isnan(fact->low)) {
        text_add_format(&out, " (likely %.0f to %.0f)", fact->low, fact->high);
    }
    text_add_format(&out, " since %s", fact->day);
    if (fact->protocol != NULL && strcmp(fact->protocol, "given") != 0) {
        text_add_format(&out, ", %s", fact->protocol);
    }
    if (fact->meter_name != NULL) {
        text_add_format(&out, ", by the %s", fact->meter_name);
    }
    return out.bytes;
}
