/* coaching/day_answers.c: what a rider can say of a day or of a ride. */
#include "coaching/day_answers.h"

#include <math.h>
#include <string.h>

/* Effort on the ten-point scale: Foster et al. 2001, J Strength Cond Res 15:109-115, from memory.
 * Five-point scales for how one feels: common practice, no source.  Ranges of the rest only catch
 * slips of the pen. */
static const struct answer_row rows[ANSWERS] = {
    [ANSWER_EFFORT] = { "effort_0_10", "effort", "of 10", 0, 10, "0 = none, 10 = all there was",
                        ANSWER_IS_NUMBER, false },
    [ANSWER_LEGS] = { "legs_1_5", "legs", "of 5", 1, 5, "1 = very heavy, 5 = fresh",
                      ANSWER_IS_WHOLE, false },
    [ANSWER_SLEEP] = { "sleep_1_5", "sleep", "of 5", 1, 5, "1 = very bad, 5 = very good",
                       ANSWER_IS_WHOLE, false },
    [ANSWER_STRESS] = { "stress_1_5", "stress", "of 5", 1, 5, "1 = none, 5 = very much",
                        ANSWER_IS_WHOLE, false },
    [ANSWER_SORENESS] = { "soreness_1_5", "soreness", "of 5", 1, 5, "1 = none, 5 = very sore",
                          ANSWER_IS_WHOLE, false },
    [ANSWER_SLEEP_H] = { "sleep_h", "sleep", "h", 0, 24, NULL, ANSWER_IS_NUMBER, false },
    [ANSWER_FAN] = { "fan", "fan", "", 0, 1, NULL, ANSWER_IS_TRUTH, false },
    [ANSWER_HOT] = { "hot", "hot", "", 0, 1, NULL, ANSWER_IS_TRUTH, true },
    [ANSWER_TEMPERATURE] = { "temperature_c", "temperature", "degrees C", -30, 50, NULL,
                             ANSWER_IS_NUMBER, false },
    [ANSWER_DEHYDRATED] = { "dehydrated", "dehydrated", "", 0, 1, NULL, ANSWER_IS_TRUTH, true },
    [ANSWER_DRINK] = { "drink_l", "drink", "l", 0, 20, NULL, ANSWER_IS_NUMBER, false },
    [ANSWER_CAFFEINE] = { "caffeine", "caffeine", "", -1, 1, NULL, ANSWER_IS_CAFFEINE, false },
    [ANSWER_ILL] = { "ill", "ill", "", 0, 1, NULL, ANSWER_IS_TRUTH, true },
    [ANSWER_HARD_BEFORE] = { "hard_day_before", "hard day before", "", 0, 1, NULL, ANSWER_IS_TRUTH,
                             true },
};

const struct answer_row *answer_row(enum answer answer)
{
    return &rows[answer];
}

struct day_answers answers_none(void)
{
    struct day_answers answers;
    for (int a = 0; a < ANSWERS; a++) {
        answers.value[a] = (double)NAN;
    }
    return answers;
}

bool answers_any(const struct day_answers *answers)
{
    for (int a = 0; a < ANSWERS; a++) {
        if (!isnan(answers->value[a])) {
            return true;
        }
    }
    return false;
}

bool answer_is_sound(enum answer answer, double value)
{
    const struct answer_row *row = &rows[answer];
    return value >= row->lowest && value <= row->highest &&
           (row->kind == ANSWER_IS_NUMBER || !(value > floor(value)));
}

static const char *const caffeine_names[] = { "less", "usual", "more" };

const char *answer_caffeine_name(double value)
{
    return caffeine_names[value < 0.0 ? 0 : value > 0.0 ? 2 : 1];
}

bool answer_caffeine_find(const char *name, double *value)
{
    for (int i = 0; i < 3; i++) {
        if (strcmp(caffeine_names[i], name) == 0) {
            *value = (double)(i - 1);
            return true;
        }
    }
    return false;
}

const char *answer_say(struct arena *arena, enum answer answer, double value)
{
    const struct answer_row *row = &rows[answer];
    if (row->kind == ANSWER_IS_TRUTH) {
        return arena_format(arena, "%s %s", row->subject, value > 0.0 ? "yes" : "no");
    }
    if (row->kind == ANSWER_IS_CAFFEINE) {
        return arena_format(arena, "%s %s", row->subject,
                            value > 0.0   ? "more than usual"
                            : value < 0.0 ? "less than usual"
                                          : "as usual");
    }
    return arena_format(arena, "%s %.4g %s", row->subject, value, row->unit);
}
