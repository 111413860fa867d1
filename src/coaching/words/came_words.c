/* coaching/words/came_words.c: what is said of what came back of a session. */
#include "coaching/words/came_words.h"

#include "base/dates.h"
#include "coaching/session_text.h"
#include "coaching/words/words.h"

#include <math.h>
#include <stdlib.h>

const char *came_words_no_power(void)
{
    return "there is no power";
}

const char *came_words_bad_power(void)
{
    return "too little of the power can be used";
}

const char *came_words_no_threshold(void)
{
    return "no threshold was known on that day";
}

const char *came_words_no_range(void)
{
    return "the session asks for nothing in watts";
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

/* "14 of 16 min"; "95 min where 75 were asked". */
static const char *minutes_words(struct arena *arena, double done_s, double asked_s)
{
    return done_s > asked_s && minutes(done_s) > minutes(asked_s)
               ? arena_format(arena, "%.0f min where %.0f were asked", minutes(done_s),
                              minutes(asked_s))
               : arena_format(arena, "%.0f of %.0f min", minutes(done_s), minutes(asked_s));
}

/* Of a session of one easy part: how much of it lay where. */
static const char *part_words(struct arena *arena, const struct came_step *step)
{
    const char *time = minutes_words(arena, (double)step->seconds, (double)step->asked_s);
    if (isnan(step->mean_w)) {
        return arena_format(arena, "%s; %s", time, came_words_few_power());
    }
    if (isnan(step->low_w)) {
        return time;
    }
    return arena_format(arena, "%s, on average %s: %.0f min in it, %.0f above, %.0f below", time,
                        step->verdict == CAME_STEP_IN      ? "in the range"
                        : step->verdict == CAME_STEP_ABOVE ? "above the range"
                                                           : "below the range",
                        minutes(step->in_s), minutes(step->above_s), minutes(step->below_s));
}

/* "3 of 4 efforts whole, 14 of 16 min of hard work". */
static const char *efforts_words(struct arena *arena, const struct came_back *came)
{
    const char *time = minutes_words(arena, came->done_s, came->asked_s);
    const char *of = came->only_easy ? "" : " of hard work";
    const char *what = came->only_easy ? "part" : "effort";
    if (came->n_whole < came->n_efforts) {
        const char *whole = came->n_whole == 0 ? "none" : arena_format(arena, "%zu", came->n_whole);
        return arena_format(arena, "%s of %zu %s%s whole, %s%s", whole, came->n_efforts, what,
                            came->n_efforts == 1 ? "" : "s", time, of);
    }
    if (came->n_efforts == 1) {
        return arena_format(arena, "the %s whole, %s%s", what, time, of);
    }
    const char *all =
        came->n_efforts == 2 ? "both" : arena_format(arena, "all %zu", came->n_efforts);
    return arena_format(arena, "%s %ss whole, %s%s", all, what, time, of);
}

struct sides {
    size_t n; /* parts of work that were ridden */
    size_t below;
    size_t above;
    size_t easy_above; /* rests and the like, beside work */
};

static struct sides sides_of(const struct came_back *came)
{
    struct sides sides = { 0 };
    for (size_t j = 0; j < came->n_steps; j++) {
        const struct came_step *step = &came->steps[j];
        const bool is_work = step->is_hard || came->only_easy;
        sides.n += is_work && step->seconds > 0 ? 1 : 0;
        sides.below += is_work && step->verdict == CAME_STEP_BELOW ? 1 : 0;
        sides.above += is_work && step->verdict == CAME_STEP_ABOVE ? 1 : 0;
        sides.easy_above += !is_work && step->verdict == CAME_STEP_ABOVE ? 1 : 0;
    }
    return sides;
}

/* "; 2 of them below the range, 1 above; 1 rest harder than asked". */
static const char *sides_words(struct arena *arena, const struct came_back *came)
{
    const struct sides sides = sides_of(came);
    /* Over and under are parts of one effort. */
    const char *of = !came->only_easy && sides.n > came->n_efforts ? " of its parts" : "";
    const char *below =
        sides.below == 0 ? "" : arena_format(arena, "; %zu%s below the range", sides.below, of);
    const char *above = sides.above == 0 ? ""
                        : sides.below == 0
                            ? arena_format(arena, "; %zu%s above the range", sides.above, of)
                            : arena_format(arena, ", %zu above it", sides.above);
    const char *easy =
        sides.easy_above == 0
            ? ""
            : arena_format(arena, "; %zu easy %s harder than asked", sides.easy_above,
                           sides.easy_above == 1 ? "part" : "parts");
    return arena_format(arena, "%s%s%s", below, above, easy);
}

static const char *work_words(struct arena *arena, const struct came_back *came)
{
    if (came->only_easy && came->n_steps == 1) {
        return part_words(arena, &came->steps[0]);
    }
    return arena_format(arena, "%s%s", efforts_words(arena, came), sides_words(arena, came));
}

static const char *time_words(struct arena *arena, const struct came_back *came)
{
    return arena_format(arena, "%s. What was ridden in them can't be told: %s",
                        minutes_words(arena, came->ride_s, came->asked_s), came->cannot);
}

/* Without a full stop. */
static const char *changed_words(struct arena *arena, const struct came_back *came,
                                 const struct limits *limits)
{
    if (came->plan_b != NULL) {
        return arena_format(arena, "plan B%s%s was ridden%s: %s",
                            came->plan_b->words == NULL ? "" : " ",
                            came->plan_b->words == NULL ? "" : came->plan_b->words,
                            came->by_time ? ", by its time alone" : "",
                            came->by_time ? time_words(arena, came) : work_words(arena, came));
    }
    if (came->by_time) {
        return arena_format(arena, "%s", time_words(arena, came));
    }
    const char *like =
        came->ride_is_of != 0
            ? arena_format(arena, ". It is the session of %s", day_words(arena, came->ride_is_of))
        : came->like == NULL ? ""
                             : arena_format(arena, ". It looks like: %s", came->like);
    if (came->extra_hard_s >= limits->value[LIMIT_HARD_DAY_S]) {
        return arena_format(arena,
                            "another ride, with %.0f min of hard riding that weren't asked%s",
                            minutes(came->extra_hard_s), like);
    }
    return arena_format(arena, "another ride. Of the session: %s%s", work_words(arena, came), like);
}

static const char *ridden_words(struct arena *arena, const char *lead, const struct came_back *came)
{
    return came->by_time
               ? arena_format(arena, "%s, by its time alone: %s.", lead, time_words(arena, came))
               : arena_format(arena, "%s: %s.", lead, work_words(arena, came));
}

static const char *word_words(struct arena *arena, const struct came_back *came,
                              const struct limits *limits)
{
    if (came->ride == 0) {
        return "Done, by the coach's word; no ride of that day or near it shows it.";
    }
    return arena_format(arena, "Done, by the coach's word. By the ride of that day: %s.",
                        changed_words(arena, came, limits));
}

char *came_words(struct arena *arena, int64_t day, const struct came_back *came,
                 const struct limits *limits)
{
    if (came->by_word) {
        return arena_string(arena, word_words(arena, came, limits));
    }
    const int64_t off = came->ride_day - day;
    switch (came->outcome) {
    case CAME_NOT_YET: return arena_string(arena, "Not ridden yet.");
    case CAME_RIDDEN: return arena_string(arena, ridden_words(arena, "Ridden", came));
    case CAME_CHANGED:
        return arena_format(arena, "Changed: %s.", changed_words(arena, came, limits));
    case CAME_MOVED:
        return arena_string(
            arena,
            ridden_words(arena,
                         arena_format(arena, "Moved: ridden on %s, %lld %s %s",
                                      day_words(arena, came->ride_day), llabs(off),
                                      llabs(off) == 1 ? "day" : "days", off > 0 ? "late" : "early"),
                         came));
    case CAME_MISSED:
        return arena_format(arena,
                            "Missed: no ride that day, and none within %.0f days of it that fits.",
                            limits->value[LIMIT_CAME_BACK_DAYS]);
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

char *came_words_line(struct arena *arena, const struct came_line *line)
{
    return arena_format(arena, "%s %s. %s", line->day, line->name, line->came->text);
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

/* A stop of less is a traffic light. */
enum { STOP_TOLD_S = 30, LONG_S = 1200 };

const char *came_words_few_power(void)
{
    return "can't tell: too much of its power is missing";
}

/* Of a long part that was mostly, not wholly, where it should be. */
static void add_time_by_side(struct text *out, const struct came_step *step)
{
    if (step->is_hard || step->seconds < LONG_S || isnan(step->in_s)) {
        return;
    }
    text_add_format(out, ": %.0f min in it, %.0f above, %.0f below", minutes(step->in_s),
                    minutes(step->above_s), minutes(step->below_s));
}

char *came_words_step(struct arena *arena, const struct came_step *step)
{
    if (!(step->span.to_s > step->span.from_s)) {
        return arena_string(arena, verdict_words(step->verdict));
    }
    struct text out = text_begin(arena, 1000);
    session_write_length(&out, step->seconds);
    if (!isnan(step->mean_w)) {
        text_add_format(&out, " at %.0f W", step->mean_w);
        if (!isnan(step->pct)) {
            text_add_format(&out, " (%.0f %%)", step->pct);
        }
    }
    text_add_format(&out, ", %s",
                    step->verdict == CAME_STEP_UNKNOWN ? came_words_few_power()
                                                       : verdict_words(step->verdict));
    add_time_by_side(&out, step);
    if (step->stopped_s >= STOP_TOLD_S) {
        text_add(&out, "; with the timer stopped for ");
        session_write_length(&out, step->stopped_s);
    }
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
