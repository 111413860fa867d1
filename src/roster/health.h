/* roster/health.h: the questions before hard work, what switches readings off, and who agreed.
 *
 * Nothing here judges a rider's health.  The questions are asked, the answers dated and kept, and a
 * doctor's word is recorded with name and day.  Whatever is missing ends in "medical advice first".
 * The questions: the usual ones before exercise (science of pre-participation screening, common
 * practice, no source). */
#ifndef ROSTER_HEALTH_H
#define ROSTER_HEALTH_H

#include "physiology/facts.h"
#include "roster/entries.h"

enum screening_question {
    SCREENING_HEART_CONDITION,
    SCREENING_CHEST_PAIN,
    SCREENING_FAINTING,
    SCREENING_SUDDEN_DEATH,
    SCREENING_MEDICINE,
    SCREENING_PREGNANCY,
    SCREENING_NEW_OVER_45,
    SCREENING_QUESTIONS
};
struct screening_row {
    const char *name;   /* "chest-pain", on the command line and in JSON */
    const char *column; /* "chest_pain" */
    const char *words;  /* "chest pain" */
    const char *asks;   /* the question as it is put to a rider */
};
const struct screening_row *screening_row(enum screening_question question);

struct screening {
    struct entry entry;
    const char *day;
    bool yes[SCREENING_QUESTIONS];
    const char *cleared_by; /* NULL = nobody; with cleared_day, and only after a yes */
    const char *cleared_day;
    const char *note;
};
bool screening_has_yes(const struct screening *screening);

/* Switches readings off while it holds; a guardian's word under 18. */
struct flag {
    struct entry entry;
    const char *kind; /* heart-medicine, pregnant, guardian-agreed */
    const char *from_day;
    const char *to_day; /* NULL = still so */
    const char *note;
};

struct consent {
    struct entry entry;
    const char *kind;  /* letters, handouts, studies */
    const char *words; /* to what exactly; NULL when saving = the kind's usual words */
    const char *given_day;
    const char *given_by;      /* under 18: the guardian, who must be named */
    const char *withdrawn_day; /* from this day on it holds no more; NULL = it holds */
};

extern const struct entry_kind screening_kind;
extern const struct entry_kind flag_kind;
extern const struct entry_kind consent_kind;

/* "heart-altering medicine" of "heart-medicine"; an unknown kind stays as it is. */
const char *flag_in_words(const char *kind);

/* Adds or edits a screening.  A yes to medicine or pregnancy also raises that flag from its day on,
 * in the same change, unless one holds there already: nothing may be read from heart rate
 * meanwhile. */
MUST_USE bool health_screen(struct roster *roster, struct arena *arena, struct roster_now now,
                            const struct rider *rider, struct screening *screening,
                            struct error *err);

/* Whole years of age on a day; -1 if the day of birth isn't known, or comes later.  Who was born on
 * 29 February grows older on 1 March of other years. */
int health_age(const char *born_day, const char *day);

/* How a rider stands on a day. */
struct health {
    int age_y; /* -1 = not known */
    bool is_minor;
    bool guardian_agreed;
    bool heart_medicine;
    bool pregnant;
    bool is_screened; /* `screening` is the newest until that day */
    struct screening screening;
    bool is_cleared;   /* somebody cleared it until that day */
    bool advice_first; /* none on file, or a yes that nobody cleared */
};
MUST_USE bool health_on(struct db *db, struct arena *arena, const struct rider *rider,
                        const char *day, struct health *out, struct error *err);

#endif
