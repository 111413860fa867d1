/* coaching/rider_state.c: how is the rider? */
#include "coaching/rider_state.h"

#include "coaching/load_weeks.h"
#include "coaching/symptoms.h"
#include "coaching/usual_effort.h"
#include "coaching/words/weeks_words.h"

#include <math.h>

/* What one part of the history says; the gravest decides. */
enum says { SAYS_NOTHING, SAYS_USUAL, SAYS_LITTLE, SAYS_LOOK, SAYS_ASK_FIRST };

struct hand {
    struct arena *arena;
    const struct rider_history *history;
    const struct limits *limits;
    struct reading *reading;
};

static double limit_of(const struct hand *hand, enum limit_id id)
{
    return reading_limit(hand->reading, hand->limits, id);
}

/* ---- illness, and words ---- */

static enum says look_at_illness(const struct hand *hand)
{
    const int64_t today = hand->history->today;
    const int64_t days = (int64_t)limit_of(hand, LIMIT_HOW_DAYS);
    for (int64_t day = today; day > today - days; day--) {
        if (history_is_ill(hand->history, day)) {
            struct cause *cause = causes_add(hand->arena, &hand->reading->because,
                                             day == today ? "ill-now" : "ill-noted");
            cause_number(cause, "day", (double)day);
            return SAYS_ASK_FIRST;
        }
    }
    return SAYS_NOTHING;
}

/* The notes of the window with any of these symptoms. */
struct found {
    unsigned symptoms; /* all that they name; 0 = there is no such note */
    int64_t day;       /* of the newest */
    int64_t note;      /* that was put down last, whatever its day */
};

static struct found notes_with(const struct hand *hand, unsigned symptoms)
{
    struct found found = { 0 };
    const int64_t from = hand->history->today + 1 - (int64_t)limit_of(hand, LIMIT_HOW_WORDS_DAYS);
    for (size_t i = 0; i < hand->history->n_notes; i++) {
        const struct past_note *note = &hand->history->notes[i];
        const unsigned named = note->day >= from ? symptoms_in(note->words) & symptoms : 0;
        if (named != 0) {
            found.symptoms |= named;
            found.day = note->day;
            found.note = note->id > found.note ? note->id : found.note;
        }
    }
    return found;
}

static enum says look_at_words(const struct hand *hand)
{
    static const struct {
        unsigned symptoms;
        const char *code;
        const char *settle;
        enum says says;
    } rows[] = {
        { SYMPTOMS_OF_HEART, "words-of-heart", "doctor-before-hard", SAYS_ASK_FIRST },
        { SYMPTOMS_OF_ILL, "words-of-illness", "easy-and-ask", SAYS_ASK_FIRST },
        { SYMPTOM_FALL, "words-of-fall", "ask-about-fall", SAYS_LOOK },
    };
    enum says gravest = SAYS_NOTHING;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct found found = notes_with(hand, rows[i].symptoms);
        if (found.symptoms != 0) {
            struct cause *cause = causes_add(hand->arena, &hand->reading->because, rows[i].code);
            cause_number(cause, "note", (double)found.note);
            cause_number(cause, "day", (double)found.day);
            cause_number(cause, "symptoms", (double)found.symptoms);
            causes_add(hand->arena, &hand->reading->settle_by, rows[i].settle);
            gravest = rows[i].says > gravest ? rows[i].says : gravest;
        }
    }
    return gravest;
}

/* ---- effort ---- */

static enum says look_at_effort(const struct hand *hand)
{
    static const enum limit_id used[] = {
        LIMIT_HOW_RIDES,
        LIMIT_HOW_LIKE_RIDES,
        LIMIT_HOW_RIDES_DAYS,
        LIMIT_HOW_LIKE_HOURS_RATIO,
        LIMIT_HOW_LIKE_POWER_RATIO,
        LIMIT_HOW_LIKE_HARD_MIN,
        LIMIT_HOW_EFFORT_SD,
    };
    for (size_t i = 0; i < sizeof used / sizeof used[0]; i++) {
        (void)limit_of(hand, used[i]);
    }
    const struct usual_effort effort = usual_effort_of(hand->history, hand->limits);
    const double least = limit_of(hand, LIMIT_HOW_EFFORT_POINTS);
    if (!effort.is_known) {
        if (effort.n_said > 0) {
            struct cause *cause =
                causes_add(hand->arena, &hand->reading->because, "effort-not-compared");
            cause_number(cause, "said", (double)effort.n_said);
            cause_number(cause, "compared", (double)effort.n_compared);
        }
        return SAYS_NOTHING;
    }
    hand->reading->estimate = effort.more;
    hand->reading->low = effort.low;
    hand->reading->high = effort.high;
    const bool is_higher = effort.low > 0.0 && effort.more >= least;
    const bool is_lower = effort.high < 0.0 && effort.more <= -least;
    struct cause *cause = causes_add(hand->arena, &hand->reading->because,
                                     is_higher  ? "effort-higher"
                                     : is_lower ? "effort-lower"
                                                : "effort-usual");
    cause_number(cause, "effort", effort.mean);
    cause_number(cause, "usual", effort.mean - effort.more);
    cause_number(cause, "rides", (double)effort.n_compared);
    cause_number(cause, "like", (double)effort.n_like);
    cause_number(cause, "ride", (double)effort.last_ride);
    return is_higher ? SAYS_LOOK : SAYS_USUAL;
}

/* ---- heart rate against usual ---- */

/* The newest ride of the window that was put to it.  Unusual is worth a question; usual says
 * little, and decides nothing. */
static enum says look_at_heart(const struct hand *hand)
{
    const struct rider_history *history = hand->history;
    const int64_t from = history->today + 1 - (int64_t)limit_of(hand, LIMIT_HOW_DAYS);
    const struct past_ride *ride = NULL;
    for (size_t i = history_ride_from(history, from); i < history->n_rides; i++) {
        const struct past_ride *one = &history->rides[i];
        const bool is_told = one->today.is_asked && one->today.verdict != VERDICT_CANNOT_TELL;
        ride = is_told ? one : ride;
    }
    if (ride == NULL) {
        return SAYS_NOTHING;
    }
    const enum verdict verdict = ride->today.verdict;
    struct cause *cause = causes_add(hand->arena, &hand->reading->because,
                                     verdict == VERDICT_HIGHER_THAN_USUAL  ? "heart-higher"
                                     : verdict == VERDICT_LOWER_THAN_USUAL ? "heart-lower"
                                                                           : "heart-usual");
    cause_number(cause, "bpm", ride->today.estimate);
    cause_number(cause, "day", (double)ride->day);
    cause_number(cause, "ride", (double)ride->id);
    return verdict == VERDICT_USUAL ? SAYS_NOTHING : SAYS_LOOK;
}

/* ---- legs, sleep, stress, soreness ---- */

enum scale { SCALE_LEGS, SCALE_SLEEP, SCALE_STRESS, SCALE_SORENESS, SCALES };

/* From 1 to 5, turned so that more is worse; NAN = not said. */
static double badness(const struct past_note *note, enum scale scale)
{
    const int said[SCALES] = { note->legs_1_5, note->sleep_1_5, note->stress_1_5,
                               note->soreness_1_5 };
    const int value = said[scale];
    return value < 1 || value > 5                        ? (double)NAN
           : scale == SCALE_LEGS || scale == SCALE_SLEEP ? 6.0 - (double)value
                                                         : (double)value;
}

struct answers {
    size_t n;
    double sum;
    int64_t note; /* put down last */
};

static struct answers answers_in(const struct rider_history *history, enum scale scale,
                                 int64_t from, int64_t to)
{
    struct answers answers = { 0 };
    for (size_t i = 0; i < history->n_notes; i++) {
        const double value = badness(&history->notes[i], scale);
        if (history->notes[i].day >= from && history->notes[i].day < to && !isnan(value)) {
            answers.n++;
            answers.sum += value;
            answers.note =
                history->notes[i].id > answers.note ? history->notes[i].id : answers.note;
        }
    }
    return answers;
}

static enum says look_at_scale(const struct hand *hand, enum scale scale)
{
    static const char *const worse[SCALES] = { "legs-worse", "sleep-worse", "stress-worse",
                                               "soreness-worse" };
    const int64_t to = hand->history->today + 1;
    const int64_t from = to - (int64_t)limit_of(hand, LIMIT_HOW_DAYS);
    const int64_t before = from - (int64_t)limit_of(hand, LIMIT_HOW_NOTES_DAYS);
    const struct answers now = answers_in(hand->history, scale, from, to);
    const struct answers usual = answers_in(hand->history, scale, before, from);
    if ((double)now.n < limit_of(hand, LIMIT_HOW_ANSWERS) ||
        (double)usual.n < limit_of(hand, LIMIT_HOW_USUAL_ANSWERS)) {
        return SAYS_NOTHING;
    }
    const double now_mean = now.sum / (double)now.n;
    const double usual_mean = usual.sum / (double)usual.n;
    if (now_mean - usual_mean < limit_of(hand, LIMIT_HOW_SCALE_POINTS)) {
        return SAYS_USUAL;
    }
    const bool turned = scale == SCALE_LEGS || scale == SCALE_SLEEP;
    struct cause *cause = causes_add(hand->arena, &hand->reading->because, worse[scale]);
    cause_number(cause, "now", turned ? 6.0 - now_mean : now_mean);
    cause_number(cause, "usual", turned ? 6.0 - usual_mean : usual_mean);
    cause_number(cause, "answers", (double)now.n);
    cause_number(cause, "note", (double)now.note);
    return now_mean - usual_mean < limit_of(hand, LIMIT_HOW_SCALE_FAR_POINTS) ? SAYS_LITTLE
                                                                              : SAYS_LOOK;
}

static enum says look_at_scales(const struct hand *hand)
{
    enum says gravest = SAYS_NOTHING;
    size_t n_worse = 0;
    for (int scale = 0; scale < SCALES; scale++) {
        const enum says says = look_at_scale(hand, (enum scale)scale);
        n_worse += says >= SAYS_LITTLE ? 1 : 0;
        gravest = says > gravest ? says : gravest;
    }
    return n_worse > 1 ? SAYS_LOOK : gravest;
}

/* ---- hours: said, never deciding ---- */

static enum says look_at_hours(const struct hand *hand)
{
    const int64_t to = hand->history->today + 1;
    const double hours = history_hours(hand->history, to - 7, to);
    const struct load_jump jump = load_seven_days(hand->history, to, hand->limits);
    if (!isnan(jump.usual_hours)) {
        struct cause *cause =
            causes_add(hand->arena, &hand->reading->because, jump.is_jump ? "hours-more" : "hours");
        cause_number(cause, "hours", hours);
        cause_number(cause, "usual_hours", jump.usual_hours);
    }
    return SAYS_NOTHING;
}

/* ---- the reading ---- */

static void conclude(const struct hand *hand, enum says gravest)
{
    struct reading *reading = hand->reading;
    switch (gravest) {
    case SAYS_ASK_FIRST:
        reading->verdict = VERDICT_ASK_FIRST;
        if (reading->settle_by.count == 0) {
            causes_add(hand->arena, &reading->settle_by, "easy-and-ask");
        }
        break;
    case SAYS_LOOK:
        reading->verdict = VERDICT_LOOK;
        causes_add(hand->arena, &reading->settle_by, "ask-how");
        break;
    case SAYS_LITTLE:
    case SAYS_USUAL: reading->verdict = VERDICT_USUAL; break;
    case SAYS_NOTHING:
        cause_number(causes_add(hand->arena, &reading->cannot_because, "little-said"), "days",
                     limit_of(hand, LIMIT_HOW_DAYS));
        causes_add(hand->arena, &reading->settle_by, "ask-how");
        break;
    }
}

struct reading rider_state_read(struct arena *arena, const struct rider_history *history,
                                const struct limits *limits)
{
    static enum says (*const parts[])(const struct hand *hand) = {
        look_at_words, look_at_illness, look_at_effort,
        look_at_heart, look_at_scales,  look_at_hours,
    };
    struct reading reading = reading_begin(QUESTION_HOW);
    const struct hand hand = { arena, history, limits, &reading };
    reading.unit = "points";
    reading.limit_value = 0.0;
    reading.limit_source = "no change";
    enum says gravest = SAYS_NOTHING;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        const enum says says = parts[i](&hand);
        gravest = says > gravest ? says : gravest;
    }
    conclude(&hand, gravest);
    words_weeks_fill(arena, &reading);
    return reading;
}
