/* cli/equipment.c: plumbline equipment: meters, heart sensors, head units, bikes, and their care.
 */
#include "cli/equipment.h"

#include "base/dates.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct equipment_values {
    struct roster_values common;
    const char *name;
    const char *maker;
    const char *product;
    const char *serial;
    const char *position;
    const char *sides;
    double accuracy_pct;
    double charge_hours;
    const char *from;
    const char *to;
    const char *day;
    const char *note;
    bool shared;
    bool care;
    bool all;
};

#define ROW(field) offsetof(struct equipment_values, field), 0, 0

static const struct option_row options[] = {
    { "name", OPTION_TEXT, "WORDS", "what it is called, such as: race bike", ROW(name) },
    { "maker", OPTION_TEXT, "NAME", "who makes it", ROW(maker) },
    { "product", OPTION_TEXT, "NAME", "its model", ROW(product) },
    { "serial", OPTION_TEXT, "N", "its serial number, as devices record it", ROW(serial) },
    { "position", OPTION_TEXT, "WHERE",
      "meter: crank, spider, pedals, hub, trainer; sensor: chest, arm, wrist", ROW(position) },
    { "sides", OPTION_TEXT, "WHICH", "legs that a meter measures: both, left, right", ROW(sides) },
    { "accuracy", OPTION_NUMBER, "PCT", "the maker's word on its accuracy",
      offsetof(struct equipment_values, accuracy_pct), 0, 20 },
    { "charge-hours", OPTION_NUMBER, "H", "the maker's promise for one charge or battery",
      offsetof(struct equipment_values, charge_hours), 0.1, 10000 },
    { "from", OPTION_TEXT, "DATE", "in use from this day", ROW(from) },
    { "to", OPTION_TEXT, "DATE", "the first day on which it no longer is", ROW(to) },
    { "shared", OPTION_FLAG, NULL, "add: used by every rider, such as a club's trainer",
      ROW(shared) },
    { "day", OPTION_TEXT, "DATE", "charge, zero, check, change: when; today unless said",
      ROW(day) },
    { "note", OPTION_TEXT, "WORDS", "a note", ROW(note) },
    { "care", OPTION_FLAG, NULL, "list: every charge, zero offset and check", ROW(care) },
    { "all", OPTION_FLAG, NULL, "list: also what is no longer in use", ROW(all) },
    ROSTER_OPTIONS,
};

enum verb {
    VERB_LIST,
    VERB_ADD,
    VERB_EDIT,
    VERB_REMOVE,
    VERB_CHARGE,
    VERB_ZERO,
    VERB_CHECK,
    VERB_CHANGE,
    VERB_UNDO_CARE
};

static const struct {
    const char *name;
    enum verb verb;
    size_t words; /* after it */
    const char *needs;
} verbs[] = {
    { "add", VERB_ADD, 1, "a kind: power-meter, heart-sensor, head-unit, bike, other" },
    { "edit", VERB_EDIT, 1, "a number from the list" },
    { "remove", VERB_REMOVE, 1, "a number from the list" },
    { "charge", VERB_CHARGE, 1, "a number from the list" },
    { "zero", VERB_ZERO, 2, "a number from the list and the offset" },
    { "check", VERB_CHECK, 1, "a number from the list" },
    { "change", VERB_CHANGE, 1, "a number from the list; what was changed: --note" },
    { "remove-care", VERB_UNDO_CARE, 1, "a number of an entry of care (--care)" },
};
#define N_VERBS (sizeof verbs / sizeof verbs[0])

static const struct roster_work work;

static bool find_verb(const struct roster_call *call, enum verb *out, struct error *err)
{
    *out = VERB_LIST;
    if (call->n_words < 2) {
        return true;
    }
    const char *names[N_VERBS];
    for (size_t i = 0; i < N_VERBS; i++) {
        names[i] = verbs[i].name;
        if (strcmp(call->words[1], verbs[i].name) != 0) {
            continue;
        }
        *out = verbs[i].verb;
        return call->n_words == 2 + verbs[i].words ||
               roster_usage(
                   &work, arena_format(call->arena, "%s: takes %s", names[i], verbs[i].needs), err);
    }
    const char *nearest = text_nearest(call->words[1], names, N_VERBS);
    return roster_usage(&work,
                        arena_format(call->arena, "%.60s: not known%s%s", call->words[1],
                                     nearest == NULL ? "" : ", did you mean ",
                                     nearest == NULL ? "" : nearest),
                        err);
}

static bool take_number(const char *word, int64_t *out)
{
    const size_t length = strlen(word);
    if (length == 0 || length > 17 || strspn(word, "0123456789") != length) {
        return false;
    }
    *out = strtoll(word, NULL, 10);
    return true;
}

static bool describes(const struct equipment_values *values)
{
    return values->name != NULL || values->maker != NULL || values->product != NULL ||
           values->serial != NULL || values->position != NULL || values->sides != NULL ||
           !isnan(values->accuracy_pct) || !isnan(values->charge_hours) || values->from != NULL ||
           values->to != NULL || values->shared;
}

static bool check_words(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct equipment_values *values = raw;
    enum verb verb = VERB_LIST;
    int64_t number = 0;
    int64_t days = 0;
    if (!find_verb(call, &verb, err)) {
        return false;
    }
    if (verb != VERB_LIST && verb != VERB_ADD && !take_number(call->words[2], &number)) {
        return roster_usage(
            &work, arena_format(call->arena, "%.60s: no number from the list", call->words[2]),
            err);
    }
    if (verb == VERB_ZERO) {
        const char *digits = call->words[3] + (call->words[3][0] == '-' ? 1 : 0);
        if (!take_number(digits, &number) || strlen(digits) > 10) {
            return roster_usage(
                &work,
                arena_format(call->arena, "%.60s: no zero offset; such as 812", call->words[3]),
                err);
        }
    }
    if (verb != VERB_ADD && verb != VERB_EDIT && describes(values)) {
        return roster_usage(&work, "what describes it belongs to add and edit", err);
    }
    if (values->serial != NULL && values->serial[0] != '\0' &&
        !take_number(values->serial, &number)) {
        return roster_usage(
            &work, arena_format(call->arena, "--serial %.60s: not a number", values->serial), err);
    }
    const bool is_care =
        verb == VERB_CHARGE || verb == VERB_ZERO || verb == VERB_CHECK || verb == VERB_CHANGE;
    if (verb == VERB_CHANGE && (values->note == NULL || values->note[0] == '\0')) {
        return roster_usage(&work, "change: say what was changed, --note \"new chainrings\"", err);
    }
    if (values->day != NULL && !is_care) {
        return roster_usage(&work, "--day: belongs to charge, zero, check and change", err);
    }
    return values->day == NULL || dates_parse_day(values->day, &days) ||
           roster_usage(&work,
                        arena_format(call->arena, "--day %.60s: is no day; write it as 2026-03-14",
                                     values->day),
                        err);
}

/* What the options say, on top of what is there; "" takes a fact away. */
static void apply(const struct equipment_values *values, struct equipment *item)
{
    const struct {
        const char *given;
        const char **field;
    } fields[] = {
        { values->name, &item->name },       { values->maker, &item->maker },
        { values->product, &item->product }, { values->position, &item->position },
        { values->sides, &item->sides },     { values->from, &item->from_day },
        { values->to, &item->to_day },       { values->note, &item->note },
    };
    for (size_t i = 0; i < sizeof fields / sizeof fields[0]; i++) {
        if (fields[i].given != NULL) {
            *fields[i].field = fields[i].given[0] == '\0' ? NULL : fields[i].given;
        }
    }
    if (values->serial != NULL) {
        item->serial = 0;
        (void)take_number(values->serial, &item->serial);
    }
    item->accuracy_pct = isnan(values->accuracy_pct) ? item->accuracy_pct : values->accuracy_pct;
    item->charge_hours = isnan(values->charge_hours) ? item->charge_hours : values->charge_hours;
}

static bool add_item(struct roster_call *call, const struct equipment_values *values,
                     const struct rider *rider, const char **said, struct error *err)
{
    struct equipment item = {
        .is_shared = values->shared,
        .kind = call->words[2],
        .accuracy_pct = (double)NAN,
        .charge_hours = (double)NAN,
    };
    apply(values, &item);
    if (!equipment_add(call->roster, call->arena, call->now, rider, &item, err)) {
        return false;
    }
    *said = arena_format(call->arena, "%lld: %s", (long long)item.id, item.said);
    return true;
}

static bool edit_item(struct roster_call *call, const struct equipment_values *values,
                      const struct rider *rider, int64_t id, const char **said, struct error *err)
{
    struct equipment item = { 0 };
    if (!equipment_find(roster_db(call->roster), call->arena, rider, id, &item, err)) {
        return false;
    }
    apply(values, &item);
    const bool done = equipment_edit(call->roster, call->arena, call->now, rider, &item, err);
    *said = item.said;
    return done;
}

static bool add_care(struct roster_call *call, const struct equipment_values *values,
                     const struct rider *rider, enum verb verb, int64_t id, const char **said,
                     struct error *err)
{
    struct equipment item = { 0 };
    struct care care = {
        .kind = verb == VERB_CHARGE   ? "charge"
                : verb == VERB_ZERO   ? "zero-offset"
                : verb == VERB_CHANGE ? "change"
                                      : "check",
        .day = values->day == NULL ? call->today : values->day,
        .value = verb == VERB_ZERO ? strtod(call->words[3], NULL) : (double)NAN,
        .note = values->note,
    };
    return equipment_find(roster_db(call->roster), call->arena, rider, id, &item, err) &&
           equipment_care_add(call->roster, call->arena, call->now, &item, &care, said, err);
}

static bool do_verb(struct roster_call *call, const struct equipment_values *values,
                    const struct rider *rider, enum verb verb, const char **said, struct error *err)
{
    int64_t id = 0;
    if (verb != VERB_ADD && verb != VERB_LIST) {
        (void)take_number(call->words[2], &id);
    }
    switch (verb) {
    case VERB_ADD: return add_item(call, values, rider, said, err);
    case VERB_EDIT: return edit_item(call, values, rider, id, said, err);
    case VERB_REMOVE:
        return equipment_remove(call->roster, call->arena, call->now, rider, id, said, err);
    case VERB_UNDO_CARE:
        return equipment_care_remove(call->roster, call->arena, call->now, rider, id, said, err);
    case VERB_CHARGE:
    case VERB_ZERO:
    case VERB_CHECK:
    case VERB_CHANGE: return add_care(call, values, rider, verb, id, said, err);
    case VERB_LIST: break;
    }
    return true;
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    const struct equipment_values *values = raw;
    struct rider rider = { 0 };
    enum verb verb = VERB_LIST;
    const char *said = NULL;
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err) ||
        !find_verb(call, &verb, err) || !do_verb(call, values, &rider, verb, &said, err)) {
        return false;
    }
    if (said == NULL || call->json) {
        return equipment_told(call, &rider, values->care, values->all, err);
    }
    text_add_wrapped(&call->out, said, 0, 2, 80);
    return true;
}

static const struct roster_work work = { .command = &command_equipment,
                                         .least_words = 1,
                                         .most_words = 4,
                                         .check = check_words,
                                         .run = run };

static int equipment_run(int argc, char *const argv[])
{
    struct equipment_values values = { .accuracy_pct = (double)NAN, .charge_hours = (double)NAN };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_equipment = {
    .name = "equipment",
    .usage = "RIDER [VERB WORD...] [options]",
    .summary = "power meters, heart sensors, head units and bikes, and their care",
    .about =
        "Lists a rider's equipment, with the hours since the last charge by the rides recorded "
        "with its serial, zero offsets from the devices and by hand, and what was recorded but "
        "isn't listed. add KIND (power-meter, heart-sensor, head-unit, bike, other), edit N and "
        "remove N change the list; charge N, zero N OFFSET (a negative one after --) and check N "
        "note care, change N --note WORDS what was changed on a meter (chainrings, a new battery, "
        "mounted anew); remove-care ENTRY takes such an entry away. A meter of one leg and a "
        "sensor at the wrist are said "
        "beside every ride recorded with them. Every change can be taken back: plumbline undo.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = equipment_run,
};
