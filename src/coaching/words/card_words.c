/* coaching/words/card_words.c: the sentences of a session's card. */
#include "coaching/words/card_words.h"

#include "coaching/session_text.h"
#include "coaching/words/answer_words.h"
#include "coaching/words/words.h"

#include <math.h>
#include <string.h>

enum { LINE_CAP = 1000 };

const char *card_length_within(struct arena *arena, const struct session_step *step)
{
    static const char *const roles[ROLES] = { "", "warm up ", "rest ", "cool down " };
    struct text out = text_begin(arena, LINE_CAP);
    text_add(&out, roles[step->role]);
    session_write_length(&out, step->seconds);
    return out.bytes;
}

static char *capital(struct arena *arena, const char *words)
{
    char *own = arena_string(arena, words);
    own[0] = (char)(own[0] >= 'a' && own[0] <= 'z' ? own[0] - 'a' + 'A' : own[0]);
    return own;
}

const char *card_length(struct arena *arena, const struct session_step *step)
{
    return capital(arena, card_length_within(arena, step));
}

/* "8–9", "8". */
static const char *range(struct arena *arena, double low, double high)
{
    return llround(low) == llround(high)
               ? arena_format(arena, "%lld", llround(low))
               : arena_format(arena, "%lld\u2013%lld", llround(low), llround(high));
}

const char *card_range(struct arena *arena, enum session_aim aim, double low, double high)
{
    switch (aim) {
    case AIM_PCT: return arena_format(arena, "%s %%", range(arena, low, high));
    case AIM_W: return arena_format(arena, "%s W", range(arena, low, high));
    case AIM_BPM: return arena_format(arena, "%s beats", range(arena, low, high));
    case AIM_MAX_PCT:
        return arena_format(arena, "%s %% of maximal heart rate", range(arena, low, high));
    case AIM_EFFORT: return arena_format(arena, "effort %s", range(arena, low, high));
    case AIM_ALL_OUT: return "all-out";
    case AIM_FREE:
    case AIMS: break;
    }
    return "";
}

const char *card_feel_words(struct arena *arena, const struct card_feel *feel)
{
    static const char *const talk[TALKS] = {
        [TALK_FREELY] = "whole sentences, easily",
        [TALK_SENTENCES] = "whole sentences",
        [TALK_SHORT] = "short sentences",
        [TALK_FEW] = "a few words at a time",
        [TALK_SINGLE] = "single words",
        [TALK_NOTHING] = "no talking",
    };
    const struct session_feel *first = &feel->first;
    const struct session_feel *last = &feel->last;
    if (last->talk == TALK_UNKNOWN) {
        return NULL;
    }
    struct text out = text_begin(arena, LINE_CAP);
    const double low = feel->rises && first->low < last->low ? first->low : last->low;
    if (!feel->rises && llround(first->high) < llround(last->high)) {
        text_add_format(&out, "Effort %s, the last time %s", range(arena, first->low, first->high),
                        range(arena, last->low, last->high));
    } else {
        text_add_format(&out, "Effort %s", range(arena, low, last->high));
    }
    if (last->talk_tells) {
        text_add_format(&out, ", %s%s", talk[last->talk], feel->rises ? " by its end" : "");
    }
    text_add(&out, ".");
    return out.bytes;
}

/* Less isn't worth two numbers. */
static const double FLAT_BPM = 2.5;

/* "about 158", "about 158, the last time 166". */
static const char *beats(struct arena *arena, const struct card_heart *heart)
{
    return fabs(heart->last_bpm - heart->first_bpm) < FLAT_BPM
               ? arena_format(arena, "about %lld", llround(heart->first_bpm))
               : arena_format(arena, "about %lld, the last time %lld", llround(heart->first_bpm),
                              llround(heart->last_bpm));
}

/* "; reads low until about 1:40: don't chase it"; "" where it soon has come up. */
static const char *late(struct arena *arena, const struct card_heart *heart)
{
    static const double SOON_S = 20.0; /* of what is steady: not worth a word */
    if (isnan(heart->reads_low_s)) {
        return "";
    }
    /* No false digits: to 5 s. */
    const int32_t until = (int32_t)(5.0 * round(heart->reads_low_s / 5.0));
    if (heart->is_steady && (until < SOON_S || heart->reads_low_s >= heart->seconds)) {
        return "";
    }
    return heart->reads_low_s >= heart->seconds
               ? "; reads low all the way: don\u2019t chase it"
               : arena_format(arena, "; reads low until about %s: don\u2019t chase it",
                              words_clock(arena, until));
}

const char *card_heart_words(struct arena *arena, const struct card_heart *heart)
{
    const char *usual = range(arena, heart->low_bpm, heart->high_bpm);
    const bool is_flat = fabs(heart->last_bpm - heart->first_bpm) < FLAT_BPM;
    if (!heart->is_steady) {
        return arena_format(arena, "Heart rate at its end %s (usual days %s)%s.",
                            beats(arena, heart), usual, late(arena, heart));
    }
    return is_flat
               ? arena_format(arena, "Heart rate about %lld (usual days %s)%s.",
                              llround(heart->last_bpm), usual, late(arena, heart))
               : arena_format(arena, "Heart rate about %lld, %lld by its end (usual days %s)%s.",
                              llround(heart->first_bpm), llround(heart->last_bpm), usual,
                              late(arena, heart));
}

const char *card_heart_range_words(struct arena *arena, double low_bpm, double high_bpm)
{
    return isnan(low_bpm) ? arena_format(arena, "Heart rate below %lld, from the third minute on.",
                                         llround(high_bpm))
                          : arena_format(arena, "Heart rate %s, from the third minute on.",
                                         range(arena, low_bpm, high_bpm));
}

const char *card_about(struct arena *arena, double seconds, double hard_s, bool has_open)
{
    const char *open = has_open ? ", and what ends with the button" : "";
    const char *whole = seconds > 0.0 ? words_duration(arena, seconds) : "As long as it takes";
    return hard_s > 0.0
               ? arena_format(arena, "%s%s; hard: %s.", whole, open, words_duration(arena, hard_s))
               : arena_format(arena, "%s%s; nothing hard.", whole, open);
}

const char *card_under(struct arena *arena, int64_t day, const char *rider)
{
    return arena_format(arena, "%s \u00b7 %s", words_weekday_of(arena, day), rider);
}

const char *card_times(struct arena *arena, int32_t times)
{
    return capital(arena, arena_format(arena, "%s:", card_times_of(arena, times)));
}

const char *card_times_of(struct arena *arena, int32_t times)
{
    return times == 1 ? "once" : arena_format(arena, "%d times", (int)times);
}

const char *card_rpm(struct arena *arena, int32_t low, int32_t high)
{
    return arena_format(arena, "%s rpm", range(arena, low, high));
}

const char *card_zone(struct arena *arena, size_t number)
{
    return arena_format(arena, "zone %zu", number);
}

const char *card_rises(void)
{
    return "A step up each minute.";
}

const char *card_free(void)
{
    return "As you like.";
}

const char *card_effort(struct arena *arena, const struct session_feel *feel)
{
    return arena_format(arena, "effort %s", range(arena, feel->low, feel->high));
}

const char *card_plan_when(struct arena *arena, const char *when)
{
    return when == NULL ? "Plan B" : arena_format(arena, "Plan B %s", when);
}

const char *card_prepare(const char *kind)
{
    return strcmp(kind, "base-test") == 0
               ? "Before it: a fan on you, 18\u201324 \u00b0C, something to drink, your usual "
                 "coffee, no hard day before. Else another day: the test would say nothing."
               : NULL;
}

const char *card_way_words(enum card_way way)
{
    switch (way) {
    case WAY_POWER: return "Ride to power. Heart rate comes late: look at it, don\u2019t chase it.";
    case WAY_BASE_TEST:
        return "Ride to power, steady. Heart rate is only written down: it doesn\u2019t lead.";
    case WAY_POWER_NO_HEART: return "Ride to power and feel. This card sets no heart rate.";
    case WAY_HEART:
        return "No watts here: heart rate for what lasts, talk and effort for the rest. Heart rate "
               "comes late: short efforts go by feel. Without power nobody can tell whether the "
               "hard parts were hard enough.";
    case WAY_FEEL:
        return "No watts here, and no range of heart rate is known: talk and effort lead you. "
               "Heart rate comes late: short efforts go by feel. Without power nobody can tell "
               "whether the hard parts were hard enough.";
    case WAY_FEEL_EXPECTED:
        return "No watts here: talk and effort lead you. Heart rate comes too late for efforts so "
               "short: its line above is what to expect, not what to reach. Without power nobody "
               "can tell whether the hard parts were hard enough.";
    case WAY_FEEL_NO_HEART:
        return "No watts here, and this card sets no heart rate: talk and effort lead you. Without "
               "power nobody can tell whether the hard parts were hard enough.";
    case WAY_NO_TARGET_HEART:
        return "Parts that were asked in heart rate go by feel: ask your coach.";
    case WAY_NO_BASE_TEST:
        return "Ridden without power it is a steady hour, not a base test: it can\u2019t be "
               "judged.";
    case WAY_NOT_EXPECTED:
        return "What heart rate will do can\u2019t be told: no part has a range of power.";
    case WAY_NO_RESPONSE:
        return "How your heart answers power isn\u2019t known yet, so no heart rate is expected "
               "here.";
    case WAY_RISES: return "It ends where you can\u2019t hold it: stopping there is as asked.";
    }
    return "";
}

const char *card_short_words(struct arena *arena, bool is_likely, const char *where)
{
    return arena_format(arena,
                        "By the numbers on file it %s be too much: %s. Where the range can\u2019t "
                        "be held any more, end it there and ride home easily.",
                        is_likely ? "will likely" : "may", where);
}

const char *card_caution_words(enum card_caution caution)
{
    switch (caution) {
    case CARD_ADVICE_FIRST:
        return "Medical advice first: nothing hard until the questions before hard work are "
               "answered, and a doctor has cleared what was answered yes.";
    case CARD_GUARDIAN: return "Under 18: a parent or guardian must agree first.";
    case CARD_STOP:
        return "Stop on chest pain, dizziness, faintness or unusual breathlessness, and ask a "
               "doctor before you train again.";
    case CARD_ALL_OUT: return "All-out only when well, rested, and cleared for it.";
    case CARD_TRAFFIC_HARD: return "Hard parts away from traffic, or indoors.";
    case CARD_TRAFFIC: return "Traffic comes before any number on this card.";
    case CARD_ILL: return "Fever or ill: don\u2019t ride it. Tell your coach.";
    }
    return "";
}

const char *card_ask(void)
{
    return "Afterwards, answer by number, such as \u201c1) 6 2) 4 3) 4 4) 2 5) 1\u201d:";
}

const char *card_question(struct arena *arena, enum answer answer)
{
    const struct answer_row *row = answer_row(answer);
    return arena_format(arena, "%d) %s: %s", (int)answer + 1, capital(arena, row->subject),
                        row->ends);
}

const char *card_note_label(void)
{
    return "Note:";
}

const char *card_page_words(struct arena *arena, size_t page, size_t n)
{
    return arena_format(arena, "%zu of %zu", page, n);
}

const char *card_profile_words(enum card_profile_word word)
{
    static const char *const words[] = {
        [PROFILE_WATTS] = "W",
        [PROFILE_PCT] = "%",
        [PROFILE_EFFORT] = "effort, of 10",
        [PROFILE_HEART] = "heart rate: expected, and usual days",
        [PROFILE_LEFT] = "left above critical power, kJ: likely range",
        [PROFILE_ALL_OUT] = "all-out",
        [PROFILE_BUTTON] = "Dashed line: ends with the button.",
        [PROFILE_OPEN] = "Hatched: as you like.",
        [PROFILE_NONE] = "No profile: everything ends with the button.",
        [PROFILE_WHEN] = "from",
        [PROFILE_LENGTH] = "how long",
        [PROFILE_ASKED] = "what is asked",
    };
    return words[word];
}

const char *card_profile_times(struct arena *arena, int32_t times, bool narrow)
{
    return narrow ? arena_format(arena, "%d\u00d7", (int)times) : card_times_of(arena, times);
}

const char *card_profile_label(struct arena *arena, const struct session *session)
{
    return arena_format(arena, "Profile of the session: %s", session_write(arena, session));
}
