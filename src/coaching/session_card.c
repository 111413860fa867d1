/* coaching/session_card.c: a session as one card. */
#include "coaching/session_card.h"

#include "coaching/rider_cautions.h"
#include "coaching/session_library.h"
#include "coaching/session_text.h"
#include "coaching/words/card_words.h"
#include "coaching/words/outlook_words.h"

#include <math.h>
#include <string.h>

/* ---- making it ---- */

struct list {
    const char **items;
    size_t n;
    size_t capacity;
};

struct maker {
    struct arena *arena;
    const struct card_asked *asked;
    const struct limits *limits;
    struct session_card *card;
    bool reads_heart; /* heart rate may be said at all */
    size_t part_capacity;
    bool heart_left_out; /* a part asked in heart rate goes by feel */
};

static void add(struct arena *arena, struct list *list, const char *words)
{
    list->items = arena_grow(arena, list->items, list->n, &list->capacity, sizeof *list->items);
    list->items[list->n++] = words;
}

/* ---- what heart rate will do ---- */

/* Worth saying of a part: it lasts, or it is an effort that heart rate has to come up for. */
static bool says_heart(const struct maker *maker, const struct outlook_part *part)
{
    const double threshold_w = maker->asked->facts->threshold_w;
    const bool is_effort =
        100.0 * part->power_w >= maker->limits->value[LIMIT_KIND_TEMPO_LOW_PCT] * threshold_w;
    return !isnan(part->settled_bpm) || part->comes_up || (part->is_after_dark && is_effort);
}

/* First and last time that the step is ridden and heart rate can be told; false where none of them
 * is worth it. */
static bool find_heart(const struct maker *maker, const struct session_step *step,
                       struct card_heart *out)
{
    const struct session_outlook *outlook = maker->asked->outlook;
    bool found = false;
    bool says = false;
    if (step->seconds < maker->limits->value[LIMIT_CARD_SHORT_S] || step->rises ||
        step->role != ROLE_NONE) {
        return false;
    }
    for (size_t i = 0; i < outlook->n_parts; i++) {
        const struct outlook_part *part = &outlook->parts[i];
        if (outlook->ridden[i].step != step || isnan(part->end_bpm)) {
            continue;
        }
        says = says || says_heart(maker, part);
        const bool is_steady = !isnan(part->settled_bpm);
        if (!found) {
            *out = (struct card_heart){ .first_bpm = is_steady ? part->settled_bpm : part->end_bpm,
                                        .low_bpm = part->low_bpm,
                                        .high_bpm = part->high_bpm,
                                        .reads_low_s = (double)NAN,
                                        .seconds = step->seconds,
                                        .is_steady = is_steady };
            found = true;
        }
        out->last_bpm = part->end_bpm;
        out->low_bpm = fmin(out->low_bpm, part->low_bpm);
        out->high_bpm = fmax(out->high_bpm, part->high_bpm);
        out->reads_low_s = fmax(out->reads_low_s, part->reads_low_s); /* NAN is passed over */
    }
    return says;
}

static bool is_told(const struct maker *maker)
{
    return maker->asked->outlook->heart == OUTLOOK_HEART_TOLD;
}

/* Without power: shares of heart rate's reserve, or of its maximum where rest isn't known. */
static const char *heart_range(const struct maker *maker, const struct session_step *step,
                               const struct session_feel *feel)
{
    const struct rider_facts *facts = maker->asked->facts;
    const double *limit = maker->limits->value;
    const double most = facts->max_heart_rate_bpm;
    const double rest = facts->rest_heart_rate_bpm;
    /* Where the rider's own response is known it speaks: the shares are for people at large. */
    if (isnan(most) || is_told(maker) || !maker->reads_heart || maker->card->by_power ||
        step->rises || feel->talk == TALK_UNKNOWN || feel->talk > TALK_FEW ||
        (step->seconds > 0 && step->seconds < limit[LIMIT_CARD_HEART_S])) {
        return NULL;
    }
    const struct zones reserve = zones_of_reserve();
    const bool by_reserve = rest < most;
    const double base = by_reserve ? rest : 0.0;
    /* very light and light; moderate; vigorous */
    const double pct[] = { by_reserve ? reserve.upper_pct[1] : limit[LIMIT_CARD_MODERATE_MAX_PCT],
                           by_reserve ? reserve.upper_pct[2] : limit[LIMIT_CARD_VIGOROUS_MAX_PCT],
                           by_reserve ? reserve.upper_pct[3] : limit[LIMIT_CARD_NEAR_MAX_PCT] };
    const size_t above = feel->talk == TALK_FREELY ? 0 : feel->talk == TALK_SENTENCES ? 1 : 2;
    const double low = above == 0 ? (double)NAN : base + (most - base) * pct[above - 1] / 100.0;
    return card_heart_range_words(maker->arena, low, base + (most - base) * pct[above] / 100.0);
}

/* ---- its parts ---- */

/* First and last time that the step is ridden; of what rises, its first and last rung. */
static struct card_feel feel_of(const struct maker *maker, const struct session_step *step)
{
    const struct session_outlook *outlook = maker->asked->outlook;
    struct card_feel feel = { .rises = step->rises };
    bool found = false;
    for (size_t i = 0; i < outlook->n_parts; i++) {
        if (outlook->ridden[i].step == step) {
            feel.first = found ? feel.first : outlook->parts[i].feel;
            feel.last = outlook->parts[i].feel;
            found = true;
        }
    }
    return feel;
}

/* What is asked, as strong letters have it; *beside: the same in another measure. */
static const char *ask_words(struct maker *maker, const struct session_step *step,
                             const char **beside)
{
    const struct session_card *card = maker->card;
    const double threshold = card->threshold_w;
    const double most = maker->asked->facts->max_heart_rate_bpm;
    const double low = step->low;
    const double high = step->high;
    *beside = NULL;
    switch (step->aim) {
    case AIM_PCT:
        if (!card->by_power) {
            return "";
        }
        *beside = isnan(threshold) ? NULL : card_range(maker->arena, AIM_PCT, low, high);
        return isnan(threshold) ? card_range(maker->arena, AIM_PCT, low, high)
                                : card_range(maker->arena, AIM_W, low * threshold / 100.0,
                                             high * threshold / 100.0);
    case AIM_W:
        if (!card->by_power) {
            return "";
        }
        *beside = isnan(threshold) ? NULL
                                   : card_range(maker->arena, AIM_PCT, 100.0 * low / threshold,
                                                100.0 * high / threshold);
        return card_range(maker->arena, AIM_W, low, high);
    case AIM_BPM:
    case AIM_MAX_PCT:
        if (!maker->reads_heart) {
            maker->heart_left_out = true;
            return "";
        }
        if (step->aim == AIM_BPM || isnan(most)) {
            return card_range(maker->arena, step->aim, low, high);
        }
        *beside = card_range(maker->arena, AIM_MAX_PCT, low, high);
        return card_range(maker->arena, AIM_BPM, low * most / 100.0, high * most / 100.0);
    case AIM_ALL_OUT: return card_range(maker->arena, AIM_ALL_OUT, 0, 0);
    case AIM_EFFORT: /* said by how it feels */
    case AIM_FREE:
    case AIMS: break;
    }
    return "";
}

static void add_piece(struct text *out, const char *before, const char *words)
{
    if (words != NULL && words[0] != '\0') {
        text_add_format(out, "%s%s", out->length > 0 ? before : "", words);
    }
}

static struct card_part *part_begin(struct maker *maker, int depth)
{
    struct session_card *card = maker->card;
    card->parts = arena_grow(maker->arena, card->parts, card->n_parts, &maker->part_capacity,
                             sizeof *card->parts);
    struct card_part *part = &card->parts[card->n_parts++];
    *part = (struct card_part){ .depth = depth };
    return part;
}

/* A block of the profile may be too narrow for its number. */
static const char *zone_words(const struct maker *maker, const struct session_step *step)
{
    const double threshold = maker->card->threshold_w;
    const double middle = 0.5 * ((double)step->low + (double)step->high);
    if (!maker->card->by_power || !(threshold > 0.0) || step->rises ||
        (step->aim != AIM_PCT && step->aim != AIM_W)) {
        return NULL;
    }
    const double whole = step->aim == AIM_W ? threshold : 100.0; /* exact on an edge */
    return card_zone(maker->arena, 1 + zones_of(maker->card->zones, middle, whole));
}

static void add_step(struct maker *maker, const struct session_step *step, int depth)
{
    enum { REST_CAP = 2000 };
    struct arena *arena = maker->arena;
    const char *beside = NULL;
    const char *ask = ask_words(maker, step, &beside);
    struct card_part *part = part_begin(maker, depth);
    const bool all_out = step->aim == AIM_ALL_OUT;
    const char *how = all_out ? " " : step->rises && ask[0] != '\0' ? ", rising, " : " at ";
    part->lead = ask[0] == '\0' ? card_length(arena, step)
                                : arena_format(arena, "%s%s%s", card_length(arena, step), how, ask);
    const struct card_feel feel = feel_of(maker, step);
    struct text rest = text_begin(arena, REST_CAP);
    add_piece(&rest, ", ", beside);
    add_piece(&rest, ", ", zone_words(maker, step));
    add_piece(&rest, ", ",
              step->rpm_high > 0 ? card_rpm(arena, step->rpm_low, step->rpm_high) : NULL);
    if (rest.length > 0) {
        text_add(&rest, ".");
    }
    add_piece(&rest, " ", step->rises ? card_rises() : NULL);
    add_piece(&rest, " ", card_feel_words(arena, &feel));
    add_piece(&rest, " ", step->aim == AIM_FREE ? card_free() : NULL);
    if (step->words != NULL) {
        add_piece(&rest, " ", arena_format(arena, "\u201c%s\u201d", step->words));
    }
    part->rest = rest.length > 0 ? rest.bytes : NULL;
    struct card_heart heart;
    part->heart = find_heart(maker, step, &heart) ? card_heart_words(arena, &heart)
                                                  : heart_range(maker, step, &feel.last);
}

/* Depth is at most SESSION_DEPTH_MOST. */
static void add_items(struct maker *maker, const struct session_item items[], size_t n, int depth)
{
    for (size_t i = 0; i < n; i++) {
        if (items[i].times == 0) {
            add_step(maker, &items[i].step, depth);
            continue;
        }
        struct card_part *part = part_begin(maker, depth);
        part->repeats = true;
        part->lead = card_times(maker->arena, items[i].times);
        add_items(maker, items[i].items, items[i].n_items, depth + 1);
    }
}

/* ---- plan B and notes ---- */

static const char *plan_words(struct maker *maker, const struct session_line *line);

static void add_lines(struct maker *maker)
{
    struct list plans = { 0 };
    struct list notes = { 0 };
    for (size_t i = 0; i < maker->asked->session->n_lines; i++) {
        const struct session_line *line = &maker->asked->session->lines[i];
        switch (line->kind) {
        case LINE_BLOCK: add_items(maker, line->items, line->n_items, 0); break;
        case LINE_PLAN_B: add(maker->arena, &plans, plan_words(maker, line)); break;
        case LINE_NOTE: add(maker->arena, &notes, line->words); break;
        }
    }
    maker->card->plan_b = plans.items;
    maker->card->n_plan_b = plans.n;
    maker->card->notes = notes.items;
    maker->card->n_notes = notes.n;
}

static void plan_items(struct maker *maker, const struct session_item items[], size_t n,
                       struct text *out)
{
    for (size_t i = 0; i < n; i++) {
        text_add(out, i == 0 ? "" : ", ");
        if (items[i].times > 0) {
            text_add_format(out, "%s (", card_times_of(maker->arena, items[i].times));
            plan_items(maker, items[i].items, items[i].n_items, out);
            text_add(out, ")");
            continue;
        }
        const struct session_step *step = &items[i].step;
        const char *beside = NULL;
        const char *ask = ask_words(maker, step, &beside);
        const struct session_feel feel =
            session_feel_alone(step, maker->asked->facts->threshold_w,
                               maker->asked->facts->max_heart_rate_bpm, maker->limits);
        text_add(out, card_length_within(maker->arena, step));
        if (ask[0] != '\0') {
            text_add_format(out, "%s%s", step->aim == AIM_ALL_OUT ? " " : " at ", ask);
        } else if (feel.talk != TALK_UNKNOWN) {
            text_add_format(out, " at %s", card_effort(maker->arena, &feel));
        }
    }
}

static const char *plan_words(struct maker *maker, const struct session_line *line)
{
    struct text out = text_begin(maker->arena, 16 * SESSION_BYTES_MOST);
    text_add_format(&out, "%s: ", card_plan_when(maker->arena, line->words));
    plan_items(maker, line->items, line->n_items, &out);
    text_add(&out, ".");
    return out.bytes;
}

/* ---- what stands over it ---- */

static void add_alarms(struct maker *maker, const struct session_dose *dose, struct list *alarms)
{
    const struct rider_facts *facts = maker->asked->facts;
    const bool is_hard =
        dose->is_hard || dose->is_maximal || session_kind_is_hard(maker->asked->kind);
    if (is_hard && !rider_cautions_allow_hard(facts)) {
        add(maker->arena, alarms, card_caution_words(CARD_ADVICE_FIRST));
    }
    if (facts->age_y < ADULT_YEARS && !facts->guardian_agreed) {
        add(maker->arena, alarms, card_caution_words(CARD_GUARDIAN));
    }
}

static void add_cautions(struct maker *maker, const struct session_dose *dose, struct list *list)
{
    const bool is_hard = dose->hard_s > 0 || session_kind_is_hard(maker->asked->kind);
    add(maker->arena, list, card_caution_words(CARD_STOP));
    if (dose->is_maximal) {
        add(maker->arena, list, card_caution_words(CARD_ALL_OUT));
    }
    add(maker->arena, list, card_caution_words(is_hard ? CARD_TRAFFIC_HARD : CARD_TRAFFIC));
    add(maker->arena, list, card_caution_words(CARD_ILL));
}

static bool has_range_of_heart(const struct session_card *card)
{
    for (size_t i = 0; i < card->n_parts; i++) {
        if (card->parts[i].heart != NULL) {
            return true;
        }
    }
    return false;
}

/* As the card's own sentences have it: "can\u2019t". */
static const char *typeset(struct arena *arena, const char *words)
{
    struct text out = text_begin(arena, 3 * strlen(words) + 1);
    for (const char *c = words; *c != '\0'; c++) {
        if (*c == '\'') {
            text_add(&out, "\u2019");
        } else {
            text_add_bytes(&out, c, 1);
        }
    }
    return out.bytes;
}

/* The outlook's own sentence. */
static void add_said(struct maker *maker, struct list *ways, const struct outlook_said said[],
                     size_t n, const char *name)
{
    for (size_t i = 0; i < n; i++) {
        if (strcmp(said[i].name, name) == 0) {
            add(maker->arena, ways, typeset(maker->arena, said[i].words));
        }
    }
}

/* What to do where W' will be short: the coach has the numbers, the rider a rule. */
static void add_feasible(struct maker *maker, struct list *ways)
{
    const struct session_outlook *outlook = maker->asked->outlook;
    if (!maker->card->by_power || outlook->is_past) {
        return;
    }
    if (outlook->verdict == OUTLOOK_MAY_NOT || outlook->verdict == OUTLOOK_LIKELY_NOT) {
        add(maker->arena, ways,
            card_short_words(maker->arena, outlook->verdict == OUTLOOK_LIKELY_NOT,
                             words_outlook_short(maker->arena, outlook)));
    } else if (outlook->verdict == OUTLOOK_RISES) {
        add(maker->arena, ways, card_way_words(WAY_RISES));
    }
}

static void add_ways(struct maker *maker, struct list *ways)
{
    const struct session_card *card = maker->card;
    enum card_way way = WAY_POWER;
    if (card->by_power) {
        way = !maker->reads_heart                            ? WAY_POWER_NO_HEART
              : strcmp(maker->asked->kind, "base-test") == 0 ? WAY_BASE_TEST
                                                             : WAY_POWER;
    } else {
        way = !maker->reads_heart        ? WAY_FEEL_NO_HEART
              : has_range_of_heart(card) ? WAY_HEART
              : is_told(maker)           ? WAY_FEEL_EXPECTED
                                         : WAY_FEEL;
    }
    add(maker->arena, ways, card_way_words(way));
    if (maker->heart_left_out) {
        add(maker->arena, ways, card_way_words(WAY_NO_TARGET_HEART));
    }
    const struct session_outlook *outlook = maker->asked->outlook;
    if (!card->by_power && strcmp(maker->asked->kind, "base-test") == 0) {
        add(maker->arena, ways, card_way_words(WAY_NO_BASE_TEST));
    }
    if (card->by_power && outlook->heart == OUTLOOK_HEART_NO_POWER) {
        add(maker->arena, ways, card_way_words(WAY_NOT_EXPECTED));
    }
    if (card->by_power && outlook->heart == OUTLOOK_HEART_NO_RESPONSE) {
        add(maker->arena, ways, card_way_words(WAY_NO_RESPONSE));
    }
    add_said(maker, ways, outlook->missing, outlook->n_missing, "heart-parts");
    add_feasible(maker, ways);
}

static bool asks_watts(const struct maker *maker)
{
    for (size_t i = 0; i < maker->asked->outlook->n_parts; i++) {
        if (maker->asked->outlook->ridden[i].step->aim == AIM_W) {
            return true;
        }
    }
    return false;
}

static bool has_open_end(const struct maker *maker)
{
    for (size_t i = 0; i < maker->asked->outlook->n_parts; i++) {
        if (maker->asked->outlook->ridden[i].seconds == 0) {
            return true;
        }
    }
    return false;
}

struct session_card session_card_make(struct arena *arena, const struct card_asked *asked,
                                      const struct limits *limits)
{
    const struct rider_facts *facts = asked->facts;
    struct session_card card = { .title = asked->name,
                                 .day = asked->day,
                                 .under = card_under(arena, asked->day, asked->rider),
                                 .prepare = card_prepare(asked->kind),
                                 .why = asked->why,
                                 .ask = card_ask(),
                                 .session = asked->session,
                                 .threshold_w = asked->no_power ? (double)NAN : facts->threshold_w,
                                 .zones = &facts->zones,
                                 .outlook = asked->outlook };
    struct maker maker = { .arena = arena,
                           .asked = asked,
                           .limits = limits,
                           .card = &card,
                           .reads_heart = facts_read_heart(facts) };
    card.by_power = !asked->no_power && (!isnan(card.threshold_w) || asks_watts(&maker));
    const struct session_dose dose = asked->outlook->dose;
    card.about = card_about(arena, dose.seconds, dose.hard_s, has_open_end(&maker));
    add_lines(&maker);
    struct list alarms = { 0 };
    struct list ways = { 0 };
    struct list cautions = { 0 };
    add_alarms(&maker, &dose, &alarms);
    add_ways(&maker, &ways);
    add_cautions(&maker, &dose, &cautions);
    card.alarms = alarms.items;
    card.n_alarms = alarms.n;
    card.ways = ways.items;
    card.n_ways = ways.n;
    card.cautions = cautions.items;
    card.n_cautions = cautions.n;
    for (int q = 0; q < CARD_QUESTIONS; q++) {
        card.questions[q] = card_question(arena, (enum answer)q);
    }
    return card;
}
