/* cli/rider_show.c: plumbline rider show: all that is in force on a day, the gravest first. */
#include "cli/rider_acts.h"

#include "coaching/words/caution_words.h"
#include "roster/contacts.h"
#include "roster/facts.h"
#include "roster/health.h"
#include "roster/readings.h"
#include "roster/season.h"

#include <math.h>
#include <string.h>

enum { CONTACTS_SHOWN = 3 };

/* Everything that is shown, fetched once for words and JSON alike. */
struct shown {
    const struct rider *rider;
    struct rider_facts facts;
    struct rider_cautions cautions;
    struct health health;
    bool has_fact[FACT_KINDS];
    struct fact fact[FACT_KINDS];
    struct fact *thresholds; /* all until the day, the newest first */
    size_t n_thresholds;
    struct goal *goals;
    size_t n_goals;
    struct event *events;
    size_t n_events;
    struct block *blocks;
    size_t n_blocks;
    struct day_off *days_off;
    size_t n_days_off;
    struct flag *flags;
    size_t n_flags;
    struct consent *consents;
    size_t n_consents;
    struct contact *contacts;
    size_t n_contacts;
    struct week *weeks;
    size_t n_weeks;
};

/* ---- fetching ---- */

static bool is_until(const char *day, const char *today)
{
    return strcmp(day, today) <= 0;
}

static bool is_over(const char *to_day, const char *today)
{
    return to_day != NULL && strcmp(to_day, today) <= 0;
}

static bool fetch_facts(struct roster_call *call, struct shown *shown, struct error *err)
{
    for (int kind = 0; kind < FACT_KINDS; kind++) {
        struct fact *list = NULL;
        size_t count = 0;
        if (!facts_list(call->roster, call->arena, shown->rider->id, (enum fact_kind)kind,
                        call->today, &list, &count, err)) {
            return false;
        }
        shown->has_fact[kind] = count > 0;
        if (count > 0) {
            shown->fact[kind] = list[0];
        }
        if (kind == FACT_THRESHOLD) {
            shown->thresholds = list;
            shown->n_thresholds = count;
        }
    }
    struct limits limits;
    struct db *db = roster_db(call->roster);
    if (!facts_on(call->roster, call->arena, shown->rider->id, call->today, &shown->facts, err) ||
        !readings_limits(db, call->arena, shown->rider->id, &limits, err)) {
        return false;
    }
    shown->cautions = rider_cautions_find(&shown->facts, &limits);
    return health_on(db, call->arena, shown->rider, call->today, &shown->health, err);
}

/* Those of each kind that hold on the day, or are still to come. */
static void keep_in_force(struct shown *shown, const char *today)
{
    size_t n = 0;
    for (size_t i = 0; i < shown->n_goals; i++) {
        const struct goal *goal = &shown->goals[i];
        if (is_until(goal->from_day, today) &&
            (goal->reached_day == NULL || !is_until(goal->reached_day, today))) {
            shown->goals[n++] = *goal;
        }
    }
    shown->n_goals = n;
    n = 0;
    for (size_t i = 0; i < shown->n_events; i++) {
        if (strcmp(shown->events[i].day, today) >= 0) {
            shown->events[n++] = shown->events[i];
        }
    }
    shown->n_events = n;
    n = 0;
    for (size_t i = 0; i < shown->n_blocks; i++) {
        if (!is_over(shown->blocks[i].to_day, today)) {
            shown->blocks[n++] = shown->blocks[i];
        }
    }
    shown->n_blocks = n;
    n = 0;
    for (size_t i = 0; i < shown->n_days_off; i++) {
        if (!is_over(shown->days_off[i].to_day, today)) {
            shown->days_off[n++] = shown->days_off[i];
        }
    }
    shown->n_days_off = n;
    n = 0;
    for (size_t i = 0; i < shown->n_flags; i++) {
        const struct flag *flag = &shown->flags[i];
        if (is_until(flag->from_day, today) && !is_over(flag->to_day, today)) {
            shown->flags[n++] = *flag;
        }
    }
    shown->n_flags = n;
    n = 0;
    for (size_t i = 0; i < shown->n_consents; i++) {
        const struct consent *consent = &shown->consents[i];
        if (is_until(consent->given_day, today) && !is_over(consent->withdrawn_day, today)) {
            shown->consents[n++] = *consent;
        }
    }
    shown->n_consents = n;
    n = 0;
    for (size_t i = 0; i < shown->n_contacts; i++) {
        if (is_until(shown->contacts[i].day, today)) {
            shown->contacts[n++] = shown->contacts[i];
        }
    }
    shown->n_contacts = n;
}

static bool fetch(struct roster_call *call, const struct rider *rider, struct shown *shown,
                  struct error *err)
{
    struct roster *roster = call->roster;
    struct arena *arena = call->arena;
    const int64_t id = rider->id;
    *shown = (struct shown){ .rider = rider };
    if (!fetch_facts(call, shown, err) ||
        !entries_list(roster, arena, &goal_kind, id, &shown->goals, &shown->n_goals, err) ||
        !entries_list(roster, arena, &event_kind, id, &shown->events, &shown->n_events, err) ||
        !entries_list(roster, arena, &block_kind, id, &shown->blocks, &shown->n_blocks, err) ||
        !entries_list(roster, arena, &day_off_kind, id, &shown->days_off, &shown->n_days_off,
                      err) ||
        !entries_list(roster, arena, &flag_kind, id, &shown->flags, &shown->n_flags, err) ||
        !entries_list(roster, arena, &consent_kind, id, &shown->consents, &shown->n_consents,
                      err) ||
        !entries_list(roster, arena, &contact_kind, id, &shown->contacts, &shown->n_contacts,
                      err) ||
        !availability_list(roster, arena, id, call->today, &shown->weeks, &shown->n_weeks, err)) {
        return false;
    }
    keep_in_force(shown, call->today);
    return true;
}

/* ---- in words ---- */

enum { LABEL = 20 };

static void add_row(struct roster_call *call, const char *label, const char *words)
{
    if (words != NULL) {
        text_add_format(&call->out, "  %-*s", LABEL, label);
        text_add_wrapped(&call->out, words, LABEL + 2, LABEL + 2, 80);
    }
}

/* A heading before the first row of its group. */
static void add_group(struct roster_call *call, const char *heading, bool has_rows)
{
    if (has_rows) {
        text_add_format(&call->out, "\n%s\n", heading);
    }
}

static void add_name(struct roster_call *call, const struct shown *shown)
{
    const struct rider *rider = shown->rider;
    struct text line = text_begin(call->arena, 1000);
    text_add_format(&line, "%s (rider %lld)", rider->name, (long long)rider->id);
    if (shown->health.age_y >= 0) {
        text_add_format(&line, ", %d years old", shown->health.age_y);
    }
    if (rider->sex != NULL) {
        text_add_format(&line, ", %s", rider->sex);
    }
    if (rider->is_away) {
        text_add(&line, ", no longer coached");
    }
    text_add_wrapped(&call->out, line.bytes, 0, 2, 80);
}

/* What stands over everything: full sentences, before all else. */
static void add_cautions(struct roster_call *call, const struct shown *shown)
{
    for (size_t i = 0; i < shown->cautions.count; i++) {
        text_add(&call->out, i == 0 ? "\n  ! " : "  ! ");
        text_add_wrapped(&call->out, words_rider_caution(shown->cautions.list[i]), 4, 4, 80);
    }
}

static const char *days_until(struct arena *arena, const char *today, const char *day)
{
    const int64_t days = entry_days_between(today, day);
    return days == 0   ? "today"
           : days == 1 ? "tomorrow"
                       : arena_format(arena, "in %lld days", (long long)days);
}

static void add_season(struct roster_call *call, const struct shown *shown)
{
    struct arena *arena = call->arena;
    add_group(call, "Season",
              shown->n_goals + shown->n_events + shown->n_blocks + shown->n_days_off +
                      shown->n_weeks >
                  0);
    for (size_t i = 0; i < shown->n_days_off; i++) {
        const bool is_now = is_until(shown->days_off[i].from_day, call->today);
        add_row(call, is_now ? "now" : "to come",
                day_off_kind.describe(arena, &shown->days_off[i]));
    }
    for (size_t i = 0; i < shown->n_goals; i++) {
        const struct goal *goal = &shown->goals[i];
        add_row(call, "goal",
                goal->due_day == NULL
                    ? goal->words
                    : arena_format(arena, "%s, by %s%s", goal->words, goal->due_day,
                                   strcmp(goal->due_day, call->today) < 0 ? " (past)" : ""));
    }
    for (size_t i = 0; i < shown->n_events; i++) {
        const struct event *event = &shown->events[i];
        add_row(call, "event",
                arena_format(arena, "%s %s (%s), %s%s%s", event->day, event->name, event->priority,
                             days_until(arena, call->today, event->day),
                             event->note == NULL ? "" : "; ",
                             event->note == NULL ? "" : event->note));
    }
    for (size_t i = 0; i < shown->n_blocks; i++) {
        const struct block *block = &shown->blocks[i];
        const bool is_now = is_until(block->from_day, call->today);
        const char *last = entry_day_after(arena, block->to_day, -1);
        add_row(call, is_now ? "block" : "next block",
                is_now ? arena_format(arena, "%s until %s", block->name, last)
                       : block_kind.describe(arena, block));
    }
    if (shown->n_weeks > 0) {
        add_row(call, "available", availability_in_words(arena, &shown->weeks[0]));
    }
}

/* "246 W (likely 234 to 258) since 2026-03-01, 20-minute test, by the Crank (serial 41877)" */
static const char *figure_in_words(struct arena *arena, enum fact_kind kind,
                                   const struct fact *fact)
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

/* Besides the newest, the newest of each other meter: it holds for the rides of that one. */
static void add_other_meters(struct roster_call *call, const struct shown *shown)
{
    for (size_t i = 1; i < shown->n_thresholds; i++) {
        const struct fact *fact = &shown->thresholds[i];
        bool is_newest = fact->meter != 0;
        for (size_t n = 0; n < i; n++) {
            is_newest = is_newest && shown->thresholds[n].meter != fact->meter &&
                        shown->thresholds[n].meter != 0;
        }
        if (is_newest) {
            add_row(call, "", figure_in_words(call->arena, FACT_THRESHOLD, fact));
        }
    }
}

static void add_figures(struct roster_call *call, const struct shown *shown)
{
    bool any = false;
    for (int kind = 0; kind < FACT_KINDS; kind++) {
        any = any || shown->has_fact[kind];
    }
    add_group(call, "Figures", any);
    for (int kind = 0; kind < FACT_KINDS; kind++) {
        if (shown->has_fact[kind]) {
            add_row(call, fact_row((enum fact_kind)kind)->name,
                    figure_in_words(call->arena, (enum fact_kind)kind, &shown->fact[kind]));
        }
        if (kind == FACT_THRESHOLD) {
            add_other_meters(call, shown);
        }
    }
}

static void add_health(struct roster_call *call, const struct shown *shown)
{
    add_group(call, "Health and consent",
              shown->health.is_screened || shown->n_flags + shown->n_consents > 0);
    if (shown->health.is_screened) {
        add_row(call, "screening", screening_kind.describe(call->arena, &shown->health.screening));
    }
    for (size_t i = 0; i < shown->n_flags; i++) {
        add_row(call, "flag", flag_kind.describe(call->arena, &shown->flags[i]));
    }
    for (size_t i = 0; i < shown->n_consents; i++) {
        add_row(call, "consent", consent_kind.describe(call->arena, &shown->consents[i]));
    }
}

static void add_person(struct roster_call *call, const struct rider *rider)
{
    add_group(call, "Person",
              rider->born_day != NULL || rider->training_since_day != NULL ||
                  rider->power_since_day != NULL || rider->zone_name != NULL ||
                  rider->address != NULL || rider->accepts != NULL || rider->note != NULL);
    add_row(call, "born", rider->born_day);
    add_row(call, "training since", rider->training_since_day);
    add_row(call, "power since", rider->power_since_day);
    add_row(call, "time zone", rider->zone_name);
    add_row(call, "address", rider->address);
    add_row(call, "device takes", rider->accepts);
    add_row(call, "note", rider->note);
}

static void add_contacts(struct roster_call *call, const struct shown *shown)
{
    add_group(call, "Last contacts", shown->n_contacts > 0);
    for (size_t n = 0; n < shown->n_contacts && n < CONTACTS_SHOWN; n++) {
        const struct contact *contact = &shown->contacts[shown->n_contacts - 1 - n];
        add_row(call, contact->day,
                contact->how == NULL
                    ? contact->words
                    : arena_format(call->arena, "%s: %s", contact->how, contact->words));
    }
}

/* What a coach would want on file and isn't. */
static void add_missing(struct roster_call *call, const struct shown *shown)
{
    const struct rider *rider = shown->rider;
    const struct {
        const char *what;
        bool is_missing;
    } rows[] = {
        { "goal", shown->n_goals == 0 },
        { "available", shown->n_weeks == 0 },
        { "weight", !shown->has_fact[FACT_WEIGHT] },
        { "threshold", !shown->has_fact[FACT_THRESHOLD] },
        { "max-heart-rate", !shown->has_fact[FACT_MAX_HEART_RATE] },
        { "rest-heart-rate", !shown->has_fact[FACT_REST_HEART_RATE] },
        { "born", rider->born_day == NULL },
        { "training since", rider->training_since_day == NULL },
        { "power since", rider->power_since_day == NULL },
    };
    struct text out = text_begin(call->arena, 1000);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (rows[i].is_missing) {
            text_add_format(&out, "%s%s", out.length > 0 ? ", " : "", rows[i].what);
        }
    }
    if (out.length > 0) {
        text_add(&call->out, "\n");
        text_add_wrapped(&call->out, arena_format(call->arena, "Not on file: %s", out.bytes), 0, 2,
                         80);
    }
}

/* ---- as JSON ---- */

static void figures_json(struct json *json, const struct shown *shown)
{
    json_begin_object(json, "facts");
    for (int kind = 0; kind < FACT_KINDS; kind++) {
        const struct fact_row *row = fact_row((enum fact_kind)kind);
        const struct fact *fact = &shown->fact[kind];
        if (!shown->has_fact[kind]) {
            json_null(json, row->name);
            continue;
        }
        json_begin_object(json, row->name);
        json_number(json, "value", fact->value, 3);
        json_string(json, "unit", row->unit);
        json_string(json, "day", fact->day);
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
        json_end_object(json);
    }
    json_end_object(json);
}

static void cautions_json(struct json *json, const struct shown *shown)
{
    json_begin_array(json, "cautions");
    for (size_t i = 0; i < shown->cautions.count; i++) {
        json_begin_object(json, NULL);
        json_string(json, "code", rider_caution_name(shown->cautions.list[i]));
        json_string(json, "text", words_rider_caution(shown->cautions.list[i]));
        json_end_object(json);
    }
    json_end_array(json);
}

static void entries_json(struct json *json, const char *key, const struct entry_act *act,
                         const void *rows, size_t count)
{
    json_begin_array(json, key);
    for (size_t i = 0; i < count; i++) {
        entry_json(json, NULL, act, (const char *)rows + i * act->kind->size);
    }
    json_end_array(json);
}

static void show_json(struct roster_call *call, const struct shown *shown)
{
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    rider_json(&json, shown->rider);
    json_string(&json, "on", call->today);
    json_number(&json, "age_y", shown->facts.age_y, 0);
    cautions_json(&json, shown);
    figures_json(&json, shown);
    entries_json(&json, "goals", &goal_act, shown->goals, shown->n_goals);
    entries_json(&json, "events", &event_act, shown->events, shown->n_events);
    entries_json(&json, "blocks", &block_act, shown->blocks, shown->n_blocks);
    entries_json(&json, "days_off", &day_off_act, shown->days_off, shown->n_days_off);
    if (shown->n_weeks > 0) {
        week_json(&json, "available", &shown->weeks[0]);
    } else {
        json_null(&json, "available");
    }
    if (shown->health.is_screened) {
        entry_json(&json, "screening", &screening_act, &shown->health.screening);
    } else {
        json_null(&json, "screening");
    }
    entries_json(&json, "flags", &flag_act, shown->flags, shown->n_flags);
    entries_json(&json, "consents", &consent_act, shown->consents, shown->n_consents);
    entries_json(&json, "contacts", &contact_act, shown->contacts, shown->n_contacts);
    json_end_object(&json);
}

bool rider_show(struct roster_call *call, const struct rider *rider, struct error *err)
{
    struct shown shown;
    if (!fetch(call, rider, &shown, err)) {
        return false;
    }
    if (call->json) {
        show_json(call, &shown);
        return true;
    }
    add_name(call, &shown);
    add_cautions(call, &shown);
    add_season(call, &shown);
    add_figures(call, &shown);
    add_health(call, &shown);
    add_person(call, rider);
    add_contacts(call, &shown);
    add_missing(call, &shown);
    return true;
}
