/* coaching/rider_history.c: what a rider's stored rides and notes say, up to a day. */
#include "coaching/rider_history.h"

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

bool history_is_first_year(const struct rider_history *history)
{
    return history->power_since_day != INT64_MIN && history->today - history->power_since_day < 365;
}
