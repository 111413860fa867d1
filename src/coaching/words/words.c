/* coaching/words/words.c: how numbers, times and recordings are said, the same everywhere. */
#include "coaching/words/words.h"

#include "base/dates.h"
#include "base/text.h"

#include <math.h>
#include <stdio.h>

/* A sentence is never longer; what is cut shows in a test. */
enum { WORDS_CAP = 2000 };

char *words_whole(struct arena *arena, double value)
{
    if (isnan(value)) {
        return arena_string(arena, "unknown");
    }
    const long long whole = llround(fmin(fmax(value, -1e15), 1e15));
    char digits[32];
    const int n = snprintf(digits, sizeof digits, "%lld", whole < 0 ? -whole : whole);
    struct text text = text_begin(arena, WORDS_CAP);
    if (whole < 0) {
        text_add(&text, "-");
    }
    for (int i = 0; i < n; i++) {
        if (i > 0 && (n - i) % 3 == 0) {
            text_add(&text, ",");
        }
        text_add_bytes(&text, &digits[i], 1);
    }
    return text.bytes;
}

char *words_times(struct arena *arena, double count)
{
    const long long n = isnan(count) ? 0 : llround(fmin(fmax(count, 0.0), 1e12));
    return n == 1   ? arena_string(arena, "once")
           : n == 2 ? arena_string(arena, "twice")
                    : arena_format(arena, "%s times", words_whole(arena, count));
}

char *words_duration(struct arena *arena, double seconds)
{
    if (isnan(seconds)) {
        return arena_string(arena, "an unknown time");
    }
    const long long s = llround(fmin(fmax(seconds, 0.0), 1e12));
    if (s < 60) {
        return arena_format(arena, "%lld s", s);
    }
    /* Seconds matter in a rep, not in an hour. */
    if (s < 600) {
        return s % 60 == 0 ? arena_format(arena, "%lld min", s / 60)
                           : arena_format(arena, "%lld min %lld s", s / 60, s % 60);
    }
    /* Nothing ridden lasts so long; clocks go wrong by days. */
    if (s >= 72 * 3600) {
        return arena_format(arena, "%s days", words_whole(arena, (double)s / 86400.0));
    }
    const long long min = (s + 30) / 60;
    if (min < 60) {
        return arena_format(arena, "%lld min", min);
    }
    return min % 60 == 0 ? arena_format(arena, "%lld h", min / 60)
                         : arena_format(arena, "%lld h %lld min", min / 60, min % 60);
}

char *words_clock(struct arena *arena, int32_t seconds)
{
    const int32_t s = seconds < 0 ? 0 : seconds;
    if (s < 3600) {
        return arena_format(arena, "%d:%02d", s / 60, s % 60);
    }
    return arena_format(arena, "%d:%02d:%02d", s / 3600, s / 60 % 60, s % 60);
}

char *words_likely(struct arena *arena, double value, double low, double high)
{
    char *middle = words_whole(arena, value);
    if (isnan(value) || isnan(low) || isnan(high)) {
        return middle;
    }
    return arena_format(arena, "%s (likely %s to %s)", middle, words_whole(arena, low),
                        words_whole(arena, high));
}

char *words_list(struct arena *arena, const char *const items[], size_t n, const char *last)
{
    struct text text = text_begin(arena, WORDS_CAP);
    for (size_t i = 0; i < n; i++) {
        if (i > 0) {
            text_add(&text, i + 1 == n ? last : ", ");
        }
        text_add(&text, items[i]);
    }
    return text.bytes;
}

/* "6 pauses": a count with its noun, in one or many. */
static char *counted(struct arena *arena, size_t n, const char *one, const char *many)
{
    return n == 1 ? arena_format(arena, "1 %s", one)
                  : arena_format(arena, "%s %s", words_whole(arena, (double)n), many);
}

static const char *kind_of_recording(const struct recording *recording)
{
    static const char *const others[] = {
        [SPORT_UNKNOWN] = "Recording of an unknown sport",
        [SPORT_CYCLING] = "Ride",
        [SPORT_RUNNING] = "Run",
        [SPORT_SWIMMING] = "Swim",
        [SPORT_WALKING] = "Walk",
        [SPORT_HIKING] = "Hike",
        [SPORT_ROWING] = "Row",
        [SPORT_SKIING] = "Ski tour",
        [SPORT_TRANSITION] = "Change between two sports",
        [SPORT_DIVING] = "Dive",
        [SPORT_TRAINING] = "Training session off the bike",
        [SPORT_OTHER] = "Recording of another sport",
    };
    if (!recording->is_ride) {
        return others[recording->sport];
    }
    switch (recording->place) {
    case PLACE_INDOORS: return "Indoor ride";
    case PLACE_OUTDOORS: return "Outdoor ride";
    case PLACE_UNKNOWN: break;
    }
    return "Ride";
}

/* " on 19 January 2026": the rider's local day where the recording keeps its offset. */
static void add_day(struct text *text, const struct recording *recording)
{
    static const char *const months[] = {
        "January", "February", "March",     "April",   "May",      "June",
        "July",    "August",   "September", "October", "November", "December",
    };
    if (!recording->has_start_utc) {
        text_add(text, ", day unknown");
        return;
    }
    const int64_t offset_s = recording->has_utc_offset ? recording->utc_offset_s : 0;
    const struct civil day = dates_civil_from_utc(recording->start_utc + offset_s);
    text_add_format(text, " on %d %s %lld", day.day, months[day.month - 1], (long long)day.year);
}

/* ", with power and heart rate": what a reading could rest on, and what is missing of it. */
static void add_channels(struct text *text, const struct recording *recording)
{
    const bool power = recording->value[CHANNEL_POWER] != NULL;
    const bool heart = recording->value[CHANNEL_HEART_RATE] != NULL;
    if (power && heart) {
        text_add(text, ", with power and heart rate");
    } else if (power) {
        text_add(text, ", with power, without heart rate");
    } else if (heart) {
        text_add(text, ", with heart rate, without power");
    } else {
        text_add(text, ", without power or heart rate");
    }
}

char *words_summary(struct arena *arena, const struct recording *recording)
{
    struct text text = text_begin(arena, WORDS_CAP);
    const double elapsed_s = recording->n_seconds == 0 ? 0.0 : (double)(recording->n_seconds - 1);
    text_add_format(&text, "%s, %s", kind_of_recording(recording),
                    words_duration(arena, elapsed_s));
    add_day(&text, recording);
    add_channels(&text, recording);
    if (recording->n_pauses > 0) {
        const double paused_s = (double)recording->n_seconds - (double)recording->timer_s;
        text_add_format(&text, "; %s (%s)", counted(arena, recording->n_pauses, "pause", "pauses"),
                        words_duration(arena, paused_s));
    }
    text_add(&text, ".");
    if (!recording->is_ride) {
        text_add(&text, " Not a ride: nothing is read from it.");
    }
    if (recording->parts > 1) {
        text_add_format(&text, " Part %zu of %zu of the file.", recording->part, recording->parts);
    }
    return text.bytes;
}
