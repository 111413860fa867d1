/* coaching/gauge.c: a verdict as a place on a scale. */
#include "coaching/gauge.h"

#include "base/text.h"
#include "coaching/words/words.h"

#include <math.h>
#include <string.h>

enum { WORDS_CAP = 500 };

const char *verdict_answer_name(enum verdict_answer answer)
{
    static const char *const names[] = { [ANSWER_YES] = "yes",
                                         [ANSWER_NO] = "no",
                                         [ANSWER_ON_THE_LINE] = "on the line",
                                         [ANSWER_CANNOT_TELL] = "cannot tell" };
    return names[answer];
}

enum verdict_answer verdict_answer(enum verdict verdict)
{
    switch (verdict) {
    case VERDICT_USABLE:
    case VERDICT_PASSED:
    case VERDICT_EASY_ENOUGH:
    case VERDICT_DONE:
    case VERDICT_DONE_FAST_START:
    case VERDICT_HARD_DAY:
    case VERDICT_BUILT:
    case VERDICT_BETTER:
    case VERDICT_FALLING:
    case VERDICT_YES:
    case VERDICT_USUAL:
    case VERDICT_NO_JUMP:
    case VERDICT_NO_BREAK:
    case VERDICT_NO_CLEAR_DIFFERENCE:
    case VERDICT_BACK: return ANSWER_YES;
    case VERDICT_USABLE_IN_PART:
    case VERDICT_TO_CONFIRM:
    case VERDICT_NO_CLEAR_CHANGE:
    case VERDICT_FLAT:
    case VERDICT_COMING_BACK:
    case VERDICT_ON_THE_LINE: return ANSWER_ON_THE_LINE;
    case VERDICT_NOT_USABLE:
    case VERDICT_NOT_PASSED:
    case VERDICT_TOO_HARD:
    case VERDICT_STARTED_TOO_HARD:
    case VERDICT_FADED:
    case VERDICT_BELOW:
    case VERDICT_ABOVE:
    case VERDICT_CUT_SHORT:
    case VERDICT_STOPPED:
    case VERDICT_NO_HARD_DAY:
    case VERDICT_STILL_BUILDING:
    case VERDICT_LOWER:
    case VERDICT_RISING:
    case VERDICT_NO:
    case VERDICT_LOOK:
    case VERDICT_ASK_FIRST:
    case VERDICT_JUMP:
    case VERDICT_DIFFER:
    case VERDICT_HIGHER_THAN_USUAL:
    case VERDICT_LOWER_THAN_USUAL:
    case VERDICT_OFF: return ANSWER_NO;
    case VERDICT_CANNOT_TELL:
    case VERDICT_OUT_OF_DATE:
    case VERDICT_NOT_TESTED:
    case VERDICT_DESCRIBED: break;
    }
    return ANSWER_CANNOT_TELL;
}

/* The limit's value that the reading used; NAN if it didn't. */
static double used_limit(const struct reading *reading, enum limit_id id)
{
    for (size_t i = 0; i < reading->basis.n_limits; i++) {
        if (reading->basis.limits[i] == id) {
            return reading->basis.limit_values[i];
        }
    }
    return (double)NAN;
}

static const char LIKELY[] = "bar: likely range, 9 times in 10";

/* The estimate of a state is the drift of its last test: the drop is that test's own, as on the
 * figure of all tests, while the state's mark stands with its sentence. */
static enum verdict_answer last_test_answer(const struct reading *reading,
                                            enum verdict_answer otherwise)
{
    return causes_find(&reading->because, "test-on-the-line") != NULL  ? ANSWER_ON_THE_LINE
           : causes_find(&reading->because, "test-not-passed") != NULL ? ANSWER_NO
           : causes_find(&reading->because, "test-passed") != NULL     ? ANSWER_YES
                                                                       : otherwise;
}

static bool base_gauge(const struct reading *reading, struct gauge *out)
{
    out->answer = last_test_answer(reading, out->answer);
    out->limits[out->n_limits++] = reading->limit_value;
    out->sides[0] = "passed";
    out->sides[1] = "not passed";
    out->unit = "beats";
    out->bar = LIKELY;
    out->from_zero = true;
    return true;
}

/* Short hard efforts decided, though the share above was not too large. */
static bool far_above_gauge(struct arena *arena, const struct reading *reading,
                            const struct cause *far, struct gauge *out)
{
    out->limits[out->n_limits++] = cause_value(far, "allowed_s") / 60.0;
    out->estimate = cause_value(far, "seconds") / 60.0;
    out->low = (double)NAN;
    out->high = (double)NAN;
    out->sides[0] = "allowed";
    out->sides[1] = words_verdict(reading->verdict);
    out->unit = "min";
    out->what = arena_format(arena, "min above %s %% of threshold",
                             words_whole(arena, cause_value(far, "far_pct")));
    out->from_zero = true;
    return true;
}

static bool easy_gauge(struct arena *arena, const struct reading *reading, struct gauge *out)
{
    const double hard = used_limit(reading, LIMIT_EASY_HARD_SHARE_PCT);
    const struct cause *far = causes_find(&reading->because, "far-above");
    if (far != NULL && reading->estimate <= hard) {
        return far_above_gauge(arena, reading, far, out);
    }
    const struct cause *share = causes_find(&reading->because, "share-above");
    out->limits[out->n_limits++] = reading->limit_value;
    out->sides[0] = "easy enough";
    out->sides[1] = "too hard";
    if (hard > reading->limit_value) {
        out->limits[out->n_limits++] = hard;
        out->sides[1] = "on the line";
        out->sides[2] = "too hard";
    }
    out->unit = "%";
    out->what = share == NULL ? NULL
                              : arena_format(arena, "%% of the pedalling above %s %% of threshold",
                                             words_whole(arena, cause_value(share, "above_pct")));
    out->bar = LIKELY;
    out->from_zero = true;
    return true;
}

/* ---- hard work: the number that decided ---- */

/* "rep 3", "reps 1 to 4", "3 reps": of a cause that speaks of some reps. */
static const char *which_reps(struct arena *arena, const struct cause *cause)
{
    const long n = lround(cause_value(cause, "reps"));
    const long first = lround(cause_value(cause, "first_rep"));
    const long last = lround(cause_value(cause, "last_rep"));
    if (n <= 1) {
        return arena_format(arena, "rep %ld", first);
    }
    if (n == 2) {
        return arena_format(arena, "reps %ld and %ld", first, last);
    }
    return n == last - first + 1 ? arena_format(arena, "reps %ld to %ld", first, last)
                                 : arena_format(arena, "%ld reps", n);
}

/* Minutes ridden of those asked: for work that ended early. */
static bool minutes_gauge(const struct reading *reading, struct gauge *out)
{
    const struct cause *minutes = causes_find(&reading->because, "minutes");
    const double asked_s = cause_value(minutes, "asked_s");
    const double ridden_s = cause_value(minutes, "below_s") + cause_value(minutes, "in_s") +
                            cause_value(minutes, "above_s");
    if (!(asked_s > 0.0) || isnan(ridden_s) || ridden_s >= asked_s) {
        return false;
    }
    out->limits[out->n_limits++] = asked_s / 60.0;
    out->estimate = ridden_s / 60.0;
    out->low = (double)NAN;
    out->high = (double)NAN;
    out->sides[0] = "short";
    out->sides[1] = "all of it";
    out->unit = "min";
    out->what = "min of work ridden, of those asked";
    out->from_zero = true;
    return true;
}

static double of_cause(const struct cause *cause, const char *in_pct, const char *in_watts)
{
    const double pct = cause_value(cause, in_pct);
    return isnan(pct) ? cause_value(cause, in_watts) : pct;
}

/* The estimate and what it is, by the verdict's own cause. */
static void set_decisive(struct arena *arena, const struct reading *reading, struct gauge *out)
{
    static const struct {
        const char *code;
        enum verdict verdict;
        bool of_third; /* a third of the rep decided, not its mean */
    } rows[] = {
        { "started-too-hard", VERDICT_STARTED_TOO_HARD, true },
        { "faded", VERDICT_FADED, true },
        { "below", VERDICT_BELOW, false },
        { "above", VERDICT_ABOVE, false },
        { "on-the-line", VERDICT_ON_THE_LINE, false },
    };
    const char *unit = strcmp(reading->unit, "%") == 0 ? "% of threshold" : "W";
    out->what = arena_format(arena, "%s, mean of the reps", unit);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct cause *cause = rows[i].verdict == reading->verdict
                                        ? causes_find(&reading->because, rows[i].code)
                                        : NULL;
        if (cause == NULL) {
            continue;
        }
        const double last = of_cause(cause, "last_third_pct", "last_third_w");
        const double mean = of_cause(cause, "mean_pct", "mean_w");
        const double first = of_cause(cause, "first_third_pct", "first_third_w");
        const bool ended_low = last < reading->range_low;
        const double value = !rows[i].of_third ? mean : ended_low ? last : first;
        if (isnan(value)) {
            continue;
        }
        out->estimate = value;
        out->what = arena_format(arena, "%s, %s of %s", unit,
                                 !rows[i].of_third ? "mean"
                                 : ended_low       ? "last third"
                                                   : "first third",
                                 which_reps(arena, cause));
    }
    const double slack = used_limit(reading, LIMIT_HARD_LINE_PCT) / 100.0;
    out->low = out->estimate * (1.0 - slack);
    out->high = out->estimate * (1.0 + slack);
    out->bar = arena_format(arena, "bar: ± %s %%, what a power meter leaves open",
                            words_whole(arena, 100.0 * slack));
}

static bool hard_gauge(struct arena *arena, const struct reading *reading, struct gauge *out)
{
    if (reading->verdict == VERDICT_DESCRIBED || reading->unit == NULL) {
        return false;
    }
    if (reading->verdict == VERDICT_CUT_SHORT || reading->verdict == VERDICT_STOPPED) {
        return minutes_gauge(reading, out);
    }
    size_t n = 0;
    if (reading->range_low > 0.0) {
        out->limits[out->n_limits++] = reading->range_low;
        out->sides[n++] = "below";
    }
    out->sides[n++] = "in the range";
    if (isfinite(reading->range_high)) {
        out->limits[out->n_limits++] = reading->range_high;
        out->sides[n++] = "above";
    }
    out->unit = reading->unit;
    set_decisive(arena, reading, out);
    return out->n_limits > 0;
}

/* A change of bests: against none, or against the gain below which progress has stalled. */
static bool change_gauge(const struct reading *reading, struct gauge *out)
{
    const bool stalled = reading->question == QUESTION_STALLED;
    out->limits[out->n_limits++] = reading->limit_value;
    out->sides[0] = stalled ? "stalled" : "lower";
    out->sides[1] = stalled ? "gaining" : "better";
    out->unit = "%";
    out->bar = LIKELY;
    return !isnan(reading->estimate);
}

static bool meters_gauge(const struct reading *reading, struct gauge *out)
{
    out->limits[out->n_limits++] = reading->limit_value;
    out->sides[0] = "second lower";
    out->sides[1] = "second higher";
    out->unit = "%";
    out->bar = LIKELY;
    return !isnan(reading->estimate);
}

/* Unusual is as far off on either side. */
static bool today_gauge(const struct reading *reading, struct gauge *out)
{
    out->limits[out->n_limits++] = -reading->limit_value;
    out->limits[out->n_limits++] = reading->limit_value;
    out->sides[0] = "lower";
    out->sides[1] = "usual";
    out->sides[2] = "higher";
    out->unit = "beats";
    out->what = "beats against what this power usually brings";
    out->bar = LIKELY;
    return !isnan(reading->estimate);
}

/* ---- a rider's weeks ---- */

static bool easy_weeks_gauge(const struct reading *reading, struct gauge *out)
{
    out->limits[out->n_limits++] = reading->limit_value;
    out->sides[0] = "easy enough";
    out->sides[1] = "too hard";
    out->unit = "%";
    out->what = "% of the rides asked easy that were too hard";
    out->bar = reading->high > reading->low ? "bar: with those on the line" : NULL;
    out->from_zero = true;
    return !isnan(reading->estimate);
}

/* Effort against usual, where it is what was decided by: legs and sleep are no scale of it. */
static bool how_gauge(const struct reading *reading, struct gauge *out)
{
    out->limits[out->n_limits++] = reading->limit_value;
    out->sides[0] = "easier";
    out->sides[1] = "harder";
    out->unit = "points";
    out->what = "points of effort above the usual for such rides";
    out->bar = LIKELY;
    return !isnan(reading->estimate) && (reading->verdict == VERDICT_USUAL ||
                                         causes_find(&reading->because, "effort-higher") != NULL);
}

static bool load_gauge(const struct reading *reading, struct gauge *out)
{
    out->limits[out->n_limits++] = reading->limit_value;
    out->sides[0] = "no jump";
    out->sides[1] = "week jump";
    out->unit = "h";
    out->from_zero = true;
    return !isnan(reading->estimate);
}

bool reading_gauge(struct arena *arena, const struct reading *reading, struct gauge *out)
{
    struct gauge gauge = { .estimate = reading->estimate,
                           .low = reading->low,
                           .high = reading->high,
                           .answer = verdict_answer(reading->verdict) };
    bool made = false;
    switch (reading->question) {
    case QUESTION_TRUST:
    case QUESTION_BASE_TREND:
    case QUESTION_HARD_DAY: break;
    case QUESTION_BASE:
    case QUESTION_BASE_STATE: made = base_gauge(reading, &gauge); break;
    case QUESTION_EASY_WORK: made = easy_gauge(arena, reading, &gauge); break;
    case QUESTION_HARD_WORK: made = hard_gauge(arena, reading, &gauge); break;
    case QUESTION_PROGRESS:
    case QUESTION_STALLED: made = change_gauge(reading, &gauge); break;
    case QUESTION_EASY_WEEKS: made = easy_weeks_gauge(reading, &gauge); break;
    case QUESTION_HOW: made = how_gauge(reading, &gauge); break;
    case QUESTION_LOAD: made = load_gauge(reading, &gauge); break;
    case QUESTION_METERS: made = meters_gauge(reading, &gauge); break;
    case QUESTION_TODAY: made = today_gauge(reading, &gauge); break;
    case QUESTION_COMEBACK: break;
    }
    for (size_t i = 0; i < gauge.n_limits; i++) {
        made = made && isfinite(gauge.limits[i]);
    }
    if (made) {
        if (isnan(gauge.low) || isnan(gauge.high)) {
            gauge.bar = NULL;
        }
        *out = gauge;
    }
    return made;
}

/* A line that was computed (7.48231 h) gets one decimal, as on the scale; a whole one none. */
static int limit_decimals(double limit)
{
    return fabs(limit - round(limit)) < 0.05 ? 0 : 1;
}

char *gauge_in_words(struct arena *arena, const struct gauge *gauge)
{
    struct text text = text_begin(arena, WORDS_CAP);
    if (isnan(gauge->estimate)) {
        text_add(&text, "Not known");
    } else {
        text_add_format(&text, "%s", words_likely(arena, gauge->estimate, gauge->low, gauge->high));
    }
    text_add_format(&text, " %s. %s", gauge->what == NULL ? gauge->unit : gauge->what,
                    gauge->n_limits == 1 ? "Line:" : "Lines:");
    for (size_t i = 0; i < gauge->n_limits; i++) {
        text_add_format(&text, " %s, %.*f,", gauge->sides[i], limit_decimals(gauge->limits[i]),
                        gauge->limits[i]);
    }
    text_add_format(&text, " %s.", gauge->sides[gauge->n_limits]);
    return text.bytes;
}

/* ---- the scale ---- */

/* What the scale must hold: the limits and the estimate, with room to see both sides. */
static void hull_of(const struct gauge *gauge, double *least, double *most)
{
    const double first = gauge->limits[0];
    const double last = gauge->limits[gauge->n_limits - 1];
    const bool known = isfinite(gauge->estimate);
    const double low = known ? fmin(first, gauge->estimate) : first;
    const double high = known ? fmax(last, gauge->estimate) : last;
    if (gauge->from_zero) {
        /* The limit sits left of the middle of a scale that shows as much again beyond it. */
        *least = fmin(0.0, low);
        *most = fmax(last * 1.4, high);
    } else {
        double room = fmax(last - first, 0.1 * fmax(fabs(first), fabs(last))) / 2.0;
        if (!(room > 0.0)) {
            /* A line at 0, no change: a third of what is known shows of its other side. */
            room = (high - low) / 3.0;
        }
        *least = fmin(first - room, low - room / 4.0);
        *most = fmax(last + room, high + room / 4.0);
    }
    if (!(*most > *least)) {
        *most = *least + 1.0;
    }
}

struct gauge_scale gauge_scale_choose(const struct gauge *gauge, int most)
{
    double low = 0.0;
    double high = 0.0;
    hull_of(gauge, &low, &high);
    const double reach = high - low;
    if (isfinite(gauge->low) && gauge->low >= low - reach) {
        low = fmin(low, gauge->low);
    }
    if (isfinite(gauge->high) && gauge->high <= high + reach) {
        high = fmax(high, gauge->high);
    }
    struct gauge_scale scale = { 0 };
    const double power = pow(10.0, floor(log10((high - low) / most)));
    static const double factors[] = { 1.0, 2.0, 5.0, 10.0, 20.0, 50.0 };
    for (size_t i = 0; i < sizeof factors / sizeof factors[0]; i++) {
        scale.step = power * factors[i];
        scale.from = floor(low / scale.step) * scale.step;
        scale.steps = (int)ceil((high - scale.from) / scale.step - 1e-9);
        if (scale.steps <= most) {
            break;
        }
    }
    return scale;
}

double gauge_scale_to(const struct gauge_scale *scale)
{
    return scale->from + scale->step * scale->steps;
}
