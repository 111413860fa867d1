/* coaching/session_step.c: one step of a session, from its words. */
#include "coaching/session_parts.h"

#include <string.h>

const char *const session_after_words[SESSION_AFTER_WORDS] = { "at",     "with", "then",
                                                               "rising", "all",  "min",
                                                               "rpm",    "and",  "times" };

/* ---- how long ---- */

static const struct {
    const char *word;
    int32_t seconds;
} units[] = {
    { "s", 1 },    { "sec", 1 },     { "second", 1 },   { "seconds", 1 },
    { "min", 60 }, { "mins", 60 },   { "minute", 60 },  { "minutes", 60 },
    { "h", 3600 }, { "hour", 3600 }, { "hours", 3600 },
};

/* 0 = no unit of time. */
static int32_t unit_of(const struct session_token *token)
{
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        if (session_word_is(token, units[i].word)) {
            return units[i].seconds;
        }
    }
    return 0;
}

static bool too_long(struct session_parse *parse, const struct session_token *number)
{
    return session_parse_fault(parse, number, "a step lasts from 1 s to 12 h", NULL);
}

/* "1 h 30 min": each unit smaller than the one before. */
static bool read_length(struct session_parse *parse, int32_t *seconds)
{
    const struct session_token first = parse->token;
    int32_t last = INT32_MAX;
    int64_t sum = 0;
    while (parse->token.kind == TOKEN_NUMBER && unit_of(&parse->next) > 0 &&
           unit_of(&parse->next) < last) {
        last = unit_of(&parse->next);
        sum += parse->token.number * last;
        if (sum > SESSION_SECONDS_MOST) {
            return too_long(parse, &first);
        }
        session_parse_step_on(parse);
        session_parse_step_on(parse);
    }
    *seconds = (int32_t)sum;
    return sum > 0 || too_long(parse, &first);
}

static bool read_until(struct session_parse *parse, int32_t *seconds)
{
    static const char *const may[] = { "the", "button" };
    session_parse_step_on(parse);
    if (session_word_is(&parse->token, "the")) {
        session_parse_step_on(parse);
    }
    if (!session_word_is(&parse->token, "button")) {
        return session_parse_unknown(parse, may, 2, "until the button");
    }
    session_parse_step_on(parse);
    *seconds = 0;
    return true;
}

static bool read_how_long(struct session_parse *parse, struct session_step *step)
{
    static const char *const starts[] = { "until", "warm", "rest", "cool", "plan", "note" };
    static const char *const times[] = { "s", "sec", "min", "minutes", "h", "hours", "times" };
    if (session_word_is(&parse->token, "until")) {
        return read_until(parse, &step->seconds);
    }
    if (parse->token.kind != TOKEN_NUMBER) {
        return session_parse_unknown(parse, starts, sizeof starts / sizeof starts[0],
                                     "a part begins with how long: 4 min, or until the button");
    }
    if (unit_of(&parse->next) == 0) {
        const bool is_end = parse->next.kind == TOKEN_END;
        const struct session_token number = parse->token;
        if (is_end || parse->next.kind != TOKEN_WORD) {
            return session_parse_fault(parse, &number, "how long is that",
                                       "say 4 min, 30 s, 1 h, or 5 times (...)");
        }
        session_parse_step_on(parse);
        return session_parse_unknown(parse, times, sizeof times / sizeof times[0],
                                     "say 4 min, 30 s, 1 h, or 5 times (...)");
    }
    return read_length(parse, &step->seconds);
}

/* ---- at what ---- */

static bool read_range(struct session_parse *parse, int32_t *low, int32_t *high)
{
    const struct session_token first = parse->token;
    if (first.kind != TOKEN_NUMBER) {
        return session_parse_unknown(parse, NULL, 0, "a number, or a range such as 106-112");
    }
    *low = (int32_t)first.number;
    *high = *low;
    session_parse_step_on(parse);
    if (parse->token.kind == TOKEN_DASH || session_word_is(&parse->token, "to")) {
        session_parse_step_on(parse);
        if (parse->token.kind != TOKEN_NUMBER) {
            return session_parse_unknown(parse, NULL, 0, "the upper end of the range");
        }
        *high = (int32_t)parse->token.number;
        session_parse_step_on(parse);
    }
    return *low <= *high ||
           session_parse_fault(parse, &first, "the range runs backwards",
                               arena_format(parse->arena, "%d-%d", (int)*high, (int)*low));
}

static bool in_range(struct session_parse *parse, const struct session_token *number,
                     const struct session_step *step, int32_t least, int32_t most, const char *unit)
{
    return (step->low >= least && step->high <= most) ||
           session_parse_fault(parse, number,
                               arena_format(parse->arena, "from %d to %d %s are taken", (int)least,
                                            (int)most, unit),
                               NULL);
}

/* "of threshold", "of maximal heart rate", "of max": after the % sign. */
static bool read_of_what(struct session_parse *parse, struct session_step *step)
{
    static const char *const may[] = { "threshold", "maximal", "max" };
    if (!session_word_is(&parse->token, "of")) {
        return true;
    }
    session_parse_step_on(parse);
    if (session_word_is(&parse->token, "threshold")) {
        session_parse_step_on(parse);
        return true;
    }
    if (!session_word_is(&parse->token, "maximal") && !session_word_is(&parse->token, "max")) {
        return session_parse_unknown(parse, may, 3, "of threshold, or of maximal heart rate");
    }
    session_parse_step_on(parse);
    if (session_word_is(&parse->token, "heart")) {
        session_parse_step_on(parse);
        if (session_word_is(&parse->token, "rate")) {
            session_parse_step_on(parse);
        }
    }
    step->aim = AIM_MAX_PCT;
    return true;
}

static bool read_unit(struct session_parse *parse, const struct session_token *number,
                      struct session_step *step)
{
    static const char *const may[] = { "W", "watts", "bpm", "beats" };
    if (parse->token.kind == TOKEN_PERCENT) {
        session_parse_step_on(parse);
        step->aim = AIM_PCT;
        if (!read_of_what(parse, step)) {
            return false;
        }
        return step->aim == AIM_PCT
                   ? in_range(parse, number, step, 1, SESSION_PCT_MOST, "% of threshold")
                   : in_range(parse, number, step, SESSION_MAX_PCT_LEAST, 100,
                              "% of maximal heart rate");
    }
    if (session_word_is(&parse->token, "w") || session_word_is(&parse->token, "watt") ||
        session_word_is(&parse->token, "watts")) {
        session_parse_step_on(parse);
        step->aim = AIM_W;
        return in_range(parse, number, step, 1, SESSION_W_MOST, "W");
    }
    if (session_word_is(&parse->token, "bpm") || session_word_is(&parse->token, "beats")) {
        session_parse_step_on(parse);
        step->aim = AIM_BPM;
        return in_range(parse, number, step, SESSION_BPM_LEAST, SESSION_BPM_MOST, "bpm");
    }
    return session_parse_unknown(parse, may, sizeof may / sizeof may[0],
                                 "% of threshold, W or bpm");
}

static bool read_effort(struct session_parse *parse, struct session_step *step)
{
    session_parse_step_on(parse);
    const struct session_token number = parse->token;
    if (!read_range(parse, &step->low, &step->high)) {
        return false;
    }
    step->aim = AIM_EFFORT;
    if (session_word_is(&parse->token, "of") && parse->next.kind == TOKEN_NUMBER &&
        parse->next.number == SESSION_EFFORT_MOST) {
        session_parse_step_on(parse);
        session_parse_step_on(parse);
    }
    return in_range(parse, &number, step, 0, SESSION_EFFORT_MOST, "of effort");
}

static bool read_at(struct session_parse *parse, struct session_step *step)
{
    static const char *const may[] = { "effort" };
    session_parse_step_on(parse);
    if (session_word_is(&parse->token, "effort")) {
        return read_effort(parse, step);
    }
    const struct session_token number = parse->token;
    if (number.kind != TOKEN_NUMBER) {
        return session_parse_unknown(parse, may, 1, "a number: at 106-112 %, or at effort 3");
    }
    return read_range(parse, &step->low, &step->high) && read_unit(parse, &number, step);
}

static bool read_rising(struct session_parse *parse, struct session_step *step)
{
    static const char *const from[] = { "from" };
    session_parse_step_on(parse);
    if (!session_word_is(&parse->token, "from")) {
        return session_parse_unknown(parse, from, 1, "rising from 40 to 140 %");
    }
    session_parse_step_on(parse);
    const struct session_token number = parse->token;
    if (!read_range(parse, &step->low, &step->high) || !read_unit(parse, &number, step)) {
        return false;
    }
    step->rises = true;
    if ((step->aim != AIM_PCT && step->aim != AIM_W) || step->seconds == 0) {
        return session_parse_fault(parse, &number,
                                   step->seconds == 0 ? "what rises has a length"
                                                      : "only % of threshold and W can rise",
                                   NULL);
    }
    return true;
}

static bool read_aim(struct session_parse *parse, struct session_step *step)
{
    static const char *const out[] = { "out" };
    if (session_word_is(&parse->token, "at")) {
        return read_at(parse, step);
    }
    if (session_word_is(&parse->token, "rising")) {
        return read_rising(parse, step);
    }
    if (session_word_is(&parse->token, "all-out")) {
        session_parse_step_on(parse);
        step->aim = AIM_ALL_OUT;
    } else if (session_word_is(&parse->token, "all")) {
        session_parse_step_on(parse);
        if (!session_word_is(&parse->token, "out")) {
            return session_parse_unknown(parse, out, 1, "all out");
        }
        session_parse_step_on(parse);
        step->aim = AIM_ALL_OUT;
    } else if (session_word_is(&parse->token, "freely")) {
        session_parse_step_on(parse);
    }
    return true;
}

/* ---- legs, words, and what part it is ---- */

static bool read_cadence(struct session_parse *parse, struct session_step *step)
{
    static const char *const may[] = { "rpm" };
    if (!session_word_is(&parse->token, "with")) {
        return true;
    }
    session_parse_step_on(parse);
    const struct session_token number = parse->token;
    if (!read_range(parse, &step->rpm_low, &step->rpm_high)) {
        return false;
    }
    if (!session_word_is(&parse->token, "rpm")) {
        return session_parse_unknown(parse, may, 1, "rpm");
    }
    session_parse_step_on(parse);
    return (step->rpm_low >= SESSION_RPM_LEAST && step->rpm_high <= SESSION_RPM_MOST) ||
           session_parse_fault(parse, &number, "from 20 to 200 rpm are taken", NULL);
}

static bool read_words(struct session_parse *parse, struct session_step *step)
{
    const struct session_token quoted = parse->token;
    if (quoted.kind == TOKEN_OTHER && *quoted.at == '"') {
        return session_parse_fault(parse, &quoted, "these quotes aren't closed", NULL);
    }
    if (quoted.kind != TOKEN_QUOTED) {
        return true;
    }
    session_parse_step_on(parse);
    if (quoted.length - 2 > SESSION_WORDS_MOST) {
        return session_parse_fault(parse, &quoted, "more than 120 letters of words", NULL);
    }
    step->words = quoted.length == 2
                      ? NULL
                      : arena_format(parse->arena, "%.*s", (int)quoted.length - 2, quoted.at + 1);
    return true;
}

static bool read_role(struct session_parse *parse, struct session_step *step)
{
    static const char *const up[] = { "up" };
    static const char *const down[] = { "down" };
    const bool warms = session_word_is(&parse->token, "warm");
    const bool cools = session_word_is(&parse->token, "cool");
    if (session_word_is(&parse->token, "warm-up") || session_word_is(&parse->token, "warmup")) {
        step->role = ROLE_WARM_UP;
    } else if (session_word_is(&parse->token, "cool-down") ||
               session_word_is(&parse->token, "cooldown")) {
        step->role = ROLE_COOL_DOWN;
    } else if (session_word_is(&parse->token, "rest")) {
        step->role = ROLE_REST;
    } else if (warms || cools) {
        step->role = warms ? ROLE_WARM_UP : ROLE_COOL_DOWN;
        session_parse_step_on(parse);
        if (!session_word_is(&parse->token, warms ? "up" : "down")) {
            return session_parse_unknown(parse, warms ? up : down, 1,
                                         warms ? "warm up" : "cool down");
        }
    }
    if (step->role != ROLE_NONE) {
        session_parse_step_on(parse);
    }
    return true;
}

bool session_parse_step(struct session_parse *parse, struct session_step *step)
{
    *step = (struct session_step){ 0 };
    return read_role(parse, step) && read_how_long(parse, step) && read_aim(parse, step) &&
           read_cadence(parse, step) && read_words(parse, step);
}
