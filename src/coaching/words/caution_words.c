/* coaching/words/caution_words.c: what stands over a rider, in words. */
#include "coaching/words/caution_words.h"

const char *words_rider_caution(enum rider_caution caution)
{
    static const char *const sentences[RIDER_CAUTIONS] = {
        [RIDER_NOT_SCREENED] = "Medical advice first: the questions before hard work have not been "
                               "answered. Nothing hard or maximal until they are.",
        [RIDER_NOT_CLEARED] = "Medical advice first: a question before hard work was answered yes, "
                              "and nobody has cleared it. Nothing hard or maximal until a doctor "
                              "has.",
        [RIDER_SCREENED_LONG_AGO] = "The questions before hard work were answered long ago: ask "
                                    "them again.",
        [RIDER_GUARDIAN_MISSING] = "Under 18, and no guardian's consent is on file: ask for it "
                                   "before anything is planned.",
        [RIDER_UNDER_18] = "Under 18: no formula of age is used, and no all-out test of 60 or of 3 "
                           "minutes.",
        [RIDER_AGE_UNKNOWN] = "The day of birth is not on file: whether a guardian must agree "
                              "can't be told.",
        [RIDER_HEART_MEDICINE] = "Heart-altering medicine: nothing is read as a share of the "
                                 "maximal heart rate, and no range of heart rate is set.",
        [RIDER_PREGNANT] = "Pregnancy: verdicts from heart rate are off, and no maximal test.",
        [RIDER_FIRST_YEAR] = "First year of training: no all-out test of 3 minutes.",
    };
    return sentences[caution];
}
