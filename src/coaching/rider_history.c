/* coaching/rider_history.c: what a rider's stored rides and notes say, up to a day. */
#include "coaching/rider_history.h"

#include "base/sorted.h"

#include <math.h>

struct past_ride past_ride_begin(int64_t id, int64_t day)
{
    const double none = (double)NAN;
    const struct past_reading unasked = { .estimate = none, .low = none, .high = none };
    struct past_ride ride = { .id = id,
                              .day = day,
                              .is_ride = true,
                              .zero_offset = none,
                              .trust = unasked,
                              .base = unasked,
                              .easy = unasked,
                              .hard = unasked,
                              .today = unasked,
                              .against_bpm = none,
                              .day_sd_bpm = none,
                              .day_bpm = none,
                              .felt_w = none,
                              .temperature_c = none,
                              .work_kj = none,
                              .session_rpe = none,
                              .impulse_low = none,
                              .impulse_high = none,
                              .above_threshold_s = none,
                              .effort_0_10 = none };
    for (size_t i = 0; i < ZONES_MOST; i++) {
        ride.zone_s[i] = none;
    }
    for (size_t i = 0; i < HEART_ZONES; i++) {
        ride.heart_zone_s[i] = none;
    }
    return ride;
}

int64_t history_last_break(const struct rider_history *history, int64_t from, int64_t to,
                           const struct limits *limits)
{
    const int64_t least = (int64_t)limits->value[LIMIT_BREAK_DAYS];
    int64_t last = INT64_MIN;
    for (size_t i = 0; i < history->n_rides; i++) {
        const int64_t day = history->rides[i].day;
        const int64_t next = i + 1 < history->n_rides ? history->rides[i + 1].day : to + 1;
        /* Days between two rides, or from the last ride to today. */
        if (next - day > least && next - 1 >= from && day + 1 <= to) {
            last = next - 1 > last ? next - 1 : last;
        }
    }
    for (size_t i = 0; i < history->n_off; i++) {
        const struct past_span *off = &history->off[i];
        if (off->kind == OFF_ILL && off->from_day <= to && off->to_day > from) {
            const int64_t end = off->to_day - 1 < to ? off->to_day - 1 : to;
            last = end > last ? end : last;
        }
    }
    return last;
}

size_t history_ride_from(const struct rider_history *history, int64_t day)
{
    return sorted_from(history->rides, history->n_rides, sizeof history->rides[0],
                       offsetof(struct past_ride, day), day);
}

bool history_is_gap(const struct rider_history *history, int64_t day, const struct limits *limits)
{
    const size_t next = history_ride_from(history, day);
    if (next == 0 || day > history->today ||
        (next < history->n_rides && history->rides[next].day == day)) {
        return false;
    }
    const int64_t to = next < history->n_rides ? history->rides[next].day : history->today + 1;
    return to - history->rides[next - 1].day > (int64_t)limits->value[LIMIT_BREAK_DAYS];
}

const struct past_span *history_off_on(const struct rider_history *history, int64_t day,
                                       unsigned kinds)
{
    for (size_t i = 0; i < history->n_off; i++) {
        const struct past_span *off = &history->off[i];
        if ((kinds & 1U << off->kind) != 0 && off->from_day <= day && off->to_day > day) {
            return off;
        }
    }
    return NULL;
}

bool history_is_ill(const struct rider_history *history, int64_t day)
{
    for (size_t i = history->n_notes; i > 0 && history->notes[i - 1].day >= day; i--) {
        if (history->notes[i - 1].day == day && history->notes[i - 1].ill) {
            return true;
        }
    }
    return history_off_on(history, day, 1U << OFF_ILL) != NULL;
}

double history_hours(const struct rider_history *history, int64_t from, int64_t to)
{
    double hours = 0.0;
    for (size_t i = history_ride_from(history, from);
         i < history->n_rides && history->rides[i].day < to; i++) {
        hours += history->rides[i].hours;
    }
    return hours;
}

bool history_is_first_year(const struct rider_history *history)
{
    return history->power_since_day != INT64_MIN && history->today - history->power_since_day < 365;
}
