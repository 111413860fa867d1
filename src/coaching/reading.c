/* coaching/reading.c: names of questions and verdicts, and the parts of a reading. */
#include "coaching/reading.h"

#include <assert.h>
#include <math.h>
#include <string.h>

const char *question_name(enum question question)
{
    static const char *const names[] = {
        [QUESTION_TRUST] = "trust",
        [QUESTION_BASE] = "base",
        [QUESTION_EASY_WORK] = "easy work",
        [QUESTION_HARD_WORK] = "hard work",
        [QUESTION_HARD_DAY] = "hard day",
        [QUESTION_BASE_STATE] = "base state",
        [QUESTION_BASE_TREND] = "base trend",
        [QUESTION_PROGRESS] = "progress",
        [QUESTION_STALLED] = "stalled",
        [QUESTION_EASY_WEEKS] = "easy weeks",
        [QUESTION_HOW] = "how",
        [QUESTION_LOAD] = "load",
        [QUESTION_COMEBACK] = "comeback",
        [QUESTION_METERS] = "meters",
        [QUESTION_TODAY] = "today",
    };
    return names[question];
}

const char *question_method(enum question question)
{
    static const char *const methods[] = {
        [QUESTION_TRUST] = "trust/1",
        [QUESTION_BASE] = "base/3",
        [QUESTION_EASY_WORK] = "easy/1",
        [QUESTION_HARD_WORK] = "hard/5",
        [QUESTION_HARD_DAY] = "hard-day/2",
        [QUESTION_BASE_STATE] = "base-state/2",
        [QUESTION_BASE_TREND] = "base-trend/3",
        [QUESTION_PROGRESS] = "progress/2",
        [QUESTION_STALLED] = "stalled/2",
        [QUESTION_EASY_WEEKS] = "easy-weeks/1",
        [QUESTION_HOW] = "how/2",
        [QUESTION_LOAD] = "load/1",
        [QUESTION_COMEBACK] = "comeback/1",
        [QUESTION_METERS] = "meters/1",
        [QUESTION_TODAY] = "today/4",
    };
    return methods[question];
}

const char *verdict_name(enum verdict verdict)
{
    static const char *const names[] = {
        [VERDICT_CANNOT_TELL] = "cannot tell",
        [VERDICT_USABLE] = "usable",
        [VERDICT_USABLE_IN_PART] = "usable in part",
        [VERDICT_NOT_USABLE] = "not usable",
        [VERDICT_PASSED] = "passed",
        [VERDICT_ON_THE_LINE] = "on the line",
        [VERDICT_NOT_PASSED] = "not passed",
        [VERDICT_EASY_ENOUGH] = "easy enough",
        [VERDICT_TOO_HARD] = "too hard",
        [VERDICT_DONE] = "done",
        [VERDICT_DONE_FAST_START] = "done fast start",
        [VERDICT_STARTED_TOO_HARD] = "started too hard",
        [VERDICT_FADED] = "faded",
        [VERDICT_BELOW] = "below",
        [VERDICT_ABOVE] = "above",
        [VERDICT_CUT_SHORT] = "cut short",
        [VERDICT_STOPPED] = "stopped",
        [VERDICT_DESCRIBED] = "described",
        [VERDICT_HARD_DAY] = "hard day",
        [VERDICT_NO_HARD_DAY] = "no hard day",
        [VERDICT_BUILT] = "built",
        [VERDICT_TO_CONFIRM] = "to confirm",
        [VERDICT_STILL_BUILDING] = "still building",
        [VERDICT_OUT_OF_DATE] = "out of date",
        [VERDICT_NOT_TESTED] = "not tested",
        [VERDICT_FALLING] = "falling",
        [VERDICT_FLAT] = "flat",
        [VERDICT_RISING] = "rising",
        [VERDICT_BETTER] = "better",
        [VERDICT_NO_CLEAR_CHANGE] = "no clear change",
        [VERDICT_LOWER] = "lower",
        [VERDICT_YES] = "yes",
        [VERDICT_NO] = "no",
        [VERDICT_USUAL] = "usual",
        [VERDICT_LOOK] = "look",
        [VERDICT_ASK_FIRST] = "ask first",
        [VERDICT_NO_JUMP] = "no jump",
        [VERDICT_JUMP] = "week jump",
        [VERDICT_NO_BREAK] = "no break",
        [VERDICT_OFF] = "off",
        [VERDICT_COMING_BACK] = "coming back",
        [VERDICT_BACK] = "back",
        [VERDICT_NO_CLEAR_DIFFERENCE] = "no clear difference",
        [VERDICT_DIFFER] = "differ",
        [VERDICT_HIGHER_THAN_USUAL] = "higher than usual",
        [VERDICT_LOWER_THAN_USUAL] = "lower than usual",
    };
    return names[verdict];
}

bool verdict_find(const char *name, enum verdict *verdict)
{
    for (int v = VERDICT_CANNOT_TELL; v < VERDICTS; v++) {
        if (strcmp(verdict_name((enum verdict)v), name) == 0) {
            *verdict = (enum verdict)v;
            return true;
        }
    }
    return false;
}

struct reading reading_begin(enum question question)
{
    return (struct reading){
        .question = question,
        .verdict = VERDICT_CANNOT_TELL,
        .estimate = (double)NAN,
        .low = (double)NAN,
        .high = (double)NAN,
        .limit_value = (double)NAN,
        .range_low = (double)NAN,
        .range_high = (double)NAN,
        .basis = { .method = question_method(question), .threshold_w = (double)NAN },
    };
}

struct reading *readings_add(struct arena *arena, struct ride_readings *readings,
                             enum question question)
{
    readings->items = arena_grow(arena, readings->items, readings->count, &readings->capacity,
                                 sizeof readings->items[0]);
    struct reading *reading = &readings->items[readings->count++];
    *reading = reading_begin(question);
    return reading;
}

struct cause *causes_add(struct arena *arena, struct causes *causes, const char *code)
{
    causes->items =
        arena_grow(arena, causes->items, causes->count, &causes->capacity, sizeof causes->items[0]);
    struct cause *cause = &causes->items[causes->count++];
    *cause = (struct cause){ .code = code };
    return cause;
}

void cause_number(struct cause *cause, const char *name, double value)
{
    assert(cause->n_numbers < CAUSE_NUMBERS);
    if (cause->n_numbers < CAUSE_NUMBERS) {
        cause->numbers[cause->n_numbers++] = (struct number){ name, value };
    }
}

double cause_value(const struct cause *cause, const char *name)
{
    return cause == NULL ? (double)NAN : numbers_find(cause->numbers, cause->n_numbers, name);
}

const struct cause *causes_find(const struct causes *causes, const char *code)
{
    for (size_t i = 0; i < causes->count; i++) {
        if (strcmp(causes->items[i].code, code) == 0) {
            return &causes->items[i];
        }
    }
    return NULL;
}

double reading_limit(struct reading *reading, const struct limits *limits, enum limit_id id)
{
    const double value = limits->value[id];
    struct basis *basis = &reading->basis;
    for (size_t i = 0; i < basis->n_limits; i++) {
        if (basis->limits[i] == id) {
            return value;
        }
    }
    assert(basis->n_limits < BASIS_LIMITS);
    if (basis->n_limits < BASIS_LIMITS) {
        basis->limits[basis->n_limits] = id;
        basis->limit_values[basis->n_limits] = value;
        basis->n_limits++;
    }
    return value;
}
