/* server/routes_facts.c: thresholds, weights and heart rates: new, edited, taken away. */
#include "server/routes.h"

#include "roster/facts.h"
#include "server/write.h"

#include <math.h>
#include <string.h>

/* What a body may say of each. */
struct fact_keys {
    enum fact_kind kind;
    const char *path; /* in its address */
    const char *keys[8];
    size_t n;
};
static const struct fact_keys thresholds = {
    FACT_THRESHOLD, "thresholds", { "from", "value", "low", "high", "meter", "known_by", "note" }, 7
};
static const struct fact_keys weights = { FACT_WEIGHT, "weights", { "from", "value", "note" }, 3 };
static const struct fact_keys max_heart_rates = {
    FACT_MAX_HEART_RATE, "max-heart-rates", { "from", "value", "at_least", "known_by", "note" }, 5
};
static const struct fact_keys rest_heart_rates = {
    FACT_REST_HEART_RATE, "rest-heart-rates", { "from", "value", "known_by", "note" }, 4
};

/* The body into *fact: with PUT the one that stands there, else a new one of today. */
static bool read_fact(struct api_call *call, const struct fact_keys *of, const struct rider *rider,
                      struct fact *fact, struct error *err)
{
    const struct body *body = call->body;
    const char *meter = NULL;
    const bool names_meter = body_find(body, "meter") != NULL;
    if (!body_only(body, of->keys, of->n, err) ||
        !write_day(body, "from", BODY_MAY_LACK, &fact->day, err) ||
        !body_number(body, "value", BODY_NEEDED, &fact->value, err) ||
        !write_number(body, "low", &fact->low, err) ||
        !write_number(body, "high", &fact->high, err) ||
        !body_bool(body, "at_least", BODY_MAY_LACK, &fact->at_least, err) ||
        !write_text(call, "known_by", &fact->protocol, err) ||
        !write_text(call, "note", &fact->note, err) ||
        !write_words(call->arena, "known_by", &fact->protocol, err) ||
        !write_words(call->arena, "note", &fact->note, err) ||
        !body_text(body, "meter", BODY_MAY_LACK, &meter, err)) {
        return false;
    }
    if (names_meter) {
        fact->meter = 0;
    }
    return meter == NULL ||
           facts_find_meter(call->roster, call->arena, rider, meter, &fact->meter, err);
}

/* The rider's fact of that number. */
static bool find_number(struct api_call *call, const struct fact_keys *of,
                        const struct rider *rider, int64_t id, struct fact *out, struct error *err)
{
    struct fact *facts = NULL;
    size_t count = 0;
    if (!facts_list(call->roster, call->arena, rider->id, of->kind, NULL, &facts, &count, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        if (facts[i].id == id) {
            *out = facts[i];
            return true;
        }
    }
    return error_set(err, ERROR_NOT_FOUND, "%s has no %s of that number", rider->name,
                     fact_row(of->kind)->name);
}

static bool end(struct api_call *call, const struct fact_keys *of, const struct rider *rider,
                struct write_done *done, const struct fact *fact, struct error *err)
{
    struct fact now = { 0 };
    if (!find_number(call, of, rider, fact->id, &now, err)) {
        return false;
    }
    done->words = fact->said;
    done->number = now.id;
    done->version = now.version;
    return write_end(call, done, err);
}

static bool post(struct api_call *call, const struct fact_keys *of, struct error *err)
{
    const double none = (double)NAN;
    struct rider rider = { 0 };
    struct write_done done = { 0 };
    struct fact fact = { .day = call->today, .value = none, .low = none, .high = none };
    if (!write_rider(call, &rider, err) || !read_fact(call, of, &rider, &fact, err) ||
        !write_begin(call, &done, err) ||
        !facts_set(call->roster, call->arena, call->now, &rider, of->kind, &fact, err)) {
        return false;
    }
    call->location = arena_format(call->arena, "/api/1/riders/%lld/%s/%lld", (long long)rider.id,
                                  of->path, (long long)fact.id);
    return end(call, of, &rider, &done, &fact, err);
}

/* The rider's fact of that number, at the version that was seen. */
static bool find_fact(struct api_call *call, const struct fact_keys *of, const struct rider *rider,
                      struct fact *out, struct error *err)
{
    int64_t id = 0;
    return api_path_id(call, "number", &id, err) && find_number(call, of, rider, id, out, err) &&
           (call->version == 0 || call->version == out->version ||
            error_set(err, ERROR_CONFLICT,
                      "somebody changed this %s meanwhile; look at it again, then change it",
                      fact_row(of->kind)->name));
}

/* The day and the meter say which it is: to move it, take it away and set it anew. */
static bool put(struct api_call *call, const struct fact_keys *of, struct error *err)
{
    struct rider rider = { 0 };
    struct write_done done = { 0 };
    struct fact was = { 0 };
    if (!write_rider(call, &rider, err) || !find_fact(call, of, &rider, &was, err)) {
        return false;
    }
    const double none = (double)NAN;
    struct fact fact = was;
    fact.low = none;
    fact.high = none;
    fact.at_least = false;
    fact.protocol = NULL;
    fact.note = NULL;
    if (!read_fact(call, of, &rider, &fact, err)) {
        return false;
    }
    if (strcmp(fact.day, was.day) != 0 || fact.meter != was.meter) {
        return error_set(err, ERROR_USAGE,
                         "from and meter say which %s it is; take it away and set another",
                         fact_row(of->kind)->name);
    }
    return write_begin(call, &done, err) &&
           facts_set(call->roster, call->arena, call->now, &rider, of->kind, &fact, err) &&
           end(call, of, &rider, &done, &fact, err);
}

static bool take_away(struct api_call *call, const struct fact_keys *of, struct error *err)
{
    struct rider rider = { 0 };
    struct write_done done = { 0 };
    struct fact fact = { 0 };
    if (!write_rider(call, &rider, err) || !find_fact(call, of, &rider, &fact, err) ||
        !write_begin(call, &done, err) ||
        !facts_take_away(call->roster, call->arena, call->now, &rider, of->kind, &fact, err)) {
        return false;
    }
    done.words = fact.said;
    return write_end(call, &done, err);
}

WRITE_ROUTES(threshold, thresholds)
WRITE_ROUTES(weight, weights)
WRITE_ROUTES(max_heart_rate, max_heart_rates)
WRITE_ROUTES(rest_heart_rate, rest_heart_rates)
