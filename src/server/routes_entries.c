/* server/routes_entries.c: goals, events, days off and the like: new, edited, taken away.
 *
 * With PUT a body says all of the entry: what it leaves out is taken away. */
#include "server/routes.h"

#include "roster/contacts.h"
#include "roster/health.h"
#include "roster/season.h"
#include "server/write.h"

#include <string.h>

/* A row of any kind. */
union any_entry {
    struct entry entry;
    struct goal goal;
    struct event event;
    struct block block;
    struct day_off day_off;
    struct screening screening;
    struct flag flag;
    struct consent consent;
    struct contact contact;
};

struct entry_keys {
    const struct entry_kind *kind;
    const char *path; /* in its address */
    const char *keys[6];
    size_t n;
    /* The body into *row, which is empty but for its entry. */
    bool (*read)(struct api_call *call, union any_entry *row, struct error *err);
};

static bool read_goal(struct api_call *call, union any_entry *row, struct error *err)
{
    struct goal *goal = &row->goal;
    goal->from_day = call->today;
    return body_text(call->body, "words", BODY_NEEDED, &goal->words, err) &&
           write_day(call->body, "from", BODY_MAY_LACK, &goal->from_day, err) &&
           write_day(call->body, "due", BODY_MAY_LACK, &goal->due_day, err) &&
           write_day(call->body, "reached", BODY_MAY_LACK, &goal->reached_day, err);
}

static bool read_event(struct api_call *call, union any_entry *row, struct error *err)
{
    struct event *event = &row->event;
    event->priority = "C";
    return write_day(call->body, "day", BODY_NEEDED, &event->day, err) &&
           body_text(call->body, "name", BODY_NEEDED, &event->name, err) &&
           body_text(call->body, "weight", BODY_MAY_LACK, &event->priority, err) &&
           body_text(call->body, "note", BODY_MAY_LACK, &event->note, err);
}

static bool read_block(struct api_call *call, union any_entry *row, struct error *err)
{
    struct block *block = &row->block;
    return body_text(call->body, "name", BODY_NEEDED, &block->name, err) &&
           write_day(call->body, "from", BODY_NEEDED, &block->from_day, err) &&
           write_last_day(call->arena, call->body, "until", BODY_NEEDED, &block->to_day, err) &&
           body_text(call->body, "note", BODY_MAY_LACK, &block->note, err);
}

/* What is told of a day can't be known before it. */
static bool not_future(const struct api_call *call, const char *key, const char *day,
                       struct error *err)
{
    return strcmp(day, call->today) <= 0 ||
           error_set(err, ERROR_USAGE, "%s %s: that day is still to come", key, day);
}

static bool read_day_off(struct api_call *call, union any_entry *row, struct error *err)
{
    struct day_off *off = &row->day_off;
    off->from_day = call->today;
    if (!body_text(call->body, "kind", BODY_NEEDED, &off->kind, err) ||
        !write_day(call->body, "from", BODY_MAY_LACK, &off->from_day, err) ||
        !write_last_day(call->arena, call->body, "until", BODY_MAY_LACK, &off->to_day, err) ||
        !body_text(call->body, "note", BODY_MAY_LACK, &off->note, err)) {
        return false;
    }
    const bool is_plan = strcmp(off->kind, "ill") != 0 && strcmp(off->kind, "injured") != 0;
    return is_plan || not_future(call, "from", off->from_day, err);
}

static bool read_yes(const struct body *list, struct screening *screening, struct error *err)
{
    for (size_t i = 0; i < list->n_items; i++) {
        const struct body *item = &list->items[i];
        bool is_known = false;
        for (int q = 0; item->kind == BODY_TEXT && q < SCREENING_QUESTIONS; q++) {
            if (strcmp(item->text, screening_row((enum screening_question)q)->name) == 0) {
                screening->yes[q] = true;
                is_known = true;
            }
        }
        if (!is_known) {
            return error_set(err, ERROR_USAGE, "yes: %.40s: there is no such question",
                             item->kind == BODY_TEXT ? item->text : "what is no text");
        }
    }
    return true;
}

static bool read_screening(struct api_call *call, union any_entry *row, struct error *err)
{
    struct screening *screening = &row->screening;
    const struct body *yes = NULL;
    screening->day = call->today;
    return body_list(call->body, "yes", BODY_NEEDED, &yes, err) && read_yes(yes, screening, err) &&
           write_day(call->body, "day", BODY_MAY_LACK, &screening->day, err) &&
           body_text(call->body, "cleared_by", BODY_MAY_LACK, &screening->cleared_by, err) &&
           write_day(call->body, "cleared_on", BODY_MAY_LACK, &screening->cleared_day, err) &&
           body_text(call->body, "note", BODY_MAY_LACK, &screening->note, err) &&
           not_future(call, "day", screening->day, err);
}

static bool read_flag(struct api_call *call, union any_entry *row, struct error *err)
{
    struct flag *flag = &row->flag;
    flag->from_day = call->today;
    return body_text(call->body, "kind", BODY_NEEDED, &flag->kind, err) &&
           write_day(call->body, "from", BODY_MAY_LACK, &flag->from_day, err) &&
           write_last_day(call->arena, call->body, "until", BODY_MAY_LACK, &flag->to_day, err) &&
           body_text(call->body, "note", BODY_MAY_LACK, &flag->note, err);
}

static bool read_consent(struct api_call *call, union any_entry *row, struct error *err)
{
    struct consent *consent = &row->consent;
    consent->given_day = call->today;
    return body_text(call->body, "kind", BODY_NEEDED, &consent->kind, err) &&
           body_text(call->body, "words", BODY_MAY_LACK, &consent->words, err) &&
           write_day(call->body, "given", BODY_MAY_LACK, &consent->given_day, err) &&
           body_text(call->body, "by", BODY_MAY_LACK, &consent->given_by, err) &&
           write_day(call->body, "withdrawn", BODY_MAY_LACK, &consent->withdrawn_day, err) &&
           not_future(call, "given", consent->given_day, err);
}

static bool read_contact(struct api_call *call, union any_entry *row, struct error *err)
{
    struct contact *contact = &row->contact;
    contact->day = call->today;
    return write_day(call->body, "day", BODY_MAY_LACK, &contact->day, err) &&
           body_text(call->body, "how", BODY_MAY_LACK, &contact->how, err) &&
           body_text(call->body, "words", BODY_NEEDED, &contact->words, err) &&
           not_future(call, "day", contact->day, err);
}

static const struct entry_keys goals = {
    &goal_kind, "goals", { "words", "from", "due", "reached" }, 4, read_goal
};
static const struct entry_keys events = {
    &event_kind, "events", { "day", "name", "weight", "note" }, 4, read_event
};
static const struct entry_keys blocks = {
    &block_kind, "blocks", { "name", "from", "until", "note" }, 4, read_block
};
static const struct entry_keys days_off = {
    &day_off_kind, "days-off", { "kind", "from", "until", "note" }, 4, read_day_off
};
static const struct entry_keys screenings = { &screening_kind,
                                              "screenings",
                                              { "day", "yes", "cleared_by", "cleared_on", "note" },
                                              5,
                                              read_screening };
static const struct entry_keys flags = {
    &flag_kind, "flags", { "kind", "from", "until", "note" }, 4, read_flag
};
static const struct entry_keys consents = {
    &consent_kind, "consents", { "kind", "words", "given", "by", "withdrawn" }, 5, read_consent
};
static const struct entry_keys contacts = {
    &contact_kind, "contacts", { "day", "how", "words" }, 3, read_contact
};

/* A screening may raise a flag as well. */
static bool save(struct api_call *call, const struct entry_keys *of, const struct rider *rider,
                 union any_entry *row, struct error *err)
{
    return of->kind == &screening_kind
               ? health_screen(call->roster, call->arena, call->now, rider, &row->screening, err)
               : entries_save(call->roster, call->arena, call->now, of->kind, rider, row, err);
}

/* Saves the row that was read, and answers. */
static bool finish(struct api_call *call, const struct entry_keys *of, const struct rider *rider,
                   union any_entry *row, struct error *err)
{
    struct write_done done = { 0 };
    union any_entry now;
    if (!body_only(call->body, of->keys, of->n, err) || !of->read(call, row, err) ||
        !write_begin(call, &done, err) || !save(call, of, rider, row, err) ||
        !entries_find(call->roster, call->arena, of->kind, rider, row->entry.id, &now, err)) {
        return false;
    }
    done.words = row->entry.said;
    done.number = row->entry.id;
    done.version = now.entry.version;
    return write_end(call, &done, err);
}

static bool post(struct api_call *call, const struct entry_keys *of, struct error *err)
{
    struct rider rider = { 0 };
    union any_entry row;
    memset(&row, 0, sizeof row);
    if (!write_rider(call, &rider, err) || !finish(call, of, &rider, &row, err)) {
        return false;
    }
    call->location = arena_format(call->arena, "/api/1/riders/%lld/%s/%lld", (long long)rider.id,
                                  of->path, (long long)row.entry.id);
    return true;
}

static bool put(struct api_call *call, const struct entry_keys *of, struct error *err)
{
    struct rider rider = { 0 };
    union any_entry was;
    union any_entry row;
    int64_t id = 0;
    memset(&row, 0, sizeof row);
    if (!write_rider(call, &rider, err) || !api_path_id(call, "number", &id, err) ||
        !entries_find(call->roster, call->arena, of->kind, &rider, id, &was, err)) {
        return false;
    }
    row.entry.id = id;
    row.entry.version = call->version;
    return finish(call, of, &rider, &row, err);
}

static bool take_away(struct api_call *call, const struct entry_keys *of, struct error *err)
{
    struct rider rider = { 0 };
    struct write_done done = { 0 };
    union any_entry row;
    int64_t id = 0;
    if (!write_rider(call, &rider, err) || !api_path_id(call, "number", &id, err) ||
        !entries_find(call->roster, call->arena, of->kind, &rider, id, &row, err) ||
        !write_begin(call, &done, err)) {
        return false;
    }
    row.entry.version = call->version;
    if (!entries_remove(call->roster, call->arena, call->now, of->kind, &rider, &row, err)) {
        return false;
    }
    done.words = row.entry.said;
    return write_end(call, &done, err);
}

WRITE_ROUTES(goal, goals)
WRITE_ROUTES(event, events)
WRITE_ROUTES(block, blocks)
WRITE_ROUTES(day_off, days_off)
WRITE_ROUTES(screening, screenings)
WRITE_ROUTES(flag, flags)
WRITE_ROUTES(consent, consents)
WRITE_ROUTES(contact, contacts)
