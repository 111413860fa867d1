/* coaching/reply_scales.c: the five questions of a card, in a rider's words: effort, legs, sleep,
 * stress, soreness.
 *
 * Which word is which number is this project's choice, no source: the plain word stands for 2 or 4,
 * "very" makes it 1 or 5, and what is only denied ("not heavy") is no answer. */
#include "coaching/reply_parts.h"

#include <math.h>
#include <string.h>

static const char leg_words[] = "legs leg quads thighs";
static const char sleep_words[] = "slept sleep sleeping asleep";
static const char night_words[] = "night nights";
static const char stress_words[] = "stress stressed stressful";
static const char sore_words[] = "sore soreness achy doms";
static const char effort_words[] = "rpe effort exertion";

static const char very_words[] = "very really super so extremely incredibly totally completely";
static const char bit_words[] = "bit little slightly somewhat mildly touch";
static const char than_words[] = "than less more fewer extra";
static const char why_two[] = "two things of one: which?";
static const char why_denied[] = "says what it was not: which of 1 to 5?";
static const char why_range[] = "a range: which of the two?";
static const char why_five[] = "1 to 5 was asked";
static const char why_compared[] = "compared with something: which number?";

enum answer clause_subject(const struct clause *clause, int i)
{
    static const struct {
        const char *words;
        enum answer answer;
    } subjects[] = {
        { leg_words, ANSWER_LEGS },      { sleep_words, ANSWER_SLEEP },
        { night_words, ANSWER_SLEEP },   { stress_words, ANSWER_STRESS },
        { sore_words, ANSWER_SORENESS }, { effort_words, ANSWER_EFFORT },
    };
    for (int distance = 0; distance < (int)clause->count; distance++) {
        for (int side = 0; side < 2; side++) {
            const int j = side == 0 ? i - distance : i + distance;
            for (size_t s = 0; s < sizeof subjects / sizeof subjects[0]; s++) {
                if (clause_is(clause, j, subjects[s].words)) {
                    return subjects[s].answer;
                }
            }
        }
    }
    return ANSWERS;
}

/* ---- numbers ---- */

/* A number that stands for a scale right after the word at i: "legs 3", "legs were about 3". */
static int number_after(const struct clause *clause, int i)
{
    static const char between[] =
        "were was are is a about around of felt feel like today quality score level overall at "
        "still maybe id say i an the solid for";
    for (int j = i + 1; j < (int)clause->count; j++) {
        if (clause_is_number(clause, j)) {
            /* "legs 3 x 10 squats", "effort 250 W": no scale */
            const bool counts = clause_is(
                clause, j + 1,
                "x h hr hrs hour hours min mins minutes km w watts reps sets percent s sec times "
                "bpm kg nights weeks days");
            return counts ? NOWHERE : j;
        }
        if (!clause_is(clause, j, between)) {
            return NOWHERE;
        }
    }
    return NOWHERE;
}

/* A five-point answer given as a number beside one of the words. */
static struct found scale_number(const struct clause *clause, enum answer answer, const char *words)
{
    const int i = clause_find(clause, 0, words);
    int j = i == NOWHERE ? NOWHERE : number_after(clause, i);
    if (j == NOWHERE && i > 0 && clause_is_number(clause, i - 1) &&
        !isnan(clause->tokens[i - 1].out_of)) {
        j = i - 1; /* "3/5 legs" */
    }
    if (j == NOWHERE) {
        return found_nothing();
    }
    const struct token *token = &clause->tokens[j];
    if (clause_denies(clause, j)) {
        return found_unclear(why_denied);
    }
    if (!isnan(token->up_to)) {
        return found_unclear(why_range);
    }
    const bool of_five = isnan(token->out_of) || (token->out_of > 4.5 && token->out_of < 5.5);
    return of_five && answer_is_sound(answer, token->number) ? found_value(token->number)
                                                             : found_unclear(why_five);
}

struct found reply_effort(const struct clause *clause)
{
    static const char alone[] =
        "about around felt like a was it today ride session overall id say i so the hard for "
        "effort rpe exertion rating rated it that solid as workout training my perceived of";
    const int key = clause_find(clause, 0, effort_words);
    int at = key == NOWHERE ? NOWHERE : number_after(clause, key);
    if (key != NOWHERE && at == NOWHERE && clause_is_number(clause, key - 1)) {
        at = key - 1; /* "7 effort" */
    }
    bool only = true; /* nothing in it but how hard it was */
    for (int i = 0; i < (int)clause->count; i++) {
        const struct token *token = &clause->tokens[i];
        const bool of_ten = token->out_of > 9.5 && token->out_of < 10.5;
        only = only && (!isnan(token->number) || clause_is(clause, i, alone));
        if (key == NOWHERE && at == NOWHERE && of_ten && clause_subject(clause, i) == ANSWERS) {
            at = i;
        }
    }
    if (at == NOWHERE) {
        return found_nothing();
    }
    const struct token *token = &clause->tokens[at];
    if (key == NOWHERE && !only) {
        return found_unclear("of 10, but of what?");
    }
    if (clause_has(clause, "rep reps interval intervals first last second warm sprint sprints "
                           "climb climbs")) {
        return found_unclear("of a part of the ride; of all of it?");
    }
    if (!isnan(token->up_to)) {
        return found_unclear(why_range);
    }
    const bool of_ten = isnan(token->out_of) || (token->out_of > 9.5 && token->out_of < 10.5);
    if (!of_ten || !answer_is_sound(ANSWER_EFFORT, token->number) || clause_denies(clause, at)) {
        return found_unclear("0 to 10 was asked");
    }
    return found_value(token->number);
}

/* ---- words that stand for a number ---- */

struct scale_word {
    const char *words;
    int value;
};

static const struct scale_word legs_scale[] = {
    { "fresh great amazing fantastic excellent springy brilliant awesome flying perfect", 5 },
    { "good strong light lively nice snappy", 4 },
    { "ok okay fine alright normal average decent", 3 },
    { "heavy tired dull flat sluggish weak bad poor fatigued", 2 },
    { "dead empty shot toast toasted cooked destroyed lead wrecked trashed jelly concrete bricks "
      "terrible awful horrible wooden",
      1 },
};
static const struct scale_word sleep_scale[] = {
    { "great amazing excellent perfectly perfect fantastic brilliantly brilliant", 5 },
    { "well good soundly nicely solid", 4 },
    { "ok okay fine alright normal normally average decent decently", 3 },
    { "badly bad poorly poor rough restless broken crap crappy shit shitty lousy interrupted", 2 },
    { "terribly terrible awful awfully horribly horrible", 1 },
};

/* The value of the word at i, made stronger by "very"; 0 = it is none. */
static int scale_value(const struct clause *clause, int i, const struct scale_word scale[],
                       size_t n)
{
    for (size_t s = 0; s < n; s++) {
        if (clause_is(clause, i, scale[s].words)) {
            const bool very = clause_is(clause, i - 1, very_words);
            const int value = scale[s].value;
            return very && value == 4 ? 5 : very && value == 2 ? 1 : value;
        }
    }
    return 0;
}

/* What the scale's words in the clause say of the subject.  bad_if_denied: "didn't sleep well" is
 * plain speech for badly; "not badly" and "not heavy" are no number. */
static struct found scale_words(const struct clause *clause, enum answer answer,
                                const struct scale_word scale[], size_t n, bool bad_if_denied)
{
    int value = 0;
    for (int i = 0; i < (int)clause->count; i++) {
        int here = scale_value(clause, i, scale, n);
        if (here == 0 || clause_subject(clause, i) != answer) {
            continue;
        }
        if (clause_has(clause, than_words)) {
            return found_unclear(why_compared);
        }
        if (clause_denies(clause, i)) {
            if (!bad_if_denied || here < 4 ||
                clause_has(clause, "problem problems trouble issues")) {
                return found_unclear(why_denied);
            }
            here = 2;
        }
        if (value != 0 && value != here) {
            return found_unclear(why_two);
        }
        value = here;
    }
    return value == 0 ? found_nothing() : found_value((double)value);
}

/* Two ways of saying it must agree. */
static struct found both(struct found a, struct found b)
{
    if (a.state == FOUND_NOTHING || b.state == FOUND_NOTHING) {
        return a.state == FOUND_NOTHING ? b : a;
    }
    if (a.state == FOUND_UNCLEAR || b.state == FOUND_UNCLEAR) {
        return a.state == FOUND_UNCLEAR ? a : b;
    }
    return fabs(a.value - b.value) < 0.5 ? a : found_unclear(why_two);
}

struct found reply_legs(const struct clause *clause)
{
    if (!clause_has(clause, leg_words)) {
        return found_nothing();
    }
    const int after = clause_find(clause, 0, "after");
    if (clause_has(clause, "then later end start beginning first halfway until finally eventually "
                           "became got rep reps interval intervals climb climbs") ||
        (after != NOWHERE && clause_is_number(clause, after + 1))) {
        return scale_words(clause, ANSWER_LEGS, legs_scale,
                           sizeof legs_scale / sizeof legs_scale[0], false)
                           .state == FOUND_NOTHING
                   ? found_nothing()
                   : found_unclear("of a part of the ride; of all of it?");
    }
    return both(scale_number(clause, ANSWER_LEGS, leg_words),
                scale_words(clause, ANSWER_LEGS, legs_scale,
                            sizeof legs_scale / sizeof legs_scale[0], false));
}

/* "like a log", "hardly slept", "no sleep at all": whole sayings. */
static struct found sleep_saying(const struct clause *clause, int key)
{
    const int like = clause_find(clause, key, "like");
    if (like != NOWHERE && clause_has(clause, "baby log rock stone")) {
        return found_value(5.0);
    }
    if (clause_is(clause, key - 1, "hardly barely") || clause_is(clause, key - 1, "no zero") ||
        (clause_has(clause, "didnt couldnt") && clause_has(clause, "all wink"))) {
        return found_value(1.0);
    }
    if (clause_has(clause, "didnt couldnt cant") && clause_is(clause, key, "sleep") &&
        clause_has(clause, "much enough long")) {
        return found_unclear("how many hours?");
    }
    return found_nothing();
}

/* "slept 6 h, badly": the comma's second half still tells of the sleep. */
static bool goes_on(const struct clause *clause, const char *words)
{
    return clause->follows == ANSWER_SLEEP && clause->count == 1 && clause_is(clause, 0, words);
}

struct found reply_sleep(const struct clause *clause)
{
    if (goes_on(clause, "badly poorly terribly awfully horribly")) {
        return found_value(clause_is(clause, 0, "badly poorly") ? 2.0 : 1.0);
    }
    if (goes_on(clause, "soundly well")) {
        return found_value(4.0);
    }
    int key = clause_find(clause, 0, sleep_words);
    if (key == NOWHERE) {
        key = clause_find(clause, 0, "night");
        /* "good night" may be a greeting; "last night's ride was good" is no sleep */
        if (key == NOWHERE || !clause_is(clause, key - 1,
                                         "bad rough terrible awful horrible restless poor broken "
                                         "lousy crap crappy shit shitty decent")) {
            return found_nothing();
        }
    }
    if (clause_is(clause, key + 1, "in")) {
        return found_nothing(); /* "slept in" */
    }
    const struct found saying = sleep_saying(clause, key);
    if (saying.state != FOUND_NOTHING) {
        return saying;
    }
    struct found number = found_nothing();
    const int at = number_after(clause, key);
    if (at != NOWHERE) {
        const bool is_scale =
            !isnan(clause->tokens[at].out_of) || clause_has(clause, "quality score");
        number = is_scale ? scale_number(clause, ANSWER_SLEEP, sleep_words)
                          : found_unclear("hours, or 1 to 5?");
    }
    return both(number, scale_words(clause, ANSWER_SLEEP, sleep_scale,
                                    sizeof sleep_scale / sizeof sleep_scale[0], true));
}

struct found reply_sleep_hours(const struct clause *clause)
{
    static const char hours[] = "h hr hrs hour hours";
    const int key = clause_find(clause, 0, sleep_words);
    int at = NOWHERE;
    size_t n = 0;
    if (key == NOWHERE) {
        const int number = clause_is(clause, 0, "about around only just") ? 1 : 0;
        if (clause->follows != ANSWER_SLEEP || (int)clause->count != number + 2 ||
            !clause_is_number(clause, number) || !clause_is(clause, number + 1, hours)) {
            return found_nothing();
        }
        const double value = clause->tokens[number].number;
        return clause->is_bracket && isnan(clause->tokens[number].up_to) && value <= 16.0
                   ? found_value(value)
                   : found_unclear("hours of sleep, or of riding?");
    }
    for (int i = 0; i < (int)clause->count; i++) {
        if (clause_is_number(clause, i) && clause_is(clause, i + 1, hours)) {
            const bool near = i - key <= 3 && key - i <= 4;
            n++;
            at = near && at == NOWHERE ? i : at;
        }
    }
    if (n == 0) {
        return found_nothing();
    }
    if (at == NOWHERE || (n > 1 && !(at == key + 1 || at + 2 == key || at + 3 == key))) {
        return found_unclear("which hours are the sleep?");
    }
    const struct token *token = &clause->tokens[at];
    if (!isnan(token->up_to)) {
        return found_unclear(why_range);
    }
    if (clause_has(clause, than_words) || clause_has(clause, "nap naps") ||
        clause_denies(clause, at) || clause_has(clause, "didnt couldnt least most under over")) {
        return found_unclear("how many hours was it?");
    }
    return answer_is_sound(ANSWER_SLEEP_H, token->number) && token->number <= 16.0
               ? found_value(token->number)
               : found_unclear("how many hours was it?");
}

/* ---- stress and soreness: a degree of one thing ---- */

/* none 1, `bit` a little, `plain` the word alone, 5 very. */
static struct found degree(const struct clause *clause, int key, double bit, double plain)
{
    if (clause_has(clause, than_words)) {
        return found_unclear(why_compared);
    }
    const bool very = clause_is(clause, key - 1, very_words) ||
                      clause_is(clause, key + 1, very_words) ||
                      clause_has(clause, "huge massive extreme tons loads roof");
    const bool little = clause_has(clause, bit_words) || clause_has(clause, "some moderate medium");
    const bool low = clause_has(clause, "low");
    const bool asked = clause->topic != ANSWERS; /* "3) none" */
    if (clause_denies(clause, key) || clause_is(clause, key + 1, "none free no nope nothing")) {
        return very || little || low || clause_has(clause, "too that") ? found_unclear(why_denied)
                                                                       : found_value(1.0);
    }
    if (clause_has_denial(clause) || clause_has(clause, "hardly barely")) {
        return asked && !clause_has(clause, "too that very hardly barely")
                   ? found_value(1.0)
                   : found_unclear(why_denied);
    }
    if ((very && little) || (very && low)) {
        return found_unclear(why_two);
    }
    return found_value(very ? 5.0 : low ? 2.0 : little ? bit : plain);
}

struct found reply_stress(const struct clause *clause)
{
    const int key = clause_find(clause, 0, stress_words);
    if (key == NOWHERE || clause_is(clause, key + 1, "fracture test tests score balance relief") ||
        clause_is(clause, key - 1, "heat thermal training")) {
        return found_nothing();
    }
    const struct found number = scale_number(clause, ANSWER_STRESS, stress_words);
    if (number.state != FOUND_NOTHING) {
        return number;
    }
    if (clause->count == 2 && clause_is(clause, 0, "no")) {
        return found_unclear("a saying, or the answer?"); /* "no stress" */
    }
    /* The word alone says that it is there, not how much. */
    if (clause_is(clause, key, "stress") && !clause_has_denial(clause) &&
        !clause_has(clause,
                    "high low lot lots much huge massive extreme tons loads roof bit little "
                    "some moderate medium very really free stressed stressful")) {
        return found_unclear("how much, 1 to 5?");
    }
    return degree(clause, key, 3.0, 4.0);
}

struct found reply_soreness(const struct clause *clause)
{
    static const char places[] =
        "knee knees back neck bum butt backside saddle foot feet wrist wrists shoulder shoulders "
        "hip hips ankle achilles sit hand hands arse ass calf calves hamstring hamstrings glute "
        "glutes "
        "loser";
    const int key = clause_find(clause, 0, sore_words);
    if (key == NOWHERE || clause_has(clause, "throat")) {
        return found_nothing();
    }
    if (clause_has(clause, places)) {
        return found_unclear("one place; muscles as a whole, 1 to 5?");
    }
    const struct found number = scale_number(clause, ANSWER_SORENESS, sore_words);
    if (number.state != FOUND_NOTHING) {
        return number;
    }
    if (clause_is(clause, key - 1, "quite pretty") || clause_is(clause, key + 1, "quite pretty")) {
        return clause_denies(clause, key) ? found_unclear(why_denied) : found_value(4.0);
    }
    if (clause->topic != ANSWERS && !clause_has_denial(clause) &&
        !clause_has(clause, "bit little slightly some moderate medium low high lots very sore")) {
        return found_unclear(why_five);
    }
    return degree(clause, key, 2.0, clause_has(clause, "high") ? 4.0 : 3.0);
}
