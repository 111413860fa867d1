/* recording/fit_timer.c: when the timer stood, and where laps end. */
#include "recording/fit_timer.h"

struct pauses {
    struct recording *recording;
    size_t capacity;
    int64_t n_seconds;
    uint32_t origin;
};

static int32_t within(int64_t second, int64_t n_seconds)
{
    return (int32_t)(second < 0 ? 0 : second > n_seconds ? n_seconds : second);
}

static void add_pause(struct arena *arena, struct pauses *pauses, int64_t from_s, int64_t to_s)
{
    struct recording *recording = pauses->recording;
    recording->pauses = arena_grow(arena, recording->pauses, recording->n_pauses, &pauses->capacity,
                                   sizeof recording->pauses[0]);
    const int64_t end_s = to_s < from_s ? from_s : to_s; /* a clock that ran back in between */
    recording->pauses[recording->n_pauses++] =
        (struct span){ within(from_s, pauses->n_seconds), within(end_s, pauses->n_seconds) };
}

/* Whether the pause between two timer events belongs to the range.  The only range takes all; of
 * several each takes what overlaps it, and a pause without any record in it stays where it was. */
static bool is_here(const struct fit_ranges *ranges, size_t own, const struct pauses *pauses,
                    const struct fit_timer *stop, const struct fit_timer *start)
{
    if (ranges->count == 1) {
        return true;
    }
    const struct fit_range *range = &ranges->items[own];
    /* Around a set clock times overlap: what was read elsewhere isn't here. */
    if ((range->run->after_jump || range->jump_after) &&
        ((start->seq < range->first && own > 0) || stop->seq > range->last + 1)) {
        return false;
    }
    const bool overlaps = (int64_t)stop->time < (int64_t)pauses->origin + pauses->n_seconds &&
                          start->time > pauses->origin;
    return overlaps || (start->seq <= range->first + 1 && start->seq >= range->first &&
                        fit_ranges_owner(ranges, start->time, start->seq) == own);
}

static void add_timer_pauses(struct arena *arena, struct pauses *pauses,
                             const struct fit_part *part, const struct fit_ranges *ranges,
                             size_t own)
{
    struct recording *recording = pauses->recording;
    const struct fit_timer *stop = NULL;
    const int64_t origin = pauses->origin;
    for (size_t i = 0; i < part->n_timers; i++) {
        const struct fit_timer *timer = &part->timers[i];
        if (!timer->starts) {
            stop = stop == NULL ? timer : stop;
        } else if (stop != NULL) {
            if (is_here(ranges, own, pauses, stop, timer)) {
                add_pause(arena, pauses, (int64_t)stop->time - origin,
                          (int64_t)timer->time - origin);
            }
            stop = NULL;
        }
    }
    /* Stopped for good, but the device went on writing for more than a second. */
    if (stop != NULL && (int64_t)stop->time >= origin &&
        (int64_t)stop->time - origin + 2 < pauses->n_seconds &&
        fit_ranges_owner(ranges, stop->time, stop->seq) == own) {
        recording->after_timer =
            (struct span){ (int32_t)((int64_t)stop->time - origin), (int32_t)pauses->n_seconds };
    }
}

/* Walks the gaps; adds them as pauses if `add`.  Returns their total and counts them. */
static int64_t gaps(struct arena *arena, struct pauses *pauses, int64_t longest_s, bool add,
                    int64_t *count)
{
    const struct samples *samples = &pauses->recording->samples;
    int64_t total_s = 0;
    int64_t last_s = 0;
    *count = 0;
    for (size_t i = 0; i < samples->count; i++) {
        if (samples->dropped[i]) {
            continue;
        }
        const int64_t gap_s = (int64_t)samples->time_s[i] - last_s;
        if (gap_s > longest_s) {
            total_s += gap_s;
            (*count)++;
            if (add) {
                add_pause(arena, pauses, last_s + 1, samples->time_s[i]);
            }
        }
        last_s = gap_s > 0 ? samples->time_s[i] : last_s;
    }
    return total_s;
}

static void add_gap_pauses(struct arena *arena, struct pauses *pauses, const struct limits *limits)
{
    const struct recording *recording = pauses->recording;
    const double stood_s = recording->device_elapsed_s - recording->device_timer_s;
    const int64_t longest_s = (int64_t)limits->value[LIMIT_PAUSE_GAP_S];
    const double tolerance_s = limits->value[LIMIT_PAUSE_TIMER_S];
    int64_t count = 0;
    const int64_t total_s = gaps(arena, pauses, longest_s, false, &count);
    /* The timer may have stood from the last record before a gap, or from a second later. */
    if (count > 0 && stood_s >= (double)(total_s - count) - tolerance_s &&
        stood_s <= (double)total_s + tolerance_s) {
        gaps(arena, pauses, longest_s, true, &count);
    }
}

/* A lap's ends in device time, from what the message has; previous_end fills a missing start. */
static void find_ends(struct fit_lap *lap, int64_t previous_end)
{
    const int64_t elapsed_s = lap->elapsed_ms < 0 ? -1 : (lap->elapsed_ms + 500) / 1000;
    lap->from = previous_end;
    if (lap->has_start) {
        lap->from = lap->start;
    } else if (lap->has_end && elapsed_s >= 0) {
        lap->from = (int64_t)lap->end - elapsed_s;
    }
    lap->to = lap->from;
    if (elapsed_s >= 0) {
        lap->to += elapsed_s;
    } else if (lap->has_end && (int64_t)lap->end > lap->from) {
        lap->to = lap->end;
    }
}

void fit_timer_settle(struct fit_part *part, const struct fit_ranges *ranges)
{
    int64_t previous_end = ranges->count > 0 ? ranges->items[0].from : 0;
    for (size_t i = 0; i < part->n_laps; i++) {
        struct fit_lap *lap = &part->laps[i];
        find_ends(lap, previous_end);
        lap->owner = fit_ranges_owner(ranges, lap->from, lap->seq);
        previous_end = lap->to;
    }
    for (size_t i = 0; i < part->n_zero_offsets; i++) {
        struct fit_zero_offset *zero = &part->zero_offsets[i];
        zero->owner = fit_ranges_owner(ranges, zero->time, zero->seq);
    }
}

static int32_t saturated(int64_t seconds)
{
    return seconds > INT32_MAX ? INT32_MAX : seconds < -INT32_MAX ? -INT32_MAX : (int32_t)seconds;
}

static void add_laps(struct arena *arena, struct recording *recording, const struct fit_part *part,
                     size_t own, uint32_t origin)
{
    size_t capacity = 0;
    for (size_t i = 0; i < part->n_laps; i++) {
        const struct fit_lap *lap = &part->laps[i];
        if (lap->owner != own) {
            continue;
        }
        recording->laps = arena_grow(arena, recording->laps, recording->n_laps, &capacity,
                                     sizeof recording->laps[0]);
        recording->laps[recording->n_laps++] = (struct lap){
            .start_s = saturated(lap->from - (int64_t)origin),
            .end_s = saturated(lap->to - (int64_t)origin),
            .by_hand = lap->by_hand,
            .workout_step = lap->workout_step,
        };
    }
}

static void add_calibrations(struct arena *arena, struct recording *recording,
                             const struct fit_part *part, size_t own, uint32_t origin)
{
    size_t capacity = 0;
    for (size_t i = 0; i < part->n_zero_offsets; i++) {
        const struct fit_zero_offset *zero = &part->zero_offsets[i];
        if (zero->owner != own) {
            continue;
        }
        recording->calibrations =
            arena_grow(arena, recording->calibrations, recording->n_calibrations, &capacity,
                       sizeof recording->calibrations[0]);
        recording->calibrations[recording->n_calibrations++] =
            (struct calibration){ saturated((int64_t)zero->time - (int64_t)origin), zero->value };
    }
}

void fit_timer_fill(struct arena *arena, struct recording *recording, const struct fit_part *part,
                    const struct fit_ranges *ranges, size_t own, uint32_t origin, int64_t last_s,
                    const struct limits *limits)
{
    struct pauses pauses = { recording, 0, last_s + 1, origin };
    add_timer_pauses(arena, &pauses, part, ranges, own);
    if (recording->n_pauses == 0) {
        add_gap_pauses(arena, &pauses, limits);
    }
    add_laps(arena, recording, part, own, origin);
    add_calibrations(arena, recording, part, own, origin);
}
