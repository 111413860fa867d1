/* coaching/attention.c: whom to see first, and why. */
#include "coaching/attention.h"

#include "base/sorted.h"
#include "coaching/attention_rules.h"
#include "coaching/words/attention_words.h"

#include <stdlib.h>
#include <string.h>

const char *attention_group_name(enum attention_group group)
{
    static const char *const names[] = {
        [GROUP_LOOK_NOW] = "look now",
        [GROUP_DECIDE] = "decide this week",
        [GROUP_NEEDS_PLAN] = "needs a plan",
        [GROUP_GOOD_NEWS] = "good news to pass on",
        [GROUP_WAITING] = "waiting for an answer",
        [GROUP_NOT_HEARD] = "not heard from",
        [GROUP_AWAY] = "away",
    };
    return names[group];
}

const char *attention_act_name(enum attention_act act)
{
    static const char *const names[] = {
        [ACT_ASK_HOW] = "ask-how",
        [ACT_ASK_DOCTOR] = "ask-doctor",
        [ACT_ASK_SCREENING] = "ask-screening",
        [ACT_ASK_RECORDINGS] = "ask-recordings",
        [ACT_ASK_AGAIN] = "ask-again",
        [ACT_READ_RIDE] = "read-ride",
        [ACT_READ_ANSWER] = "read-answer",
        [ACT_READ_BESTS] = "read-bests",
        [ACT_PLAN_RETURN] = "plan-return",
        [ACT_HOLD_HOURS] = "hold-hours",
        [ACT_PLAN_EASY_DAYS] = "plan-easy-days",
        [ACT_CAP_EASY_RIDES] = "cap-easy-rides",
        [ACT_CHECK_METERS] = "check-meters",
        [ACT_CHANGE_TRAINING] = "change-training",
        [ACT_ACCEPT_TEST] = "accept-test",
        [ACT_GIVE_TEST] = "give-test",
        [ACT_DRAFT_WEEK] = "draft-week",
        [ACT_ADD_A_LITTLE] = "add-a-little",
        [ACT_TELL] = "tell",
        [ACT_WAIT] = "wait",
    };
    return names[act];
}

const char *attention_state_name(enum attention_state state)
{
    static const char *const names[] = {
        [MARK_DONE] = "done", [MARK_ASKED] = "asked", [MARK_NOT_BEFORE] = "not before"
    };
    return names[state];
}

/* ---- a list that grows, with what it is sorted by ---- */

struct entry {
    struct attention_item item;
    size_t rank;
    int64_t order;
};

struct list {
    struct arena *arena;
    struct entry *entries;
    size_t count;
    size_t capacity;
};

static void list_add(struct list *list, const struct entry *entry)
{
    list->entries = arena_grow(list->arena, list->entries, list->count, &list->capacity,
                               sizeof list->entries[0]);
    list->entries[list->count++] = *entry;
}

static int by_number(int64_t a, int64_t b)
{
    return a < b ? -1 : a > b ? 1 : 0;
}

/* Where time decides before the situation does. */
static bool is_by_time(enum attention_group group)
{
    return group == GROUP_WAITING || group == GROUP_NOT_HEARD || group == GROUP_AWAY;
}

static int compare_entries(const void *left, const void *right)
{
    const struct entry *a = left;
    const struct entry *b = right;
    int sign = by_number((int64_t)a->item.group, (int64_t)b->item.group);
    if (sign == 0 && is_by_time(a->item.group)) {
        sign = by_number(a->order, b->order);
    }
    if (sign == 0) {
        sign = by_number((int64_t)a->rank, (int64_t)b->rank);
    }
    if (sign == 0) {
        sign = by_number(a->order, b->order);
    }
    if (sign == 0) {
        sign = strcmp(a->item.name, b->item.name);
    }
    if (sign == 0) {
        sign = by_number(a->item.rider, b->item.rider);
    }
    /* Two marks of codes that no rule has: nothing else tells them apart. */
    return sign != 0 ? sign : strcmp(a->item.why.code, b->item.why.code);
}

/* ---- marks ---- */

static bool is_newer(const struct attention_mark *a, const struct attention_mark *b)
{
    if (a->evidence != b->evidence) {
        return a->evidence > b->evidence;
    }
    return a->set_day != b->set_day ? a->set_day > b->set_day : a->state > b->state;
}

/* Marks by rider, then code, the newest first: found by halving. */
static int compare_marks(const void *left, const void *right)
{
    const struct attention_mark *a = left;
    const struct attention_mark *b = right;
    int sign = by_number(a->rider, b->rider);
    if (sign == 0) {
        sign = strcmp(a->code, b->code);
    }
    if (sign == 0) {
        sign = is_newer(a, b) ? -1 : is_newer(b, a) ? 1 : 0;
    }
    return sign;
}

struct marks {
    const struct attention_mark *sorted;
    size_t n;
};

static struct marks marks_sort(struct arena *arena, const struct attention_mark marks[], size_t n)
{
    struct attention_mark *sorted = ARENA_ARRAY(arena, struct attention_mark, n);
    for (size_t i = 0; i < n; i++) {
        sorted[i] = marks[i];
    }
    if (n > 0) {
        qsort(sorted, n, sizeof sorted[0], compare_marks);
    }
    return (struct marks){ sorted, n };
}

/* The place of a rider's first mark, or where it would be. */
static size_t marks_of(const struct marks *marks, int64_t rider)
{
    return sorted_from(marks->sorted, marks->n, sizeof marks->sorted[0],
                       offsetof(struct attention_mark, rider), rider);
}

static const struct attention_mark *mark_of(const struct marks *marks, int64_t rider,
                                            const char *code)
{
    for (size_t i = marks_of(marks, rider); i < marks->n && marks->sorted[i].rider == rider; i++) {
        if (strcmp(marks->sorted[i].code, code) == 0) {
            return &marks->sorted[i];
        }
    }
    return NULL;
}

/* ---- waiting ---- */

/* A note put down after the question; NULL = none yet. */
static const struct past_note *answer_to(const struct attention_mark *mark,
                                         const struct rider_history *history)
{
    const struct past_note *answer = NULL;
    for (size_t i = 0; i < history->n_notes; i++) {
        const struct past_note *note = &history->notes[i];
        if (note->id > mark->last_note && (answer == NULL || note->id < answer->id)) {
            answer = note;
        }
    }
    return answer;
}

/* Puts an item under its question: answered, it is to be read; else it waits. */
static void wait_for(const struct attention_rider *rider, const struct attention_mark *mark,
                     const struct limits *limits, struct entry *entry)
{
    const int64_t today = rider->history->today;
    const struct past_note *answer = answer_to(mark, rider->history);
    const double waited = (double)(today - mark->set_day);
    const char *code = entry->item.why.code;
    entry->item.mark = mark;
    entry->item.why = (struct cause){ .code = code };
    cause_number(&entry->item.why, "asked_day", (double)mark->set_day);
    cause_number(&entry->item.why, "days", waited);
    if (answer != NULL) {
        cause_number(&entry->item.why, "answer_day", (double)answer->day);
        entry->item.act = ACT_READ_ANSWER;
        entry->item.group = entry->item.group == GROUP_LOOK_NOW ? GROUP_LOOK_NOW : GROUP_DECIDE;
        return;
    }
    entry->item.group = GROUP_WAITING;
    entry->item.act = waited >= limits->value[LIMIT_WAITING_DAYS] ? ACT_ASK_AGAIN : ACT_WAIT;
    entry->order = mark->set_day;
}

/* What a mark makes of an item; false = it isn't shown. */
static bool apply_mark(const struct attention_rider *rider, const struct attention_mark *mark,
                       const struct limits *limits, struct entry *entry)
{
    if (mark == NULL) {
        return true;
    }
    if (entry->item.evidence > mark->evidence) {
        entry->item.is_again = true;
        entry->item.mark = mark;
        return true;
    }
    switch (mark->state) {
    case MARK_DONE: return false;
    case MARK_NOT_BEFORE:
        entry->item.is_again = true;
        entry->item.mark = mark;
        return rider->history->today >= mark->not_before_day;
    case MARK_ASKED: wait_for(rider, mark, limits, entry); break;
    }
    return true;
}

/* Questions whose situation is no more so, or no more known: the answer is still waited for. */
static void add_open_questions(struct list *list, const struct attention_rider *rider,
                               const struct marks *marks, const bool is_found[],
                               const struct limits *limits)
{
    const int64_t keep = (int64_t)limits->value[LIMIT_WAITING_KEEP_DAYS];
    const char *before = NULL;
    for (size_t i = marks_of(marks, rider->id); i < marks->n && marks->sorted[i].rider == rider->id;
         i++) {
        const struct attention_mark *mark = &marks->sorted[i];
        const bool is_older = before != NULL && strcmp(before, mark->code) == 0;
        before = mark->code;
        size_t rank = 0;
        while (rank < attention_rules_count &&
               strcmp(attention_rules[rank].code, mark->code) != 0) {
            rank++;
        }
        const bool is_known = rank < attention_rules_count;
        if (is_older || mark->state != MARK_ASKED || (is_known && is_found[rank]) ||
            rider->history->today - mark->set_day > keep) {
            continue;
        }
        struct entry entry = { .rank = rank,
                               .order = mark->set_day,
                               .item = { .rider = rider->id,
                                         .name = rider->name,
                                         .group =
                                             is_known ? attention_rules[rank].group : GROUP_DECIDE,
                                         .evidence = mark->evidence,
                                         .why = { .code = mark->code } } };
        wait_for(rider, mark, limits, &entry);
        list_add(list, &entry);
    }
}

/* ---- one rider ---- */

static unsigned quiet_of(const struct attention_rider *rider)
{
    const unsigned kinds = 1U << OFF_AWAY | 1U << OFF_BREAK | 1U << OFF_INJURED | 1U << OFF_ILL;
    const enum verdict back = rider->readings->comeback.reading.verdict;
    unsigned quiet = back == VERDICT_COMING_BACK ? QUIET_BACK : 0;
    quiet |= back == VERDICT_OFF ? QUIET_OFF : 0;
    if (history_off_on(rider->history, rider->history->today, kinds) != NULL) {
        quiet |= QUIET_OFF | QUIET_AWAY;
    }
    return quiet;
}

static void add_rider(struct list *list, const struct attention_rider *rider,
                      const struct marks *marks, const struct limits *limits)
{
    const struct attention_look look = { list->arena, rider, limits };
    unsigned quiet = quiet_of(rider);
    bool *is_found = ARENA_ARRAY(list->arena, bool, attention_rules_count);
    for (size_t rank = 0; rank < attention_rules_count; rank++) {
        const struct attention_rule *rule = &attention_rules[rank];
        struct attention_found found = { 0 };
        struct cause why = { .code = rule->code };
        if ((rule->quiet & quiet) != 0 || !rule->find(&look, rule, &found, &why)) {
            continue;
        }
        is_found[rank] = true;
        struct entry entry = { .rank = rank,
                               .order = found.order,
                               .item = { .rider = rider->id,
                                         .name = rider->name,
                                         .group = rule->group,
                                         .act = rule->act,
                                         .why = why,
                                         .ride = found.ride,
                                         .evidence = found.evidence,
                                         .reading = found.reading } };
        if (apply_mark(rider, mark_of(marks, rider->id, rule->code), limits, &entry)) {
            /* Asked counts: whether the answer allows more is the coach's to say. */
            quiet |= rule->is_asked_first && entry.item.group != GROUP_WAITING &&
                             entry.item.act != ACT_READ_ANSWER
                         ? QUIET_UNASKED
                         : 0U;
            list_add(list, &entry);
        }
    }
    add_open_questions(list, rider, marks, is_found, limits);
}

/* ---- all ---- */

static void mark_first(struct attention *out)
{
    /* One pass a rider would be quadratic; numbers of riders are few hundreds and items few a
     * rider, so a sorted copy isn't worth its lines: the first of a rider is the one that no
     * earlier item shares its rider with. */
    for (size_t i = 0; i < out->count; i++) {
        bool is_first = true;
        for (size_t k = 0; k < i && is_first; k++) {
            is_first = out->items[k].rider != out->items[i].rider;
        }
        out->items[i].is_first = is_first;
    }
}

void attention_read(struct arena *arena, const struct attention_rider riders[], size_t n,
                    const struct attention_mark marks[], size_t n_marks,
                    const struct limits *limits, struct attention *out)
{
    struct list list = { .arena = arena };
    const struct marks sorted = marks_sort(arena, marks, n_marks);
    for (size_t i = 0; i < n; i++) {
        add_rider(&list, &riders[i], &sorted, limits);
    }
    if (list.count > 0) {
        qsort(list.entries, list.count, sizeof list.entries[0], compare_entries);
    }
    *out = (struct attention){ .items = ARENA_ARRAY(arena, struct attention_item, list.count),
                               .count = list.count };
    for (size_t i = 0; i < list.count; i++) {
        out->items[i] = list.entries[i].item;
        out->items[i].why.text = words_attention(arena, &out->items[i]);
        out->in_group[out->items[i].group]++;
    }
    mark_first(out);
}
