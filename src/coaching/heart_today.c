/* coaching/heart_today.c: was heart rate as usual on a ride? */
#include "coaching/heart_today.h"

#include "coaching/words/heart_words.h"
#include "coaching/words/words.h"

#include <math.h>

/* ---- why it can't be told ---- */

static const char *lack_of_ride(const struct heart_today *today)
{
    static const char *const lacks[] = { [RIDE_FITS] = NULL,
                                         [RIDE_NO_POWER] = "no-power",
                                         [RIDE_NO_HEART] = "no-heart-rate",
                                         [RIDE_TOO_SHORT] = "too-short" };
    return today->is_withheld            ? "medicine"
           : lacks[today->unfit] != NULL ? lacks[today->unfit]
           : !today->is_trusted          ? "not-trusted"
                                         : NULL;
}

static const char *lack_of_usual(enum response_end end)
{
    static const char *const lacks[] = { [RESPONSE_FITTED] = NULL,
                                         [RESPONSE_TOO_FEW] = "too-few-rides",
                                         [RESPONSE_TOO_EVEN] = "power-too-even",
                                         [RESPONSE_NO_THRESHOLD] = "no-threshold",
                                         [RESPONSE_ABSURD] = "no-heart-answers-so" };
    return lacks[end];
}

static void withhold(struct arena *arena, struct reading *reading, const char *code,
                     const struct limits *limits)
{
    struct cause *cause = causes_add(arena, &reading->cannot_because, code);
    cause_number(cause, "rides", reading_limit(reading, limits, LIMIT_RESPONSE_RIDES));
    cause_number(cause, "days", reading_limit(reading, limits, LIMIT_RESPONSE_WINDOW_DAYS));
    cause_number(cause, "seconds", reading_limit(reading, limits, LIMIT_RESPONSE_RIDE_S));
}

/* ---- against usual ---- */

static enum verdict verdict_of(double bpm, double line_bpm)
{
    return bpm > line_bpm    ? VERDICT_HIGHER_THAN_USUAL
           : bpm < -line_bpm ? VERDICT_LOWER_THAN_USUAL
                             : VERDICT_USUAL;
}

/* Two rides running: their mean spreads less than one does.  Only where both lie to one side. */
static void judge_pair(struct arena *arena, const struct heart_before *before,
                       const struct response_day *day, struct reading *reading)
{
    const double mean = (day->bpm + before->bpm) / 2.0;
    if (before->ride == 0 || day->bpm * before->bpm <= 0.0 ||
        verdict_of(mean, day->pair_line_bpm) == VERDICT_USUAL) {
        return;
    }
    struct cause *cause = causes_add(arena, &reading->because, "two-running");
    cause_number(cause, "mean_bpm", mean);
    cause_number(cause, "line_bpm", day->pair_line_bpm);
    cause_number(cause, "before_bpm", before->bpm);
    cause_number(cause, "ride", (double)before->ride);
    cause_number(cause, "day", (double)before->day);
    if (reading->verdict != VERDICT_USUAL) {
        return; /* this ride alone said it */
    }
    /* The one before is known about as well as this one. */
    const double half = (day->high - day->low) / 2.0 / sqrt(2.0);
    reading->verdict = verdict_of(mean, day->pair_line_bpm);
    reading->estimate = mean;
    reading->low = mean - half;
    reading->high = mean + half;
    reading->limit_value = day->pair_line_bpm;
}

static void judge(struct arena *arena, const struct heart_today *today,
                  const struct response_day *day, struct reading *reading)
{
    reading->verdict = verdict_of(day->bpm, day->line_bpm);
    reading->estimate = day->bpm;
    reading->low = day->low;
    reading->high = day->high;
    reading->limit_value = day->line_bpm;
    struct cause *cause = causes_add(arena, &reading->because, "against-usual");
    cause_number(cause, "bpm", day->bpm);
    cause_number(cause, "line_bpm", day->line_bpm);
    cause_number(cause, "day_sd_bpm", day->sd_bpm);
    cause_number(cause, "trend_bpm", day->trend_bpm);
    cause_number(cause, "rides", (double)day->n_past);
    cause_number(cause, "from_day", (double)today->response->first_day);
    cause_number(cause, "to_day", (double)today->response->last_day);
    cause_number(cause, "mean_w", today->ride->mean_w);
    judge_pair(arena, &today->before, day, reading);
    if (reading->verdict != VERDICT_USUAL) {
        causes_add(arena, &reading->settle_by,
                   reading->verdict == VERDICT_HIGHER_THAN_USUAL ? "ask-higher" : "ask-lower");
    }
    reading->spans = arena_alloc(arena, 1, sizeof *reading->spans);
    reading->spans[0] = today->seconds;
    reading->n_spans = 1;
}

/* Heart rate that this rider's heart didn't make: said beside the day, which is judged without it.
 */
static void add_doubt(struct arena *arena, const struct finding *finding, struct reading *reading)
{
    struct cause *cause = causes_add(arena, &reading->because, finding->code);
    for (size_t i = 0; i < finding->n_numbers; i++) {
        cause_number(cause, finding->numbers[i].name, finding->numbers[i].value);
    }
    if (!finding->whole_ride) {
        cause_number(cause, "from_s", (double)finding->span.from_s);
        cause_number(cause, "to_s", (double)finding->span.to_s);
    }
    cause->text = words_finding(arena, finding);
    if (causes_find(&reading->settle_by, "check-strap") == NULL) {
        causes_add(arena, &reading->settle_by, "check-strap");
    }
}

struct reading heart_today_read(struct arena *arena, const struct heart_today *today,
                                const struct limits *limits, struct response_day *day)
{
    static const enum limit_id used[] = {
        LIMIT_TODAY_RARITY,      LIMIT_TODAY_PAIR_DAYS,      LIMIT_RESPONSE_WINDOW_DAYS,
        LIMIT_RESPONSE_SETTLE_S, LIMIT_RESPONSE_DAY_FREEDOM, LIMIT_RESPONSE_DAY_SD_BPM,
        LIMIT_TODAY_LOOKS,       LIMIT_TODAY_ALIKE_PAIRS,    LIMIT_TODAY_TREND_SD_BPM,
    };
    struct reading reading = reading_begin(QUESTION_TODAY);
    struct response_day alone = { .verdict = USUAL_UNKNOWN,
                                  .bpm = (double)NAN,
                                  .trend_bpm = (double)NAN,
                                  .low = (double)NAN,
                                  .high = (double)NAN,
                                  .line_bpm = (double)NAN,
                                  .sd_bpm = (double)NAN };
    const char *lack = lack_of_ride(today);
    reading.unit = "bpm";
    reading.limit_source = limits_row(LIMIT_TODAY_RARITY)->source;
    lack = lack == NULL ? lack_of_usual(today->response->end) : lack;
    if (lack == NULL) {
        alone = heart_response_day(today->response, today->ride, today->before.ride != 0, limits);
        lack = alone.verdict == USUAL_UNKNOWN ? "too-short" : NULL;
    }
    if (lack != NULL) {
        withhold(arena, &reading, lack, limits);
    } else {
        for (size_t i = 0; i < sizeof used / sizeof used[0]; i++) {
            (void)reading_limit(&reading, limits, used[i]);
        }
        reading.basis.threshold_w = today->response->threshold_w;
        judge(arena, today, &alone, &reading);
    }
    for (size_t i = 0; i < today->n_doubts; i++) {
        add_doubt(arena, &today->doubts[i], &reading);
    }
    words_heart_today_fill(arena, &reading);
    if (day != NULL) {
        *day = alone;
    }
    return reading;
}
