/* coaching/words/words.c: how numbers, times and recordings are said, the same everywhere. */
#include "coaching/words/words.h"

#include "base/dates.h"
#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

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

/* "19 January 2026": the rider's local day where the recording keeps its offset. */
static char *day_of(struct arena *arena, const struct recording *recording)
{
    static const char *const months[] = {
        "January", "February", "March",     "April",   "May",      "June",
        "July",    "August",   "September", "October", "November", "December",
    };
    const int64_t offset_s = recording->has_utc_offset ? recording->utc_offset_s : 0;
    const struct civil day = dates_civil_from_utc(recording->start_utc + offset_s);
    return arena_format(arena, "%d %s %lld", day.day, months[day.month - 1], (long long)day.year);
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

static void add_rest(struct text *text, const struct recording *recording)
{
    struct arena *arena = text->arena;
    add_channels(text, recording);
    if (recording->n_pauses > 0) {
        const double paused_s = (double)recording->n_seconds - (double)recording->timer_s;
        text_add_format(text, "; %s (%s)", counted(arena, recording->n_pauses, "pause", "pauses"),
                        words_duration(arena, paused_s));
    }
    text_add(text, ".");
    if (!recording->is_ride) {
        text_add(text, " Not a ride: nothing is read from it.");
    }
    if (recording->parts > 1) {
        text_add_format(text, " Part %zu of %zu of the file.", recording->part, recording->parts);
    }
}

static char *length_of(struct arena *arena, const struct recording *recording)
{
    return words_duration(arena,
                          recording->n_seconds == 0 ? 0.0 : (double)(recording->n_seconds - 1));
}

char *words_summary(struct arena *arena, const struct recording *recording)
{
    struct text text = text_begin(arena, WORDS_CAP);
    text_add_format(&text, "%s, %s", kind_of_recording(recording), length_of(arena, recording));
    if (recording->has_start_utc) {
        text_add_format(&text, " on %s", day_of(arena, recording));
    } else {
        text_add(&text, ", day unknown");
    }
    add_rest(&text, recording);
    return text.bytes;
}

char *words_contents(struct arena *arena, const struct recording *recording)
{
    struct text text = text_begin(arena, WORDS_CAP);
    text_add(&text, length_of(arena, recording));
    add_rest(&text, recording);
    return text.bytes;
}

/* ---- headings and labels ---- */

const char *words_question(enum question question)
{
    switch (question) {
    case QUESTION_TRUST: return "May it be trusted?";
    case QUESTION_BASE: return "Is the base there?";
    case QUESTION_EASY_WORK: return "Was the easy ride easy?";
    case QUESTION_HARD_WORK: return "Was the hard work done as asked?";
    case QUESTION_HARD_DAY: return "How much was it?";
    case QUESTION_BASE_STATE: return "Is the base built?";
    case QUESTION_BASE_TREND: return "Does heart rate fall at one power?";
    case QUESTION_PROGRESS: return "Getting better?";
    case QUESTION_STALLED: return "Has progress stalled?";
    case QUESTION_EASY_WEEKS: return "Were easy rides easy?";
    case QUESTION_HOW: return "How is the rider?";
    case QUESTION_LOAD: return "How much was ridden?";
    case QUESTION_METERS: return "Do the meters agree?";
    case QUESTION_TODAY: return "Was heart rate as usual?";
    case QUESTION_COMEBACK: break;
    }
    return "Back after a break?";
}

/* Past the next colon or full stop that ends a clause; 0 = there is none. */
static size_t clause_end(const char *text)
{
    for (size_t i = 0; text[i] != '\0'; i++) {
        const bool ends = text[i] == ':' || text[i] == '.';
        if (ends && (text[i + 1] == ' ' || text[i + 1] == '\0')) {
            return i + 1;
        }
    }
    return 0;
}

size_t words_lead(const char *text)
{
    const size_t first = clause_end(text);
    const bool is_condition = strncmp(text, "If ", 3) == 0;
    return is_condition ? first + clause_end(text + first) : first;
}

char *words_title(struct arena *arena, const struct recording *recording)
{
    return arena_format(arena, "%s, %s", kind_of_recording(recording),
                        recording->has_start_utc ? day_of(arena, recording) : "day unknown");
}

char *words_zones(struct arena *arena, const struct rider_facts *facts,
                  const struct ride_readings *readings)
{
    if (isnan(facts->threshold_w) || isnan(readings->zone_s[0])) {
        return NULL;
    }
    const char *parts[ZONES_MOST];
    size_t n = 0;
    for (size_t i = 0; i < facts->zones.count; i++) {
        if (readings->zone_s[i] >= 0.5) {
            parts[n++] = arena_format(arena, "%s %s", words_duration(arena, readings->zone_s[i]),
                                      facts->zones.name[i]);
        }
    }
    return n == 0 ? NULL
                  : arena_format(arena, "Time in zones, by a threshold of %s W: %s.",
                                 words_whole(arena, facts->threshold_w),
                                 words_list(arena, parts, n, ", "));
}

char *words_range(struct arena *arena, const struct reading *reading)
{
    if (reading->unit == NULL || isnan(reading->range_low) || isnan(reading->range_high)) {
        return NULL;
    }
    const char *unit = strcmp(reading->unit, "%") == 0 ? "% of threshold" : reading->unit;
    char *low = words_whole(arena, reading->range_low);
    if (isinf(reading->range_high)) {
        return arena_format(arena, "at least %s %s", low, unit);
    }
    char *high = words_whole(arena, reading->range_high);
    return reading->range_low > 0.0 ? arena_format(arena, "%s\u2013%s %s", low, high, unit)
                                    : arena_format(arena, "at most %s %s", high, unit);
}

const char *words_verdict(enum verdict verdict)
{
    return verdict == VERDICT_DONE_FAST_START ? "done, fast start" : verdict_name(verdict);
}

const char *words_at_least(void)
{
    return "at least: some seconds are unknown and count as nothing.";
}

char *words_more_findings(struct arena *arena, size_t n)
{
    return n == 1 ? arena_string(arena, "One more is told with the ride, not here.")
                  : arena_format(arena, "%s more are told with the ride, not here.",
                                 words_whole(arena, (double)n));
}

const char *words_mask(enum channel channel, enum mask_reason reason)
{
    const bool heart = channel == CHANNEL_HEART_RATE;
    switch (reason) {
    case MASK_ABSENT: return "not recorded";
    case MASK_DROPOUT: return heart ? "strap silent" : "meter silent";
    case MASK_SPIKE: return "spike";
    case MASK_STUCK: return "stuck";
    case MASK_ARTEFACT: return heart ? "not heart rate" : "not power";
    case MASK_PAUSED: return "paused";
    case MASK_NONE:
    case MASK_BRIDGED: break;
    }
    return "usable";
}
