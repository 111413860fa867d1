/* coaching/words/answer_words.c: short lines beside a page's sentences. */
#include "coaching/words/answer_words.h"

#include "base/dates.h"
#include "base/text.h"
#include "coaching/words/rider_words.h"
#include "coaching/words/weeks_words.h"
#include "coaching/words/words.h"
#include "physiology/effort.h"

#include <math.h>
#include <string.h>

static const char *weekday(int64_t day)
{
    static const char *const names[] = { "Monday", "Tuesday",  "Wednesday", "Thursday",
                                         "Friday", "Saturday", "Sunday" };
    return names[dates_iso_week(day).weekday - 1];
}

char *words_weekday_of(struct arena *arena, int64_t day)
{
    return arena_format(arena, "%s %s", weekday(day), words_day(arena, day));
}

char *words_when(struct arena *arena, int64_t day, int64_t today)
{
    const int64_t ago = today - day;
    if (ago == 0 || ago == 1) {
        return arena_string(arena, ago == 0 ? "today" : "yesterday");
    }
    return ago > 1 && ago < 7 ? arena_format(arena, "last %s", weekday(day))
                              : words_day(arena, day);
}

char *words_last_ride(struct arena *arena, int64_t day, int64_t today, double seconds)
{
    const double minutes = round(seconds / 60.0) * 60.0;
    return arena_format(arena, "%s, %s", words_when(arena, day, today),
                        words_duration(arena, minutes));
}

/* "1 new ride", "31 new rides". */
static void add_count(struct arena *arena, const char *items[], size_t *n, size_t count,
                      const char *one, const char *many)
{
    if (count > 0) {
        items[(*n)++] = arena_format(arena, "%zu %s", count, count == 1 ? one : many);
    }
}

char *words_since(struct arena *arena, int64_t looked, int64_t today,
                  const struct since_count *count)
{
    const char *items[3];
    size_t n = 0;
    add_count(arena, items, &n, count->rides, "new ride", "new rides");
    add_count(arena, items, &n, count->unreadable, "file could not be read",
              "files could not be read");
    add_count(arena, items, &n, count->answers, "answer came back", "answers came back");
    const char *when = words_when(arena, looked, today);
    const bool is_date = today - looked >= 7;
    return arena_format(arena, "since you looked %s%s: %s", is_date ? "on " : "", when,
                        n == 0 ? "nothing new" : words_list(arena, items, n, ", "));
}

/* "16 days ago". */
static const char *days_ago(struct arena *arena, int64_t days)
{
    return days == 0   ? "today"
           : days == 1 ? "yesterday"
                       : arena_format(arena, "%lld days ago", (long long)days);
}

char *words_threshold_told(struct arena *arena, const struct threshold_words *threshold,
                           int64_t today)
{
    struct text out = text_begin(arena, 1000);
    text_add_format(&out, "%s W", words_whole(arena, threshold->value_w));
    if (!isnan(threshold->low_w)) {
        text_add_format(&out, " (likely %s to %s)", words_whole(arena, threshold->low_w),
                        words_whole(arena, threshold->high_w));
    }
    if (threshold->known_by != NULL && strcmp(threshold->known_by, "given") != 0) {
        text_add_format(&out, ", %s", threshold->known_by);
    }
    text_add_format(&out, ", %s, %s", words_day(arena, threshold->day),
                    days_ago(arena, today - threshold->day));
    return out.bytes;
}

static void add_piece(struct text *out, const char *piece)
{
    text_add_format(out, "%s%s", out->length > 0 ? " · " : "", piece);
}

char *words_rider_head(struct arena *arena, const struct rider_head *head, int64_t today)
{
    struct text out = text_begin(arena, 2000);
    if (head->power_since != INT64_MIN) {
        /* The month is near enough. */
        const char *day = words_day(arena, head->power_since);
        add_piece(&out, arena_format(arena, "riding with power since %s", strchr(day, ' ') + 1));
    }
    if (head->event != NULL) {
        const int64_t days = head->event_day - today;
        add_piece(&out, days == 0 ? arena_format(arena, "%s today", head->event)
                        : days == 1
                            ? arena_format(arena, "%s tomorrow", head->event)
                            : arena_format(arena, "%s in %lld days", head->event, (long long)days));
    }
    if (head->last_ride != INT64_MIN) {
        add_piece(&out,
                  arena_format(arena, "last ride %s",
                               words_last_ride(arena, head->last_ride, today, head->last_ride_s)));
    }
    if (head->week_rides > 0) {
        add_piece(&out, arena_format(arena, "this week %zu ride%s, %s h", head->week_rides,
                                     head->week_rides == 1 ? "" : "s",
                                     words_hours(arena, head->week_hours)));
    }
    return out.length > 0 ? out.bytes : NULL;
}

char *words_evidence(struct arena *arena, unsigned evidence)
{
    const char *items[3];
    size_t n = 0;
    if ((evidence & EFFORT_MARKED) != 0) {
        items[n++] = "it was a test or a race";
    }
    if ((evidence & EFFORT_HEART) != 0) {
        items[n++] = "heart rate was near maximal at its end";
    }
    if ((evidence & EFFORT_FADED) != 0) {
        items[n++] = "it was far above threshold, and fell";
    }
    return n == 0 ? arena_string(arena, "Nothing says that it was all-out.")
                  : arena_format(arena, "All-out: %s.", words_list(arena, items, n, ", and "));
}
