/* coaching/words/came_words.c: what is said of what came back of a session. */
#include "coaching/words/came_words.h"

#include "base/dates.h"
#include "coaching/session_text.h"
#include "coaching/words/words.h"

#include <math.h>
#include <stdlib.h>

const char *came_words_no_power(void)
{
    return "there is no power: the ride's time alone is held against the session";
}

const char *came_words_bad_power(void)
{
    return "too little of the power can be used: the ride's time alone is held against the session";
}

const char *came_words_no_threshold(void)
{
    return "no threshold was known on that day: the ride's time alone is held against the session";
}

const char *came_words_no_range(void)
{
    return "the session asks for nothing in watts: the ride's time alone is held against it";
}

static const char *day_words(struct arena *arena, int64_t day)
{
    char text[11];
    dates_format_day(day, text);
    return arena_string(arena, text);
}

static double minutes(double seconds)
{
    return round(seconds / 60.0);
}

/* "3 of 4 parts of the work were ridden whole, 14 of 16 min of it." */
static const char *work_words(struct arena *arena, const struct came_back *came)
{
    return arena_format(arena, "%.0f of %.0f min of what was asked; %zu of %zu parts whole",
                        minutes(came->done_s), minutes(came->asked_s), came->n_hard_done,
                        came->n_hard);
}

/* "; 2 below their range, 1 above" of the steps of work. */
static const char *sides_words(struct arena *arena, const struct came_back *came)
{
    size_t below = 0;
    size_t above = 0;
    for (size_t j = 0; j < came->n_steps; j++) {
        below += came->steps[j].verdict == CAME_STEP_BELOW ? 1 : 0;
        above += came->steps[j].verdict == CAME_STEP_ABOVE ? 1 : 0;
    }
    const char *first = below == 0 ? "" : arena_format(arena, "; %zu below the range", below);
    return above == 0 ? first : arena_format(arena, "%s; %zu above the range", first, above);
}

static const char *time_words(struct arena *arena, const struct came_back *came)
{
    return arena_format(arena, "%.0f min where %.0f were asked. Can't tell the steps: %s",
                        minutes(came->ride_s), minutes(came->asked_s), came->cannot);
}

static const char *changed_words(struct arena *arena, const struct came_back *came,
                                 const struct limits *limits)
{
    if (came->plan_b != NULL) {
        return arena_format(arena, "Plan B%s%s was ridden: %s%s.",
                            came->plan_b->words == NULL ? "" : " ",
                            came->plan_b->words == NULL ? "" : came->plan_b->words,
                            came->by_time ? time_words(arena, came) : work_words(arena, came),
                            came->by_time ? "" : sides_words(arena, came));
    }
    if (came->by_time) {
        return arena_format(arena, "Changed: %s.", time_words(arena, came));
    }
    const char *like =
        came->like == NULL ? "" : arena_format(arena, " It looks like: %s.", came->like);
    if (came->extra_hard_s >= limits->value[LIMIT_HARD_DAY_S]) {
        return arena_format(arena,
                            "Changed: another ride, with %.0f min of hard riding that "
                            "weren't asked.%s",
                            minutes(came->extra_hard_s), like);
    }
    return arena_format(arena, "Changed: another ride. Of the session, %s.%s",
                        work_words(arena, came), like);
}

static const char *ridden_words(struct arena *arena, const char *lead, const struct came_back *came)
{
    if (came->by_time) {
        return arena_format(arena, "%s, by its time: %s.", lead, time_words(arena, came));
    }
    return arena_format(arena, "%s: %s%s.", lead, work_words(arena, came),
                        sides_words(arena, came));
}

char *came_words(struct arena *arena, const struct came_ask *ask, const struct came_back *came,
                 const struct limits *limits)
{
    if (came->by_word) {
        return arena_format(arena, "Done, by the coach's word%s",
                            came->ride == 0 ? "; no ride says more of it."
                                            : "; the ride of that day says otherwise.");
    }
    switch (came->outcome) {
    case CAME_NOT_YET: return arena_string(arena, "Not ridden yet.");
    case CAME_RIDDEN: return arena_string(arena, ridden_words(arena, "Ridden", came));
    case CAME_CHANGED: return arena_string(arena, changed_words(arena, came, limits));
    case CAME_MOVED:
        return arena_string(
            arena, ridden_words(arena,
                                arena_format(arena, "Moved: ridden on %s, %lld %s %s",
                                             day_words(arena, came->ride_day),
                                             llabs(came->ride_day - ask->day),
                                             llabs(came->ride_day - ask->day) == 1 ? "day" : "days",
                                             came->ride_day > ask->day ? "late" : "early"),
                                came));
    case CAME_MISSED:
        return arena_string(arena, "Missed: no ride of that day, and none near it that fits.");
    case CAME_OUTCOMES: break;
    }
    return arena_string(arena, "");
}

char *came_words_short(struct arena *arena, const struct came_back *came)
{
    switch (came->outcome) {
    case CAME_NOT_YET: return arena_string(arena, "not yet");
    case CAME_RIDDEN:
        return arena_string(arena, came->by_word   ? "done, by the coach's word"
                                   : came->by_time ? "ridden, by its time"
                                                   : "ridden");
    case CAME_CHANGED:
        return arena_string(arena, came->plan_b != NULL ? "changed: plan B" : "changed");
    case CAME_MOVED: return arena_format(arena, "moved to %s", day_words(arena, came->ride_day));
    case CAME_MISSED: return arena_string(arena, "missed");
    case CAME_OUTCOMES: break;
    }
    return arena_string(arena, "");
}

static const char *verdict_words(enum came_verdict verdict)
{
    static const char *const words[CAME_STEP_VERDICTS] = {
        [CAME_STEP_IN] = "in the range",       [CAME_STEP_BELOW] = "below the range",
        [CAME_STEP_ABOVE] = "above the range", [CAME_STEP_SHORT] = "cut short",
        [CAME_STEP_NOT_DONE] = "not done",     [CAME_STEP_RIDDEN] = "ridden",
        [CAME_STEP_UNKNOWN] = "can't tell",
    };
    return words[verdict];
}

char *came_words_step(struct arena *arena, const struct came_step *step)
{
    if (!(step->span.to_s > step->span.from_s)) {
        return arena_string(arena, verdict_words(step->verdict));
    }
    struct text out = text_begin(arena, 1000);
    session_write_length(&out, step->span.to_s - step->span.from_s);
    if (!isnan(step->mean_w)) {
        text_add_format(&out, " at %.0f W", step->mean_w);
        if (!isnan(step->pct)) {
            text_add_format(&out, " (%.0f %%)", step->pct);
        }
    }
    text_add_format(&out, ", %s", verdict_words(step->verdict));
    if (!isnan(step->heart_bpm) && !isnan(step->mean_w)) {
        text_add_format(&out, "; heart rate %.0f", step->heart_bpm);
    }
    return out.bytes;
}

char *came_words_counts(struct arena *arena, const struct came_counts *counts, int weeks)
{
    static const struct {
        enum came_outcome outcome;
        const char *words;
    } rows[] = { { CAME_RIDDEN, "ridden" },
                 { CAME_CHANGED, "changed" },
                 { CAME_MOVED, "moved" },
                 { CAME_MISSED, "missed" } };
    const char *parts[4];
    size_t n = 0;
    if (counts->given == 0) {
        return arena_format(arena, "No session was given in %d weeks.", weeks);
    }
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const size_t count = counts->of[rows[i].outcome];
        if (count > 0) {
            parts[n] = arena_format(arena, "%zu %s%s", count,
                                    n > 0 ? "" : (count == 1 ? "was " : "were "), rows[i].words);
            n++;
        }
    }
    return arena_format(arena, "Of %zu %s given in %d weeks %s.", counts->given,
                        counts->given == 1 ? "session" : "sessions", weeks,
                        words_list(arena, parts, n, " and "));
}
