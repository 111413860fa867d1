/* coaching/rider_cautions.c: what stands over everything that is proposed to a rider. */
#include "coaching/rider_cautions.h"

#include <math.h>

bool rider_cautions_allow_hard(const struct rider_facts *facts)
{
    return facts->screened == SCREENED_ALL_NO || facts->screened == SCREENED_CLEARED;
}

struct rider_cautions rider_cautions_find(const struct rider_facts *facts,
                                          const struct limits *limits)
{
    const bool is_minor = facts->age_y < ADULT_YEARS; /* false where the age isn't known */
    const bool holds[RIDER_CAUTIONS] = {
        [RIDER_NOT_SCREENED] = facts->screened == SCREENED_NOT,
        [RIDER_NOT_CLEARED] = facts->screened == SCREENED_YES,
        [RIDER_SCREENED_LONG_AGO] =
            facts->screened_days > limits->value[LIMIT_CAUTION_SCREENED_DAYS],
        [RIDER_GUARDIAN_MISSING] = is_minor && !facts->guardian_agreed,
        [RIDER_UNDER_18] = is_minor,
        [RIDER_AGE_UNKNOWN] = isnan(facts->age_y),
        [RIDER_HEART_MEDICINE] = facts->heart_medicine,
        [RIDER_PREGNANT] = facts->pregnant,
        [RIDER_FIRST_YEAR] = facts->training_y < limits->value[LIMIT_CAUTION_FIRST_YEARS],
    };
    struct rider_cautions out = { .count = 0 };
    for (int c = 0; c < RIDER_CAUTIONS; c++) {
        if (holds[c]) {
            out.list[out.count++] = (enum rider_caution)c;
        }
    }
    return out;
}

const char *rider_caution_name(enum rider_caution caution)
{
    static const char *const names[RIDER_CAUTIONS] = {
        [RIDER_NOT_SCREENED] = "not-screened",
        [RIDER_NOT_CLEARED] = "not-cleared",
        [RIDER_SCREENED_LONG_AGO] = "screened-long-ago",
        [RIDER_GUARDIAN_MISSING] = "guardian-missing",
        [RIDER_UNDER_18] = "under-18",
        [RIDER_AGE_UNKNOWN] = "age-unknown",
        [RIDER_HEART_MEDICINE] = "heart-medicine",
        [RIDER_PREGNANT] = "pregnant",
        [RIDER_FIRST_YEAR] = "first-year",
    };
    return names[caution];
}
