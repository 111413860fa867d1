/* coaching/words/weeks_words.c: easy rides, how the rider is, hours, and coming back. */
#include "coaching/words/weeks_words.h"

#include "coaching/symptoms.h"
#include "coaching/words/heart_words.h"
#include "coaching/words/rider_words.h"
#include "coaching/words/sayings.h"
#include "coaching/words/words.h"

#include <math.h>
#include <string.h>

static char *day_named(struct arena *arena, const struct cause *cause, const char *name)
{
    return words_day(arena, (int64_t)cause_value(cause, name));
}

/* "1 ride", "3 rides". */
static char *counted(struct arena *arena, double n, const char *noun)
{
    return arena_format(arena, "%s %s%s", words_whole(arena, n), noun,
                        n > 0.5 && n < 1.5 ? "" : "s");
}

/* "4 weeks", "10 days". */
static char *span_of_days(struct arena *arena, double days)
{
    const double weeks = days / 7.0;
    return weeks >= 2.0 && fabs(weeks - round(weeks)) < 1e-9 ? counted(arena, weeks, "week")
                                                             : counted(arena, days, "day");
}

char *words_hours(struct arena *arena, double hours)
{
    return isnan(hours) ? arena_string(arena, "unknown") : arena_format(arena, "%.1f", hours);
}

static char *hours_of(struct arena *arena, const struct cause *cause, const char *name)
{
    return words_hours(arena, cause_value(cause, name));
}

/* ---- easy rides ---- */

static char *easy_rides(struct arena *arena, const struct cause *cause)
{
    const double judged = cause_value(cause, "judged");
    const double hard = cause_value(cause, "too_hard");
    const double line = cause_value(cause, "on_the_line");
    const char *span = span_of_days(arena, cause_value(cause, "days"));
    const char *rides = counted(arena, judged, "ride");
    if (hard < 0.5 && line < 0.5) {
        return arena_format(arena, "None of the %s asked easy in the last %s was too hard.", rides,
                            span);
    }
    const char *of_hard = hard < 0.5 ? "none" : words_whole(arena, hard);
    const char *of_line = line < 0.5
                              ? ""
                              : arena_format(arena, "; %s on the line",
                                             line < 1.5 ? "one more was"
                                                        : arena_format(arena, "%s more were",
                                                                       words_whole(arena, line)));
    return arena_format(arena, "Of the %s asked easy in the last %s %s %s too hard%s.", rides, span,
                        of_hard, hard < 1.5 ? "was" : "were", of_line);
}

static char *easy_hilly(struct arena *arena, const struct cause *cause)
{
    const double n = cause_value(cause, "count");
    const double of = cause_value(cause, "of");
    return n > of - 0.5 && of < 1.5 ? arena_string(arena, "It was a hilly ride.")
           : n > of - 0.5
               ? arena_string(arena, "All of these were hilly: a flatter road or a lower gear "
                                     "would tell more.")
               : arena_format(arena, "%s of these %s hilly.", words_whole(arena, n),
                              n < 1.5 ? "was" : "were");
}

static char *easy_last(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "The last of them was on %s.", day_named(arena, cause, "day"));
}

static char *easy_not_judged(struct arena *arena, const struct cause *cause)
{
    const double n = cause_value(cause, "count");
    const double without = cause_value(cause, "without_power");
    return arena_format(arena, "%s more could not be judged%s.", words_whole(arena, n),
                        without < 0.5       ? ""
                        : without > n - 0.5 ? ": without power"
                                            : ", some without power");
}

static char *few_easy_rides(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "%s asked easy in the last %s could be judged; %s are needed.",
                        counted(arena, cause_value(cause, "judged"), "ride"),
                        span_of_days(arena, cause_value(cause, "days")),
                        sayings_whole(arena, cause, "least"));
}

static char *cap_easy(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Next time: a cap of %s %% of threshold, uphill too.",
                        sayings_whole(arena, cause, "pct"));
}

/* ---- how ---- */

char *words_symptoms(struct arena *arena, unsigned symptoms)
{
    static const struct {
        enum symptom symptom;
        const char *text;
    } names[] = {
        { SYMPTOM_CHEST, "the chest" },
        { SYMPTOM_HEART, "a racing or uneven heart" },
        { SYMPTOM_FAINT, "faintness or dizziness" },
        { SYMPTOM_BREATH, "breathlessness" },
        { SYMPTOM_FEVER, "fever" },
        { SYMPTOM_ILL, "illness" },
        { SYMPTOM_FALL, "a fall" },
    };
    const char *said[sizeof names / sizeof names[0]];
    size_t n = 0;
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        if ((symptoms & (unsigned)names[i].symptom) != 0) {
            said[n++] = names[i].text;
        }
    }
    return words_list(arena, said, n, " and ");
}

static char *wrote_of(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "What the rider wrote on %s speaks of %s.",
                        day_named(arena, cause, "day"),
                        words_symptoms(arena, (unsigned)cause_value(cause, "symptoms")));
}

static char *ill_noted(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Noted as ill on %s.", day_named(arena, cause, "day"));
}

/* "Effort 7.0 of 10 over 3 rides; usually 5.2 for rides like these (8 of them)." */
static char *effort(struct arena *arena, const struct cause *cause)
{
    return arena_format(
        arena, "Effort %.1f of 10 over %s; usually %.1f for rides like these (%s of them).",
        cause_value(cause, "effort"), counted(arena, cause_value(cause, "rides"), "ride"),
        cause_value(cause, "usual"), sayings_whole(arena, cause, "like"));
}

static char *effort_not_compared(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "%s came with an effort; too few rides like %s have one to compare.",
                        counted(arena, cause_value(cause, "said"), "ride"),
                        cause_value(cause, "said") < 1.5 ? "it" : "these");
}

static char *scale(struct arena *arena, const struct cause *cause)
{
    const char *name = strcmp(cause->code, "legs-worse") == 0     ? "Legs"
                       : strcmp(cause->code, "sleep-worse") == 0  ? "Sleep"
                       : strcmp(cause->code, "stress-worse") == 0 ? "Stress"
                                                                  : "Soreness";
    return arena_format(arena, "%s %.1f of 5; usually %.1f.", name, cause_value(cause, "now"),
                        cause_value(cause, "usual"));
}

static char *hours_said(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "%s h in the last 7 days; usually %s.",
                        hours_of(arena, cause, "hours"), hours_of(arena, cause, "usual_hours"));
}

static char *little_said(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Too little was said in the last %s days to compare.",
                        sayings_whole(arena, cause, "days"));
}

/* ---- load ---- */

static char *which_week(struct arena *arena, const struct cause *cause)
{
    return cause_value(cause, "is_over") > 0.5
               ? arena_format(arena, "in the week of %s", day_named(arena, cause, "monday"))
               : arena_string(arena, "so far this week");
}

static char *week_against_usual(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "%s h %s; usually %s.", hours_of(arena, cause, "hours"),
                        which_week(arena, cause), hours_of(arena, cause, "usual_hours"));
}

static char *week_hours(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "%s h %s.", hours_of(arena, cause, "hours"),
                        which_week(arena, cause));
}

static char *heart(struct arena *arena, const struct cause *cause)
{
    const bool is_unusual = strcmp(cause->code, "heart-usual") != 0;
    const double bpm = cause_value(cause, "bpm");
    return is_unusual
               ? arena_format(arena, "Heart rate ran %s usual on %s. %s",
                              words_beats_against(arena, bpm), day_named(arena, cause, "day"),
                              bpm > 0.0 ? words_ask_higher() : words_ask_lower())
               : arena_format(arena,
                              "Heart rate as usual on %s, which isn't the same as being well.",
                              day_named(arena, cause, "day"));
}

static char *few_usual_weeks(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "%s before it; %s are needed to know what is usual.",
                        counted(arena, cause_value(cause, "weeks"), "usual week"),
                        sayings_whole(arena, cause, "least"));
}

static char *monotony(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena, "Monotony %.1f and strain %s, from effort and minutes.",
                        cause_value(cause, "monotony"), sayings_whole(arena, cause, "strain"));
}

static char *hold_hours(struct arena *arena, const struct cause *cause)
{
    return arena_format(arena,
                        "Hold the hours near %s before adding more. Studies are divided on how "
                        "much such a jump matters.",
                        hours_of(arena, cause, "usual_hours"));
}

/* ---- coming back ---- */

/* "on 14 March 2026", or "since 3 March 2026" while it lasts. */
static char *off_span(struct arena *arena, const struct cause *cause, const char *what)
{
    const double to = cause_value(cause, "to_day");
    return isnan(to) ? arena_format(arena, "%s since %s, for %s.", what,
                                    day_named(arena, cause, "from_day"),
                                    counted(arena, cause_value(cause, "days"), "day"))
                     : arena_format(arena, "%s for %s, until %s.", what,
                                    counted(arena, cause_value(cause, "days"), "day"),
                                    words_day(arena, (int64_t)to - 1));
}

static char *was_ill(struct arena *arena, const struct cause *cause)
{
    return off_span(arena, cause, "Ill or off");
}

static char *was_injured(struct arena *arena, const struct cause *cause)
{
    return off_span(arena, cause, "Injured or off");
}

static char *was_off(struct arena *arena, const struct cause *cause)
{
    return off_span(arena, cause, "No ride");
}

/* "before 14 March 2026", or "from the first day back" for what has no day yet. */
static char *rule(struct arena *arena, const char *open, const char *dated,
                  const struct cause *cause)
{
    return isnan(cause_value(cause, "day"))
               ? arena_string(arena, open)
               : arena_format(arena, "%s before %s.", dated, day_named(arena, cause, "day"));
}

static char *easy_only(struct arena *arena, const struct cause *cause)
{
    return rule(arena, "Easy riding only on the first days back.", "Easy riding only", cause);
}

static char *hours_rule(struct arena *arena, const struct cause *cause)
{
    const double hours = cause_value(cause, "hours");
    const char *most =
        isnan(hours) ? arena_format(arena, "at most %s %% of the usual hours",
                                    sayings_whole(arena, cause, "pct"))
                     : arena_format(arena, "at most %s %% of the usual hours, %s h a week",
                                    sayings_whole(arena, cause, "pct"), words_hours(arena, hours));
    const bool first = strcmp(cause->code, "half-hours") == 0;
    return isnan(cause_value(cause, "day"))
               ? arena_format(arena, "%s %s.", first ? "On these" : "After that", most)
               : arena_format(arena, "%s %s, before %s.", first ? "Until then" : "Then", most,
                              day_named(arena, cause, "day"));
}

static char *nothing_hard(struct arena *arena, const struct cause *cause)
{
    return rule(arena, "Nothing hard yet.", "Nothing hard", cause);
}

static char *no_test(struct arena *arena, const struct cause *cause)
{
    return rule(arena, "No test before one short hard session went well.", "No test", cause);
}

static char *from_before(struct arena *arena, const struct cause *cause)
{
    const bool threshold = cause_value(cause, "threshold") > 0.5;
    const bool base = cause_value(cause, "base") > 0.5;
    return arena_format(arena, "%s from before the break.",
                        threshold && base ? "Threshold and base are"
                        : threshold       ? "The threshold is"
                                          : "The base test is");
}

/* ---- the table ---- */

static const struct saying rows[] = {
    { "easy-rides", easy_rides, NULL },
    { "easy-hilly", easy_hilly, NULL },
    { "easy-last", easy_last, NULL },
    { "easy-not-judged", easy_not_judged, NULL },
    { "few-easy-rides", few_easy_rides, NULL },
    { "cap-easy", cap_easy, NULL },
    { "mark-easy", NULL, "Say of easy rides that they were asked easy." },
    { "words-of-heart", wrote_of, NULL },
    { "words-of-illness", wrote_of, NULL },
    { "words-of-fall", wrote_of, NULL },
    { "ill-now", NULL, "Noted as ill." },
    { "ill-noted", ill_noted, NULL },
    { "effort-higher", effort, NULL },
    { "effort-lower", effort, NULL },
    { "effort-usual", effort, NULL },
    { "effort-not-compared", effort_not_compared, NULL },
    { "heart-higher", heart, NULL },
    { "heart-lower", heart, NULL },
    { "heart-usual", heart, NULL },
    { "legs-worse", scale, NULL },
    { "sleep-worse", scale, NULL },
    { "stress-worse", scale, NULL },
    { "soreness-worse", scale, NULL },
    { "hours", hours_said, NULL },
    { "hours-more", hours_said, NULL },
    { "little-said", little_said, NULL },
    { "ask-how", NULL, "Ask how the rider is." },
    { "ask-about-fall", NULL,
      "Ask what happened; after a blow to the head, a doctor before riding on." },
    { "easy-and-ask", NULL, "An easy day or none until the rider is well." },
    { "doctor-before-hard", NULL,
      "Ask about it before anything else. With chest pain, palpitations, fainting or unusual "
      "breathlessness: nothing hard until a doctor has seen the rider." },
    { "week-against-usual", week_against_usual, NULL },
    { "week-hours", week_hours, NULL },
    { "few-usual-weeks", few_usual_weeks, NULL },
    { "monotony", monotony, NULL },
    { "hold-hours", hold_hours, NULL },
    { "was-ill", was_ill, NULL },
    { "was-injured", was_injured, NULL },
    { "was-off", was_off, NULL },
    { "doctor-first", NULL, "See a doctor before training." },
    { "easy-only", easy_only, NULL },
    { "half-hours", hours_rule, NULL },
    { "more-hours", hours_rule, NULL },
    { "nothing-hard", nothing_hard, NULL },
    { "no-test", no_test, NULL },
    { "from-before", from_before, NULL },
    { "test-again", NULL, "Test again, on usual days." },
};

/* ---- the main sentence ---- */

static const char *easy_lead(enum verdict verdict)
{
    return verdict == VERDICT_EASY_ENOUGH   ? "Easy rides were easy."
           : verdict == VERDICT_TOO_HARD    ? "Easy rides were too hard."
           : verdict == VERDICT_ON_THE_LINE ? "Easy rides were on the line."
                                            : "Can't tell if easy rides were easy.";
}

static const char *how_lead(enum verdict verdict)
{
    return verdict == VERDICT_USUAL       ? "Much as usual."
           : verdict == VERDICT_LOOK      ? "Not as usual."
           : verdict == VERDICT_ASK_FIRST ? "Ask first."
                                          : "Can't tell how the rider is.";
}

static const char *load_lead(enum verdict verdict)
{
    return verdict == VERDICT_JUMP      ? "A week jump."
           : verdict == VERDICT_NO_JUMP ? "No week jump."
                                        : "Can't tell if the week was a jump.";
}

static const char *comeback_lead(enum verdict verdict)
{
    return verdict == VERDICT_OFF           ? "Off at the moment."
           : verdict == VERDICT_COMING_BACK ? "Coming back."
           : verdict == VERDICT_BACK        ? "Back."
                                            : "No break.";
}

static const char *lead_of(const struct reading *reading)
{
    switch ((int)reading->question) {
    case QUESTION_EASY_WEEKS: return easy_lead(reading->verdict);
    case QUESTION_HOW: return how_lead(reading->verdict);
    case QUESTION_LOAD: return load_lead(reading->verdict);
    default: break;
    }
    return comeback_lead(reading->verdict);
}

void words_weeks_fill(struct arena *arena, struct reading *reading)
{
    sayings_compose(arena, reading, lead_of(reading), rows, sizeof rows / sizeof rows[0]);
}
