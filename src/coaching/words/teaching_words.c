/* coaching/words/teaching_words.c: a session ridden to power and to heart rate, in sentences. */
#include "coaching/words/teaching_words.h"

#include "coaching/words/words.h"

#include <math.h>

/* To five seconds: the model knows no better. */
static char *clock_of(struct arena *arena, double seconds)
{
    return words_clock(arena, 5 * (int32_t)round(seconds / 5.0));
}

/* "until about 1:40 of each effort"; NULL = no response, or no effort. */
static const char *low_until(struct arena *arena, const struct expected *expected)
{
    double most_s = 0.0;
    bool ever_settles = false;
    size_t n_told = 0;
    for (size_t i = 0; i < expected->n_reps; i++) {
        const struct expected_rep *rep = &expected->reps[i];
        if (isnan(rep->reads_low_s)) {
            continue;
        }
        n_told++;
        ever_settles =
            ever_settles || rep->reads_low_s < (double)(rep->span.to_s - rep->span.from_s);
        most_s = fmax(most_s, rep->reads_low_s);
    }
    if (n_told == 0) {
        return NULL;
    }
    return ever_settles
               ? arena_format(arena, "until about %s of each effort", clock_of(arena, most_s))
               : "to the end of each effort";
}

char *words_reads_low(struct arena *arena, const struct expected *expected)
{
    const char *until = low_until(arena, expected);
    return until == NULL
               ? NULL
               : arena_format(arena, "Heart rate will read low %s: don't chase it.", until);
}

char *words_read_low_then(struct arena *arena, const struct expected *expected)
{
    const char *until = low_until(arena, expected);
    return until == NULL ? NULL : arena_format(arena, "Heart rate was to read low %s.", until);
}

static char *refusal(struct arena *arena, const struct teaching *teaching)
{
    switch (teaching->end) {
    case TEACHING_TOLD: break;
    case TEACHING_NO_RESPONSE:
        return arena_string(arena, "Can't show it: how this rider's heart answers power isn't "
                                   "known yet.");
    case TEACHING_NO_POWER:
        return arena_string(arena, "Can't show it: critical power isn't known, so what hard starts "
                                   "cost can't be told.");
    case TEACHING_NO_THRESHOLD:
        return arena_string(arena, "Can't show it: no threshold is on file.");
    case TEACHING_NO_MAX_HEART:
        return arena_string(arena,
                            "Can't show it: maximal heart rate isn't on file, so there is no "
                            "heart rate to ride to.");
    case TEACHING_OUT_OF_REACH:
        return arena_format(arena,
                            "Can't show it: by this rider's numbers a heart rate of %.0f isn't "
                            "reached in these efforts, or is passed when riding easy. Name another "
                            "heart rate.",
                            teaching->session.heart_bpm);
    case TEACHING_TOO_HARD:
        return arena_format(
            arena,
            "Can't show it: at %.0f W the work above critical power would be gone "
            "in effort %d, so this session is too much for these numbers, or the "
            "numbers are out of date. Name fewer or shorter efforts, or less power.",
            teaching->session.target_w, teaching->gone_in_rep);
    case TEACHING_BAD_SESSION:
        return arena_string(arena, "Can't show it: that is no session: efforts of 10 s or more, at "
                                   "more power than between them, 6 hours in all at most.");
    }
    return arena_string(arena, "Can't show it.");
}

enum hint words_teaching_hint(const struct teaching *teaching)
{
    return teaching->end == TEACHING_NO_RESPONSE ? HINT_HEART
           : teaching->end == TEACHING_NO_POWER  ? HINT_CRITICAL_POWER
                                                 : HINT_NONE;
}

/* Means over all efforts. */
static void thirds(const struct teaching *teaching, enum teaching_way way, double *first,
                   double *last)
{
    *first = 0.0;
    *last = 0.0;
    for (int i = 0; i < teaching->session.reps; i++) {
        *first += teaching->rides[way].reps[i].first_third_w / teaching->session.reps;
        *last += teaching->rides[way].reps[i].last_third_w / teaching->session.reps;
    }
}

static char *session_words(struct arena *arena, const struct teaching_session *session)
{
    return arena_format(arena, "%d x %s", session->reps, words_duration(arena, session->rep_s));
}

char *words_teaching(struct arena *arena, const struct teaching *teaching,
                     const struct expected *expected)
{
    if (teaching->end != TEACHING_TOLD) {
        return refusal(arena, teaching);
    }
    const struct teaching_ride *power = &teaching->rides[TEACH_POWER];
    const struct teaching_ride *heart = &teaching->rides[TEACH_HEART];
    const char *low = words_reads_low(arena, expected);
    double first;
    double last;
    thirds(teaching, TEACH_HEART, &first, &last);
    return arena_format(
        arena,
        "%s ridden to power: every effort even at %.0f W. %s%sThe same ridden to a heart rate of "
        "%.0f: about %.0f W in the first third of an effort and %.0f W in the last, %.0f W on the "
        "mean. Minutes at 90 %% of maximal heart rate or more: %.0f to power, %.0f to heart rate. "
        "Least work left above critical power: about %.0f kJ to power, %.0f kJ to heart rate, of "
        "%.0f.",
        session_words(arena, &teaching->session), teaching->session.target_w,
        low == NULL ? "" : low, low == NULL ? "" : " ", teaching->session.heart_bpm, first, last,
        heart->mean_w, power->at_90_s / 60.0, heart->at_90_s / 60.0,
        fmax(power->least_j, 0.0) / 1000.0, fmax(heart->least_j, 0.0) / 1000.0,
        teaching->w_prime_j / 1000.0);
}

char *words_teaching_message(struct arena *arena, const struct teaching *teaching,
                             const struct expected *expected)
{
    if (teaching->end != TEACHING_TOLD) {
        return NULL;
    }
    const char *low = words_reads_low(arena, expected);
    return arena_format(
        arena,
        "%s at %.0f W. Ride the watts, the first minute like the last. %s%sIf you make heart rate "
        "come up sooner, you pay for it at the end. Heart rate is there as an alarm only: stop "
        "with chest pain, dizziness, faintness or breathlessness that isn't usual, and tell me.",
        session_words(arena, &teaching->session), teaching->session.target_w,
        low == NULL ? "" : low, low == NULL ? "" : " ");
}

const char *words_teaching_basis(void)
{
    return "A simulated rider with this rider's response to power on a usual day, critical power "
           "and maximal heart rate; to heart rate it begins each effort at the right watts and "
           "then chases the beats that are missing. It shows how the mistake comes about, not "
           "what this rider will do.";
}
