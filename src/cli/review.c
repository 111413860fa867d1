/* cli/review.c: what a rider's rides let propose, shown and answered. */
#include "cli/review.h"

#include "cli/ask.h"
#include "coaching/words/test_words.h"
#include "coaching/words/words.h"
#include "roster/proposals.h"
#include "roster/readings.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { NUMBERS_MOST = 1000, DOUBLES_SHOWN = 5 };

/* ---- the call ---- */

/* "1,3,5" into numbers; "all" gives none. */
static bool parse_numbers(const char *option, const char *text, size_t numbers[NUMBERS_MOST],
                          size_t *n, struct error *err)
{
    *n = 0;
    if (strcmp(text, "all") == 0) {
        return true;
    }
    for (const char *at = text;;) {
        const size_t digits = strspn(at, "0123456789");
        if (digits == 0 || digits > 6 || *n == NUMBERS_MOST ||
            (at[digits] != ',' && at[digits] != '\0')) {
            return error_set(err, ERROR_USAGE,
                             "--%s %.60s: write the numbers of the page, as in 1,3,5, or all",
                             option, text);
        }
        numbers[(*n)++] = (size_t)strtoul(at, NULL, 10);
        if (at[digits] == '\0') {
            return true;
        }
        at += digits + 1;
    }
}

bool review_check(const struct review_values *values, const char *rider, size_t n_words,
                  struct error *err)
{
    size_t numbers[NUMBERS_MOST];
    size_t n = 0;
    const bool answers = values->accept != NULL || values->decline != NULL;
    if (!values->shows) {
        return !answers && values->mark == NULL
                   ? true
                   : error_set(err, ERROR_USAGE, "--accept, --decline and --page go with --review");
    }
    if (n_words > 0) {
        return error_set(err, ERROR_USAGE, "--review: takes no path; import first, then review");
    }
    if (rider == NULL) {
        return error_set(err, ERROR_USAGE, "--review: whose rides? say --rider NAME");
    }
    if (values->accept != NULL && values->decline != NULL) {
        return error_set(err, ERROR_USAGE, "--accept and --decline: one after the other, please");
    }
    if (answers != (values->mark != NULL)) {
        return error_set(err, ERROR_USAGE,
                         answers ? "--page is missing: the mark that the page shows, since numbers "
                                   "hold for one page"
                                 : "--page: goes with --accept or --decline");
    }
    return (values->accept == NULL || parse_numbers("accept", values->accept, numbers, &n, err)) &&
           (values->decline == NULL || parse_numbers("decline", values->decline, numbers, &n, err));
}

static void tell(void *context, size_t done, size_t all)
{
    (void)context;
    bar_draw("rides", done, all);
}

static bool make(struct roster_call *call, const struct rider *rider, struct limits *limits,
                 struct scan_call *scan, struct proposals *page, struct error *err)
{
    if (!readings_limits(roster_db(call->roster), call->arena, rider->id, limits, err)) {
        return false;
    }
    *scan = (struct scan_call){
        .roster = call->roster, .rider = rider, .today = call->today, .limits = limits, .tell = tell
    };
    const bool done = proposals_make(call->arena, scan, page, err);
    bar_clear();
    return done;
}

/* ---- words ---- */

static const char *kind_words(const struct seen_sensor *sensor)
{
    return strcmp(sensor->kind, "power-meter") == 0 ? "power meter" : "heart sensor";
}

static const char *part_words(struct arena *arena, const char *before, const char *what)
{
    return what == NULL ? "" : arena_format(arena, "%s%s", before, what);
}

static const char *evidence_words(struct arena *arena, const struct proposal_evidence *e)
{
    const struct {
        const char *code;
        const char *words;
    } rows[] = {
        { "serial",
          arena_format(arena, "its device %lld recorded %.0f rides of %s, and of this rider %.0f",
                       (long long)e->serial, e->than, e->name == NULL ? "" : e->name, e->value) },
        { "overlap", arena_format(arena, "it ran at the same time as ride %lld, for %s",
                                  (long long)e->ride, words_duration(arena, e->value)) },
        { "apart", arena_format(arena, "%.1f km away from ride %lld", e->value / 1000.0,
                                (long long)e->ride) },
        { "watts-a-beat",
          arena_format(arena, "%.1f W for each beat above 60, in all rides around it at most %.1f",
                       e->value, e->than) },
        { "heart-level", arena_format(arena, "heart rate reached %.0f, in all rides around it %.0f",
                                      e->value, e->than) },
        { "weight",
          arena_format(arena, "its file has a weight of %.1f kg, the nearest of all around it %.1f",
                       e->value, e->than) },
        { "no-day", "its clock didn't know the day" },
        { "before-2000", "before 2000" },
        { "future", "after today" },
        { "before-birth", "before the rider was born" },
        { "before-training", "before regular training began" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (strcmp(rows[i].code, e->code) == 0) {
            return arena_string(arena, rows[i].words);
        }
    }
    return e->code;
}

static const char *all_evidence(struct arena *arena, const struct proposal *one)
{
    const char *parts[EVIDENCE_MOST];
    for (size_t i = 0; i < one->n_evidence; i++) {
        parts[i] = evidence_words(arena, &one->evidence[i]);
    }
    return words_list(arena, parts, one->n_evidence, "; ");
}

static const char *reasons(struct arena *arena, const struct protocol_test *test)
{
    const char *parts[TEST_REASONS];
    for (size_t i = 0; i < test->n_reasons; i++) {
        parts[i] = words_test_reason(arena, &test->reasons[i]);
    }
    return words_list(arena, parts, test->n_reasons, "; ");
}

static const char *test_words(struct arena *arena, const struct proposal *one)
{
    const struct protocol_test *test = &one->test;
    const char *makes = words_test_makes(arena, test);
    if (one->kind == PROPOSAL_THRESHOLD) {
        return arena_format(arena, "%s from %s: %s, %s, ride %lld%s", makes, one->day,
                            protocol_name(test->protocol), words_test_ridden(arena, test),
                            (long long)one->recording,
                            one->meter_serial == 0 ? ""
                                                   : arena_format(arena, ", meter %lld",
                                                                  (long long)one->meter_serial));
    }
    return arena_format(arena, "%s on %s, ride %lld: %s%s%s; %s", protocol_name(test->protocol),
                        one->day, (long long)one->recording, words_test_ridden(arena, test),
                        makes == NULL ? "" : ", ", makes == NULL ? "" : makes,
                        test->n_reasons > 0
                            ? reasons(arena, test)
                            : "critical power isn't threshold: shown, never made one");
}

static const char *item_words(struct arena *arena, const struct proposal *one)
{
    const struct fact *fact = &one->fact;
    const struct seen_sensor *sensor = &one->sensor;
    switch (one->kind) {
    case PROPOSAL_THRESHOLD:
    case PROPOSAL_TEST: return test_words(arena, one);
    case PROPOSAL_MAX_HEART_RATE:
        return arena_format(arena, "%s%.0f bpm from %s: ride %lld%s",
                            fact->at_least ? "at least " : "", fact->value, one->day,
                            (long long)one->recording,
                            one->agrees == 0 ? (fact->at_least ? ", no other came near yet" : "")
                                             : arena_format(arena, ", and ride %lld came near",
                                                            (long long)one->agrees));
    case PROPOSAL_WEIGHT:
        return arena_format(
            arena, "%.1f kg from %s: ride %lld, %s; %s", fact->value, one->day,
            (long long)one->recording, one->weighed ? "sent by a scale" : "as set in its device",
            one->in_force_from == NULL ? "none is in force then"
                                       : arena_format(arena, "in force then: %.1f kg from %s",
                                                      one->in_force, one->in_force_from));
    case PROPOSAL_EQUIPMENT:
        return arena_format(arena, "%s%s%s, serial %lld: %lld %s, %s to %s", kind_words(sensor),
                            part_words(arena, ", maker ", sensor->maker),
                            part_words(arena, ", product ", sensor->product),
                            (long long)sensor->serial, (long long)sensor->rides,
                            sensor->rides == 1 ? "ride" : "rides", sensor->first_day,
                            sensor->last_day);
    case PROPOSAL_OTHER:
        return arena_format(arena, "ride %lld of %s: %s", (long long)one->recording,
                            one->day == NULL ? "an unknown day" : one->day,
                            all_evidence(arena, one));
    case PROPOSAL_DAY:
        return arena_format(arena, "ride %lld, dated %s: %s", (long long)one->recording,
                            one->day == NULL ? "nothing" : one->day, all_evidence(arena, one));
    case PROPOSAL_KINDS: break;
    }
    return "";
}

static const char *heading(enum proposal_kind kind)
{
    static const char *const headings[] = {
        [PROPOSAL_THRESHOLD] = "Thresholds, by tests recognised",
        [PROPOSAL_MAX_HEART_RATE] = "Maximal heart rates",
        [PROPOSAL_WEIGHT] = "Weights, as the files have them",
        [PROPOSAL_EQUIPMENT] = "Meters and sensors, to be kept as equipment",
        [PROPOSAL_TEST] = "To look at: tests that give no threshold",
        [PROPOSAL_OTHER] = "To look at: rides that look like someone else's",
        [PROPOSAL_DAY] = "To look at: impossible dates",
        [PROPOSAL_KINDS] = "",
    };
    return headings[kind];
}

static void add_note(struct text *out, enum proposal_kind kind)
{
    if (kind == PROPOSAL_WEIGHT) {
        text_add_wrapped(out,
                         "A device keeps what was set in it once: perhaps years ago, perhaps by "
                         "nobody, and of its owner, whoever rode. Ask the rider before accepting "
                         "one.",
                         0, 0, 80);
    }
}

static void add_weights_left_out(struct text *out, struct arena *arena,
                                 const struct proposals *page)
{
    const size_t n = page->n_weights_left_out;
    if (page->n_weights == 0) {
        text_add(out, "\nNone of the files has a weight: plumbline weight sets one.\n");
    } else if (n > 0) {
        text_add(out, "\n");
        text_add_wrapped(out,
                         arena_format(arena,
                                      "Left out: %zu %s with a weight that may be another rider's, "
                                      "since the ride is doubted above, or its device recorded as "
                                      "many of another rider.",
                                      n, n == 1 ? "ride" : "rides"),
                         0, 2, 80);
    }
}

static void add_doubles(struct text *out, struct arena *arena, const struct proposals *page)
{
    if (page->n_doubles == 0) {
        return;
    }
    struct text list = text_begin(arena, 2000);
    for (size_t i = 0; i < page->n_doubles && i < DOUBLES_SHOWN; i++) {
        text_add_format(&list, "%s%lld (%lld counts)", i > 0 ? ", " : "",
                        (long long)page->doubles[i].ride, (long long)page->doubles[i].same_as);
    }
    if (page->n_doubles > DOUBLES_SHOWN) {
        text_add_format(&list, " and %zu more: plumbline rides --all",
                        page->n_doubles - DOUBLES_SHOWN);
    }
    text_add_format(out, "\n");
    text_add_wrapped(
        out,
        arena_format(arena, "%zu %s of a ride that another stands for: %s.", page->n_doubles,
                     page->n_doubles == 1 ? "recording is" : "recordings are", list.bytes),
        0, 2, 80);
}

static void add_words(struct roster_call *call, const struct rider *rider,
                      const struct proposals *page)
{
    struct text *out = &call->out;
    struct arena *arena = call->arena;
    size_t can = 0;
    if (page->n_rides == 0) {
        text_add_format(out, "%s has no rides; plumbline import FOLDER --rider NAME\n",
                        rider->name);
        return;
    }
    text_add_wrapped(out,
                     arena_format(arena,
                                  "What the rides of %s show: %zu, %s to %s. Nothing of it "
                                  "holds until it is accepted.",
                                  rider->name, page->n_rides, page->first_day, page->last_day),
                     0, 0, 80);
    for (size_t i = 0; i < page->count; i++) {
        const struct proposal *one = &page->items[i];
        if (i == 0 || one->kind != page->items[i - 1].kind) {
            text_add_format(out, "\n%s\n", heading(one->kind));
            add_note(out, one->kind);
        }
        text_add_format(out, "%5zu  ", one->number);
        text_add_wrapped(out, item_words(arena, one), 7, 7, 80);
        can += one->can_accept ? 1 : 0;
    }
    if (page->count == 0) {
        text_add(out, "\nNothing to propose.\n");
    }
    add_doubles(out, arena, page);
    add_weights_left_out(out, arena, page);
    if (page->count > 0) {
        text_add_format(out,
                        "\nThis page is %s. To answer:\n"
                        "  plumbline import --review --rider %lld --page %s %s\n"
                        "  plumbline import --review --rider %lld --page %s --decline 2\n",
                        page->mark, (long long)rider->id, page->mark,
                        can > 0 ? "--accept all (or 1,3)" : "--decline all", (long long)rider->id,
                        page->mark);
    }
}

/* ---- JSON ---- */

static void add_test_json(struct json *json, const struct protocol_test *test)
{
    json_begin_object(json, "test");
    json_string(json, "protocol", protocol_name(test->protocol));
    json_bool(json, "valid", test->valid);
    json_integer(json, "from_s", test->span.from_s);
    json_integer(json, "to_s", test->span.to_s);
    json_begin_array(json, "efforts");
    for (size_t i = 0; i < test->n_efforts; i++) {
        json_begin_object(json, NULL);
        json_integer(json, "from_s", test->efforts[i].span.from_s);
        json_integer(json, "to_s", test->efforts[i].span.to_s);
        json_number(json, "mean_w", test->efforts[i].mean_w, 1);
        json_number(json, "heart_end_bpm", test->efforts[i].heart_end_bpm, 1);
        json_end_object(json);
    }
    json_end_array(json);
    json_string(json, "gives",
                protocol_gives(test->protocol) == GIVES_THRESHOLD ? "threshold" : "critical-power");
    json_number(json, "estimate_w", test->estimate_w.value, 1);
    json_number(json, "low_w", test->estimate_w.low, 1);
    json_number(json, "high_w", test->estimate_w.high, 1);
    json_number(json, "w_prime_kj", test->w_prime_kj, 3);
    json_number(json, "heart_end_pct", 100.0 * test->heart_end_ratio, 1);
    json_begin_array(json, "reasons");
    for (size_t i = 0; i < test->n_reasons; i++) {
        json_begin_object(json, NULL);
        json_string(json, "code", test->reasons[i].code);
        json_number(json, "value", test->reasons[i].value, 3);
        json_number(json, "limit", test->reasons[i].limit, 3);
        json_end_object(json);
    }
    json_end_array(json);
    json_end_object(json);
}

static void add_id(struct json *json, const char *key, int64_t id)
{
    if (id == 0) {
        json_null(json, key);
    } else {
        json_integer(json, key, id);
    }
}

static void add_item_json(struct json *json, struct arena *arena, const struct proposal *one)
{
    enum fact_kind fact = FACT_KINDS;
    json_begin_object(json, NULL);
    json_integer(json, "number", (int64_t)one->number);
    json_string(json, "kind", proposal_kind_name(one->kind));
    json_bool(json, "can_accept", one->can_accept);
    add_id(json, "ride", one->recording);
    json_string(json, "day", one->day);
    if (proposal_fact(one->kind, &fact)) {
        json_number(json, "value", one->fact.value, 1);
        json_number(json, "low", one->fact.low, 1);
        json_number(json, "high", one->fact.high, 1);
        json_string(json, "unit", fact_row(fact)->unit);
        json_bool(json, "at_least", one->fact.at_least);
        add_id(json, "meter_serial", one->meter_serial);
        add_id(json, "agrees", one->agrees);
    }
    if (one->kind == PROPOSAL_WEIGHT) {
        json_string(json, "weight_from",
                    weight_source_name(one->weighed ? WEIGHT_WEIGHED : WEIGHT_SET));
        json_number(json, "in_force", one->in_force, 1);
        json_string(json, "in_force_from", one->in_force_from);
    }
    if (one->kind == PROPOSAL_THRESHOLD || one->kind == PROPOSAL_TEST) {
        add_test_json(json, &one->test);
    }
    if (one->kind == PROPOSAL_EQUIPMENT) {
        json_begin_object(json, "equipment");
        json_string(json, "kind", one->sensor.kind);
        json_string(json, "maker", one->sensor.maker);
        json_string(json, "product", one->sensor.product);
        json_integer(json, "serial", one->sensor.serial);
        json_string(json, "first_day", one->sensor.first_day);
        json_string(json, "last_day", one->sensor.last_day);
        json_integer(json, "rides", one->sensor.rides);
        json_end_object(json);
    }
    json_begin_array(json, "evidence");
    for (size_t i = 0; i < one->n_evidence; i++) {
        json_begin_object(json, NULL);
        json_string(json, "code", one->evidence[i].code);
        json_number(json, "value", one->evidence[i].value, 2);
        json_number(json, "than", one->evidence[i].than, 2);
        json_string(json, "rider", one->evidence[i].name);
        add_id(json, "ride", one->evidence[i].ride);
        add_id(json, "serial", one->evidence[i].serial);
        json_end_object(json);
    }
    json_end_array(json);
    json_string(json, "text", item_words(arena, one));
    json_end_object(json);
}

static void add_json(struct json *json, struct arena *arena, const char *key,
                     const struct rider *rider, const struct proposals *page)
{
    json_begin_object(json, key);
    json_begin_object(json, "rider");
    json_integer(json, "id", rider->id);
    json_string(json, "name", rider->name);
    json_end_object(json);
    json_string(json, "page", page->mark);
    json_integer(json, "rides", (int64_t)page->n_rides);
    json_string(json, "first_day", page->first_day);
    json_string(json, "last_day", page->last_day);
    json_integer(json, "weights", (int64_t)page->n_weights);
    json_integer(json, "weights_left_out", (int64_t)page->n_weights_left_out);
    json_begin_array(json, "proposals");
    for (size_t i = 0; i < page->count; i++) {
        add_item_json(json, arena, &page->items[i]);
    }
    json_end_array(json);
    json_begin_array(json, "doubles");
    for (size_t i = 0; i < page->n_doubles; i++) {
        json_begin_object(json, NULL);
        json_integer(json, "ride", page->doubles[i].ride);
        json_integer(json, "same_as", page->doubles[i].same_as);
        json_string(json, "day", page->doubles[i].day);
        json_end_object(json);
    }
    json_end_array(json);
    json_end_object(json);
}

/* ---- the page, and answers ---- */

bool review_show(struct roster_call *call, const struct rider *rider, struct json *json,
                 const char *key, struct error *err)
{
    struct limits limits;
    struct scan_call scan;
    struct proposals page = { 0 };
    if (!make(call, rider, &limits, &scan, &page, err)) {
        return false;
    }
    if (call->json) {
        add_json(json, call->arena, key, rider, &page);
    } else {
        add_words(call, rider, &page);
    }
    return true;
}

bool review_answer(struct roster_call *call, const struct review_values *values,
                   const struct rider *rider, struct error *err)
{
    struct limits limits;
    struct scan_call scan;
    struct proposals page = { 0 };
    size_t numbers[NUMBERS_MOST];
    size_t n = 0;
    const char *said = NULL;
    const bool accepts = values->accept != NULL;
    if (!parse_numbers(accepts ? "accept" : "decline", accepts ? values->accept : values->decline,
                       numbers, &n, err) ||
        !make(call, rider, &limits, &scan, &page, err)) {
        return false;
    }
    if (strcmp(page.mark, values->mark) != 0) {
        return error_set(err, ERROR_CONFLICT,
                         "--page %.20s: the page has changed since, and is %s now; look at it "
                         "again: plumbline import --review --rider %lld",
                         values->mark, page.mark, (long long)rider->id);
    }
    if (!(accepts ? proposals_accept : proposals_decline)(call->arena, &scan, call->now, &page,
                                                          numbers, n, &said, err)) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        json_begin_object(&json, NULL);
        json_string(&json, "done", said);
        json_end_object(&json);
    } else {
        text_add_wrapped(&call->out, arena_format(call->arena, "%s.", said), 0, 2, 80);
        text_add(&call->out, "plumbline undo takes all of it back.\n");
    }
    return true;
}
