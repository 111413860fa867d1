/* cli/rider_show.c: plumbline rider show: all that is in force on a day, the gravest first. */
#include "cli/rider_acts.h"

#include "coaching/words/caution_words.h"
#include "server/answers/rider.h"

#include <math.h>
#include <string.h>

enum { CONTACTS_SHOWN = 3 };

static bool is_until(const char *day, const char *today)
{
    return strcmp(day, today) <= 0;
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

static void add_name(struct roster_call *call, const struct rider_told *shown)
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
static void add_cautions(struct roster_call *call, const struct rider_told *shown)
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

static void add_season(struct roster_call *call, const struct rider_told *shown)
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

/* Besides the newest, the newest of each other meter: it holds for the rides of that one. */
static void add_other_meters(struct roster_call *call, const struct rider_told *shown)
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

static void add_figures(struct roster_call *call, const struct rider_told *shown)
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

static void add_health(struct roster_call *call, const struct rider_told *shown)
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
                  rider->address != NULL || rider->accepts != NULL || rider->tests != NULL ||
                  rider->note != NULL);
    add_row(call, "born", rider->born_day);
    add_row(call, "training since", rider->training_since_day);
    add_row(call, "power since", rider->power_since_day);
    add_row(call, "time zone", rider->zone_name);
    add_row(call, "address", rider->address);
    add_row(call, "device takes", rider->accepts);
    add_row(call, "tests chosen", rider->tests);
    add_row(call, "note", rider->note);
}

static void add_contacts(struct roster_call *call, const struct rider_told *shown)
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
static void add_missing(struct roster_call *call, const struct rider_told *shown)
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

bool rider_show(struct roster_call *call, const struct rider *rider, struct error *err)
{
    struct rider_told shown;
    if (!rider_told_take(call->roster, call->arena, rider, call->today, &shown, err)) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        rider_told_json(&json, &shown, call->today);
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
