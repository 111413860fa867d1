/* server/answers/stored.c: a reading as it was stored, put together again. */
#include "server/answers/stored.h"

#include "physiology/facts.h"
#include "roster/readings.h"
#include "server/body.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Each key may lack or be null: what isn't there stays as reading_begin has it. */

static void take_number(const struct body *object, const char *key, double *out)
{
    struct error unheard = { 0 };
    if (!body_number(object, key, BODY_MAY_LACK, out, &unheard)) {
        *out = (double)NAN;
    }
}

static void take_text(const struct body *object, const char *key, const char **out)
{
    struct error unheard = { 0 };
    if (!body_text(object, key, BODY_MAY_LACK, out, &unheard)) {
        *out = NULL;
    }
}

static void take_causes(struct arena *arena, const struct body *object, const char *key,
                        struct causes *out)
{
    const struct body *list = body_find(object, key);
    for (size_t i = 0; list != NULL && list->kind == BODY_LIST && i < list->n_items; i++) {
        const struct body *item = &list->items[i];
        const char *code = NULL;
        if (item->kind != BODY_OBJECT) {
            continue;
        }
        take_text(item, "code", &code);
        struct cause *cause = causes_add(arena, out, code == NULL ? "" : code);
        take_text(item, "text", &cause->text);
        const struct body *numbers = body_find(item, "numbers");
        for (size_t n = 0; numbers != NULL && numbers->kind == BODY_OBJECT &&
                           n < numbers->n_items && n < CAUSE_NUMBERS;
             n++) {
            double value = (double)NAN;
            take_number(numbers, numbers->items[n].key, &value);
            cause_number(cause, numbers->items[n].key, value);
        }
    }
}

static void take_basis(const struct body *object, struct basis *out)
{
    const struct body *basis = body_find(object, "basis");
    if (basis == NULL || basis->kind != BODY_OBJECT) {
        return;
    }
    take_text(basis, "method", &out->method);
    take_text(basis, "efforts_by", &out->efforts_by);
    take_number(basis, "threshold_w", &out->threshold_w);
    take_text(basis, "threshold_known_by", &out->threshold_known_by);
    take_text(basis, "intent", &out->intent);
    take_text(basis, "response", &out->response);
    const struct body *limits = body_find(basis, "limits");
    for (size_t i = 0; limits != NULL && limits->kind == BODY_OBJECT && i < limits->n_items &&
                       out->n_limits < BASIS_LIMITS;
         i++) {
        if (limits_find(limits->items[i].key, &out->limits[out->n_limits])) {
            take_number(limits, limits->items[i].key, &out->limit_values[out->n_limits++]);
        }
    }
}

/* The range of "asked: 106-120 %", "asked: at least 300 W", "assumed: vo2max"; an open end is 0 or
 * infinite.  Sets of several kinds have none. */
static void take_range(const char *intent, const struct limits *limits, struct reading *out)
{
    enum work_kind kind = KIND_UNKNOWN;
    const char *what = intent == NULL ? NULL : strchr(intent, ' ');
    if (what == NULL) {
        return;
    }
    what++;
    if (work_kind_find(what, &kind) && kind != KIND_UNKNOWN) {
        const struct kind_range range = work_kind_range(kind, limits);
        out->range_low = range.low_pct;
        out->range_high = range.high_pct;
        return;
    }
    char *end = NULL;
    const char *words[] = { "at least ", "at most " };
    for (size_t i = 0; i < 2; i++) {
        if (strncmp(what, words[i], strlen(words[i])) == 0) {
            const double value = strtod(what + strlen(words[i]), &end);
            out->range_low = i == 0 ? value : 0.0;
            out->range_high = i == 0 ? (double)INFINITY : value;
            return;
        }
    }
    const double low = strtod(what, &end);
    if (end != what && *end == '-') {
        out->range_low = low;
        out->range_high = strtod(end + 1, &end);
    }
}

static bool take_reading(struct arena *arena, const struct body *stored,
                         const struct limits *limits, struct reading *out)
{
    const char *verdict = NULL;
    const struct body *limit = body_find(stored, "limit");
    take_text(stored, "verdict", &verdict);
    take_text(stored, "text", &out->text);
    if (verdict == NULL || out->text == NULL || !verdict_find(verdict, &out->verdict)) {
        return false;
    }
    take_number(stored, "estimate", &out->estimate);
    take_number(stored, "low", &out->low);
    take_number(stored, "high", &out->high);
    take_text(stored, "unit", &out->unit);
    if (limit != NULL && limit->kind == BODY_OBJECT) {
        take_number(limit, "value", &out->limit_value);
        take_text(limit, "source", &out->limit_source);
    }
    take_causes(arena, stored, "because", &out->because);
    take_causes(arena, stored, "cannot_because", &out->cannot_because);
    take_causes(arena, stored, "settle_by", &out->settle_by);
    take_basis(stored, &out->basis);
    if (out->question == QUESTION_HARD_WORK) {
        take_range(out->basis.intent, limits, out);
    }
    return out->basis.method != NULL;
}

bool stored_reading_find(struct db *db, struct arena *arena, int64_t recording,
                         enum question question, const struct limits *limits, struct reading *out,
                         bool *found, struct error *err)
{
    const char *content = NULL;
    const struct body *stored = NULL;
    struct error unheard = { 0 };
    *out = reading_begin(question);
    *found = false;
    if (!readings_content(db, arena, recording, question, &content, err)) {
        return false;
    }
    if (content != NULL) {
        const struct bytes bytes = { (const uint8_t *)content, strlen(content) };
        *found =
            body_read(arena, bytes, &stored, &unheard) && take_reading(arena, stored, limits, out);
    }
    return true;
}
