/* coaching/reply_things.c: what else a rider tells of a day: fan, heat, drink, caffeine, illness,
 * the day before.  False friends ("fan club", "hot shower", "sick of it", "a cold morning") are no
 * answers. */
#include "coaching/reply_parts.h"

#include <math.h>
#include <string.h>

static const char part_words[] =
    "halfway half until till after later end first last start only minutes min then started middle";
static const char why_part[] = "of a part of the ride; of all of it?";

struct found reply_fan(const struct clause *clause)
{
    static const char before_false[] = "big huge biggest football cycling sports massive";
    static const char after_false[] =
        "club zone of base boy mail girl art shop page favourite belt";
    const int key = clause_find(clause, 0, "fan fans");
    const bool is_ours = clause_is(clause, key - 2, "my the our"); /* "my big fan" */
    if (key == NOWHERE || (clause_is(clause, key - 1, before_false) && !is_ours) ||
        clause_is(clause, key + 1, after_false)) {
        return found_nothing();
    }
    if (clause_has(clause, part_words)) {
        return found_unclear(why_part);
    }
    if (clause_has(clause, "broke broken died stopped failed dead")) {
        return found_unclear("for all of the ride?");
    }
    if (clause_denies(clause, key) || clause_is(clause, key + 1, "off no none") ||
        clause_has(clause, "forgot missing")) {
        return clause_denies(clause, key) && clause_is(clause, key + 1, "off")
                   ? found_unclear("on or off?")
                   : found_value(0.0);
    }
    const int working = clause_find(clause, key, "on running blowing full max yes going blasting");
    if (working != NOWHERE) {
        return found_value(clause_denies(clause, working) ? 0.0 : 1.0);
    }
    if (clause_has(clause, "off")) {
        return found_value(0.0);
    }
    if (clause_has(clause, "with had used using have got") || clause_is_number(clause, key - 1)) {
        return found_value(1.0);
    }
    return found_unclear("was it on?");
}

struct found reply_hot(const struct clause *clause)
{
    static const char things[] =
        "shower bath chocolate drink drinks tub tea food headed head spot spots coffee meal water "
        "dog dogs wheels wheel take";
    static const char pace[] = "started start starting went out began came pace off going";
    int key = clause_find(clause, 0, "hot boiling sweltering roasting baking heatwave scorching");
    if (key == NOWHERE) {
        const int warm = clause_find(clause, 0, "warm");
        if (clause_is(clause, warm - 1, "too very really so super") && warm != NOWHERE) {
            key = warm;
        }
    }
    const int heat = clause_find(clause, 0, "heat");
    if (key == NOWHERE && clause_is(clause, heat - 1, "the in this") && heat != NOWHERE &&
        !clause_is(clause, heat + 1, "training pad") && !clause_is_number(clause, heat + 1)) {
        key = heat;
    }
    if (key == NOWHERE || clause_is(clause, key + 1, things) || clause_has(clause, pace)) {
        return found_nothing();
    }
    if (clause_has(clause, "than")) {
        return found_unclear("compared with something: hot or not?");
    }
    return found_value(clause_denies(clause, key) ? 0.0 : 1.0);
}

struct found reply_temperature(const struct clause *clause)
{
    static const char units[] = "degrees degree deg celsius c centigrade fahrenheit f";
    static const double WARMEST_C = 45.0; /* above it may be Fahrenheit */
    int at = NOWHERE;
    size_t n = 0;
    for (int i = 0; i < (int)clause->count; i++) {
        if (clause_is_number(clause, i) && clause_is(clause, i + 1, units)) {
            at = i;
            n++;
        }
    }
    if (n == 0 || clause_has(clause, "gradient incline slope angle turn turned")) {
        return found_nothing();
    }
    const struct token *token = &clause->tokens[at];
    if (n > 1 || !isnan(token->up_to)) {
        return found_unclear("more than one temperature: which?");
    }
    if (clause_has(clause, "warmer colder hotter cooler than more less")) {
        return found_unclear("compared with something: how many degrees?");
    }
    if (clause_has(clause, "fever body")) {
        return found_nothing(); /* the rider's own: see reply_ill */
    }
    const bool is_f =
        clause_is(clause, at + 1, "f fahrenheit") || clause_is(clause, at + 2, "f fahrenheit");
    const bool is_c = clause_is(clause, at + 1, "c celsius centigrade") ||
                      clause_is(clause, at + 2, "c celsius centigrade");
    const double value = is_f ? round((token->number - 32.0) / 0.18) / 10.0 : token->number;
    if (!is_f && !is_c && value > WARMEST_C) {
        return found_unclear("Celsius or Fahrenheit?");
    }
    return answer_is_sound(ANSWER_TEMPERATURE, value) ? found_value(value)
                                                      : found_unclear("is that the temperature?");
}

/* ---- drink and caffeine ---- */

/* Litres in the unit at i; NAN = no unit of volume. */
static double litres_of(const struct clause *clause, int i)
{
    return clause_is(clause, i, "l litre litres liter liters") ? 1.0
           : clause_is(clause, i, "ml")                        ? 0.001
           : clause_is(clause, i, "cl")                        ? 0.01
           : clause_is(clause, i, "dl")                        ? 0.1
                                                               : (double)NAN;
}

struct found reply_drink(const struct clause *clause)
{
    static const char how_large[] = "how large is it? say litres";
    static const char bottles[] = "bottle bottles bidon bidons";
    double total = (double)NAN;
    size_t n = 0;
    for (int i = 0; i < (int)clause->count; i++) {
        const double litres = litres_of(clause, i);
        if (isnan(litres)) {
            continue;
        }
        if (clause_is_number(clause, i - 1)) {
            double value = clause->tokens[i - 1].number * litres;
            /* "2 x 750 ml", "2 bottles of 750 ml", "two 500 ml bottles" */
            int times = NOWHERE;
            if (clause_is(clause, i - 2, "x") || clause_is(clause, i - 2, bottles)) {
                times = i - 3;
            } else if (clause_is(clause, i - 2, "of") && clause_is(clause, i - 3, bottles)) {
                times = i - 4;
            } else if (clause_is(clause, i + 1, bottles)) {
                times = i - 2;
            }
            if (clause_is_number(clause, times)) {
                value *= clause->tokens[times].number;
            }
            if (!isnan(clause->tokens[i - 1].up_to)) {
                return found_unclear("a range: which of the two?");
            }
            total = value;
            n++;
        } else if (clause_is(clause, i - 1, "a")) {
            total = (clause_is(clause, i - 2, "half") ? 0.5 : 1.0) * litres;
            n++;
        } else if (clause_is(clause, i - 1, "half")) {
            total = 0.5 * litres;
            n++;
        }
    }
    if (n == 0) {
        return clause_has(clause, bottles) && !clause_has(clause, "cage opener empty refill lost")
                   ? found_unclear(how_large)
                   : found_nothing();
    }
    if (n > 1) {
        return found_unclear("more than one amount: how much in all?");
    }
    if (clause_has(clause, "beer beers wine alcohol engine should supposed planned instead before "
                           "than more less only")) {
        return clause_has(clause, "engine") ? found_nothing()
                                            : found_unclear("how much was drunk on the ride?");
    }
    if (clause_has_denial(clause)) {
        return found_unclear("says what it was not: how much was it?");
    }
    return answer_is_sound(ANSWER_DRINK, total) ? found_value(total) : found_unclear(how_large);
}

struct found reply_dehydrated(const struct clause *clause)
{
    const int dry = clause_find(clause, 0, "dehydrated dehydration");
    if (dry != NOWHERE) {
        return found_value(clause_denies(clause, dry) ? 0.0 : 1.0);
    }
    const int wet = clause_find(clause, 0, "hydrated");
    if (wet != NOWHERE) {
        return clause_denies(clause, wet)                 ? found_unclear("drank too little?")
               : clause_has(clause, "well good properly") ? found_value(0.0)
                                                          : found_nothing();
    }
    if (clause_has(clause, "thirsty") && clause_has(clause, "very really so super")) {
        return found_value(1.0);
    }
    if (clause_has(clause, "beer beers wine alcohol")) {
        return found_nothing();
    }
    const int drink = clause_find(clause, 0, "drink drank drinking water");
    if (drink == NOWHERE) {
        return found_nothing();
    }
    if (clause_has(clause, "forgot") && clause_is(clause, drink, "drink drinking")) {
        return found_value(1.0);
    }
    if (clause_has(clause, "ran") && clause_has(clause, "out")) {
        return found_value(1.0);
    }
    const int enough = clause_find(clause, 0, "enough plenty");
    if (enough != NOWHERE) {
        return found_value(clause_denies(clause, enough) ? 1.0 : 0.0);
    }
    if (clause_has(clause, "nothing") ||
        (clause_has(clause, "too") && clause_has(clause, "little"))) {
        return found_value(1.0);
    }
    return found_nothing();
}

struct found reply_caffeine(const struct clause *clause)
{
    static const char usual[] = "usual normal always";
    const int key = clause_find(clause, 0, "coffee coffees caffeine espresso espressos");
    if (key == NOWHERE || clause_is(clause, key + 1,
                                    "stop stops ride rides shop shops break breaks cafe table "
                                    "morning")) {
        return found_nothing();
    }
    const bool than = clause_has(clause, "than");
    int more = NOWHERE;
    int less = NOWHERE;
    for (int i = 0; i < (int)clause->count; i++) {
        const bool near = (i - key <= 2 && key - i <= 2) || than;
        more = near && clause_is(clause, i, "more extra additional double") ? i : more;
        less = near && clause_is(clause, i, "less fewer") ? i : less;
    }
    if (clause_has(clause, "too") && clause_has(clause, "much many")) {
        more = key;
    }
    if (more != NOWHERE && less != NOWHERE) {
        return found_unclear("more or less than usual?");
    }
    if (more != NOWHERE || less != NOWHERE) {
        return clause_has_denial(clause) ? found_unclear("as usual, then?")
                                         : found_value(more != NOWHERE ? 1.0 : -1.0);
    }
    if (clause_has(clause, "skipped missed forgot")) {
        return found_value(-1.0);
    }
    if (clause_has_denial(clause)) {
        return clause_has(clause, "usual normal morning")
                   ? found_value(-1.0)
                   : found_unclear("less than usual, or never any?");
    }
    if (clause_has(clause, usual) || clause_has(clause, "same")) {
        return found_value(0.0);
    }
    if (clause_is_number(clause, key - 1) || clause_is(clause, key - 1, "strong big a some") ||
        clause->count <= 2) {
        return found_unclear("more than usual, or as usual?");
    }
    return found_nothing();
}

/* ---- illness and the day before ---- */

/* Where a word of illness stands, from `from` on; NOWHERE. */
static int illness_at(const struct clause *clause, int from)
{
    static const char words[] =
        "sick ill illness unwell fever feverish flu cough coughing throat covid vomiting vomited "
        "diarrhoea diarrhea infection tonsillitis bronchitis sinusitis";
    for (int i = from; i < (int)clause->count; i++) {
        if (clause_is(clause, i, "sick") &&
            clause_is(clause, i + 1,
                      "of climb ride view views descent kit bike jump jumps day "
                      "note leave")) {
            continue;
        }
        if (clause_is(clause, i, "ill") && clause_is(clause, i + 1, "fitting advised")) {
            continue;
        }
        if (clause_is(clause, i, words)) {
            return i;
        }
        if (clause_is(clause, i, "nose") &&
            clause_is(clause, i - 1, "runny blocked stuffy running snotty")) {
            return i;
        }
        /* "a cold", and nothing that is cold after it */
        const bool has_one =
            clause_is(clause, i - 1, "a head bad slight") &&
            (i + 1 == (int)clause->count || clause_is(clause, i + 1,
                                                      "coming since still today again for this "
                                                      "with now yet symptoms or"));
        if (clause_is(clause, i, "cold") && has_one) {
            return i;
        }
        if (clause_is(clause, i, "bug poisoning") && clause_is(clause, i - 1, "stomach food")) {
            return i;
        }
    }
    return clause_find(clause, from, "weather") != NOWHERE && clause_has(clause, "under") &&
                   from == 0
               ? clause_find(clause, 0, "under")
               : NOWHERE;
}

struct found reply_ill(const struct clause *clause)
{
    size_t said = 0;
    size_t denied = 0;
    for (int i = illness_at(clause, 0); i != NOWHERE; i = illness_at(clause, i + 1)) {
        said++;
        denied += clause_denies(clause, i) ? 1 : 0;
    }
    if (said == 0) {
        return found_nothing();
    }
    if (clause_has(clause, "hay")) {
        return found_unclear("hay fever: ill or not?");
    }
    if (clause_has(clause, "recovering recovered after over gone better getting coming might maybe "
                           "think almost nearly")) {
        return found_unclear("ill that day, or not?");
    }
    if (denied > 0 && denied < said) {
        return found_unclear("ill or not?");
    }
    return found_value(denied > 0 ? 0.0 : 1.0);
}

struct found reply_hard_before(const struct clause *clause)
{
    static const char hard[] =
        "hard tough brutal race raced racing intervals interval big epic crit smashed heavy";
    static const char easy[] = "easy rest rested off recovery";
    int day = clause_find(clause, 0, "yesterday yesterdays");
    const int before = clause_find(clause, 0, "before");
    if (day == NOWHERE && before != NOWHERE && clause_is(clause, before - 1, "day")) {
        day = before - 1;
    }
    if (day == NOWHERE || clause_has(clause, "work office job school exam exams travel flight")) {
        return day == NOWHERE || !clause_has(clause, hard)
                   ? found_nothing()
                   : found_unclear("a hard day on the bike?");
    }
    const int is_hard = clause_find(clause, 0, hard);
    const int is_easy = clause_find(clause, 0, easy);
    if (is_hard == NOWHERE && is_easy == NOWHERE) {
        return found_nothing();
    }
    if (is_hard != NOWHERE && is_easy != NOWHERE) {
        return found_unclear("hard or easy?");
    }
    if (is_easy != NOWHERE) {
        return clause_denies(clause, is_easy) ? found_unclear("was it hard?") : found_value(0.0);
    }
    const bool no_after = clause_is(clause, (int)clause->count - 1, "no nope");
    return found_value(clause_denies(clause, is_hard) || no_after ? 0.0 : 1.0);
}

bool reply_is_alarm(const struct clause *clause)
{
    const struct {
        const char *first;
        const char *second; /* NULL = the first alone */
    } signs[] = {
        { "palpitations palpitation dizzy dizziness fainted fainting lightheaded breathless "
          "breathlessness collapsed",
          NULL },
        { "chest", "pain pains tight tightness pressure hurt hurts hurting ache" },
        { "passed blacked", "out" },
        { "faint", "felt feel feeling" },
        { "heart", "racing skipping skipped fluttering flutter pounding irregular" },
        { "breath", "short out couldnt catch" },
        { "breathe", "couldnt cant hard" },
    };
    for (size_t s = 0; s < sizeof signs / sizeof signs[0]; s++) {
        const int at = clause_find(clause, 0, signs[s].first);
        if (at == NOWHERE || (signs[s].second != NULL && !clause_has(clause, signs[s].second))) {
            continue;
        }
        /* "couldn't breathe" denies nothing */
        if (!clause_denies(clause, at) || clause_has(clause, "couldnt cant")) {
            return true;
        }
    }
    return false;
}
