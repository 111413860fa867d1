/* coaching/easy_weeks.c: was easy work easy over the last weeks? */
#include "coaching/easy_weeks.h"

#include "coaching/words/weeks_words.h"

struct tally {
    size_t judged;
    size_t too_hard;
    size_t on_the_line;
    size_t hilly; /* of those too hard or on the line */
    size_t unjudged;
    size_t without_power;         /* of those */
    const struct past_ride *last; /* the last that was too hard */
};

static struct tally tally_of(const struct rider_history *history, int64_t from)
{
    struct tally tally = { 0 };
    for (size_t i = history_ride_from(history, from); i < history->n_rides; i++) {
        const struct past_ride *ride = &history->rides[i];
        if (!ride->is_ride || !ride->easy.is_asked) {
            continue;
        }
        if (ride->easy.verdict == VERDICT_CANNOT_TELL) {
            tally.unjudged++;
            tally.without_power += ride->has_power ? 0 : 1;
            continue;
        }
        const bool is_hard = ride->easy.verdict == VERDICT_TOO_HARD;
        const bool is_line = ride->easy.verdict == VERDICT_ON_THE_LINE;
        tally.judged++;
        tally.too_hard += is_hard ? 1 : 0;
        tally.on_the_line += is_line ? 1 : 0;
        tally.hilly += (is_hard || is_line) && ride->hilly ? 1 : 0;
        tally.last = is_hard ? ride : tally.last;
    }
    return tally;
}

static void add_unjudged(struct arena *arena, const struct tally *tally, struct causes *causes)
{
    if (tally->unjudged > 0) {
        struct cause *cause = causes_add(arena, causes, "easy-not-judged");
        cause_number(cause, "count", (double)tally->unjudged);
        cause_number(cause, "without_power", (double)tally->without_power);
    }
}

static void judge(struct arena *arena, const struct tally *tally, double days,
                  const struct limits *limits, struct reading *reading)
{
    const double judged = (double)tally->judged;
    reading->estimate = 100.0 * (double)tally->too_hard / judged;
    reading->low = reading->estimate;
    reading->high = 100.0 * (double)(tally->too_hard + tally->on_the_line) / judged;
    reading->verdict = reading->low > reading->limit_value    ? VERDICT_TOO_HARD
                       : reading->high > reading->limit_value ? VERDICT_ON_THE_LINE
                                                              : VERDICT_EASY_ENOUGH;
    struct cause *cause = causes_add(arena, &reading->because, "easy-rides");
    cause_number(cause, "judged", judged);
    cause_number(cause, "too_hard", (double)tally->too_hard);
    cause_number(cause, "on_the_line", (double)tally->on_the_line);
    cause_number(cause, "days", days);
    if (tally->hilly > 0) {
        cause = causes_add(arena, &reading->because, "easy-hilly");
        cause_number(cause, "count", (double)tally->hilly);
        cause_number(cause, "of", (double)(tally->too_hard + tally->on_the_line));
    }
    if (tally->last != NULL) {
        cause = causes_add(arena, &reading->because, "easy-last");
        cause_number(cause, "ride", (double)tally->last->id);
        cause_number(cause, "day", (double)tally->last->day);
        cause_number(cause, "share_pct", tally->last->easy.estimate);
    }
    add_unjudged(arena, tally, &reading->because);
    if (reading->verdict != VERDICT_EASY_ENOUGH) {
        cause_number(causes_add(arena, &reading->settle_by, "cap-easy"), "pct",
                     reading_limit(reading, limits, LIMIT_EASY_ABOVE_PCT));
    }
}

struct reading easy_weeks_read(struct arena *arena, const struct rider_history *history,
                               const struct limits *limits)
{
    struct reading reading = reading_begin(QUESTION_EASY_WEEKS);
    const double days = reading_limit(&reading, limits, LIMIT_EASY_WEEKS_DAYS);
    const double least = reading_limit(&reading, limits, LIMIT_EASY_WEEKS_RIDES);
    reading.unit = "%";
    reading.limit_value = reading_limit(&reading, limits, LIMIT_EASY_WEEKS_SHARE_PCT);
    reading.limit_source = limits_row(LIMIT_EASY_WEEKS_SHARE_PCT)->source;
    const struct tally tally = tally_of(history, history->today + 1 - (int64_t)days);
    if ((double)tally.judged >= least) {
        judge(arena, &tally, days, limits, &reading);
    } else {
        struct cause *cause = causes_add(arena, &reading.cannot_because, "few-easy-rides");
        cause_number(cause, "judged", (double)tally.judged);
        cause_number(cause, "least", least);
        cause_number(cause, "days", days);
        add_unjudged(arena, &tally, &reading.cannot_because);
        causes_add(arena, &reading.settle_by, "mark-easy");
    }
    words_weeks_fill(arena, &reading);
    return reading;
}
