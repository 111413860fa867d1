/* cli/example_facts.c: what the coach of the example knows of the riders. */
#include "cli/example_facts.h"

#include "base/dates.h"
#include "cli/example_people.h"
#include "roster/availability.h"
#include "roster/contacts.h"
#include "roster/day_notes.h"
#include "roster/equipment.h"
#include "roster/facts.h"
#include "roster/health.h"
#include "roster/season.h"

#include <math.h>

struct adding {
    struct roster *roster;
    struct arena *arena;
    struct roster_now now;
    struct rider rider;
    const struct simulated_story *story;
    const struct example_person *person;
};

static const char *day_of(struct arena *arena, int day)
{
    int64_t first = 0;
    char text[11];
    (void)dates_parse_day(SEASON_FIRST_DAY, &first);
    dates_format_day(first + day, text);
    return arena_string(arena, text);
}

static bool set(struct adding *a, enum fact_kind kind, const char *day, double value,
                const char *protocol, struct error *err)
{
    struct fact fact = {
        .day = day, .value = value, .low = (double)NAN, .high = (double)NAN, .protocol = protocol
    };
    if (kind == FACT_THRESHOLD) {
        /* A 20-minute test of riders new to it: common practice, no source. */
        fact.low = floor(0.95 * value + 0.5);
        fact.high = floor(1.05 * value + 0.5);
    }
    fact.at_least = kind == FACT_MAX_HEART_RATE && !a->person->max_is_known;
    return facts_set(a->roster, a->arena, a->now, &a->rider, kind, &fact, err);
}

static bool add_tests(struct adding *a, const struct example_test tests[], size_t n,
                      struct error *err)
{
    double highest = 0.0;
    for (size_t i = 0; i < n; i++) {
        const bool is_twenty = !isnan(tests[i].power_w);
        if (is_twenty && !set(a, FACT_THRESHOLD, tests[i].day, floor(0.95 * tests[i].power_w + 0.5),
                              "20-minute test", err)) {
            return false;
        }
        if (!a->person->max_is_known && tests[i].heart_max_bpm > highest) {
            highest = tests[i].heart_max_bpm;
            if (!set(a, FACT_MAX_HEART_RATE, tests[i].day, highest,
                     is_twenty ? "end of a 20-minute test" : "end of all-out efforts", err)) {
                return false;
            }
        }
    }
    return true;
}

static bool add_body(struct adding *a, struct error *err)
{
    static const struct {
        int day;
        double share;
    } scales[] = { { 0, 1.012 }, { 70, 1.0 }, { 154, 0.992 }, { 231, 0.988 } };
    for (size_t i = 0; i < sizeof scales / sizeof scales[0]; i++) {
        const double kg = floor(10.0 * a->story->body_kg * scales[i].share + 0.5) / 10.0;
        if (!set(a, FACT_WEIGHT, day_of(a->arena, scales[i].day), kg, NULL, err)) {
            return false;
        }
    }
    const char *first = day_of(a->arena, 0);
    return set(a, FACT_REST_HEART_RATE, first, a->person->rest_bpm, "mornings, lying", err) &&
           (!a->person->max_is_known ||
            set(a, FACT_MAX_HEART_RATE, first, a->story->max_heart_rate_bpm - 1.0,
                "steps to exhaustion", err));
}

static bool add_equipment(struct adding *a, struct error *err)
{
    for (int i = 0; i < 2 && a->story->meters[i].serial != 0; i++) {
        const struct story_meter *meter = &a->story->meters[i];
        struct equipment item = {
            .kind = "power-meter",
            .name = i == 0 ? "meter" : "new meter",
            .serial = (int64_t)meter->serial,
            .position = a->person->meter_position,
            .sides = meter->one_sided ? "left" : "both",
            .accuracy_pct = meter->one_sided ? 2.0 : 1.5,
            .charge_hours = 80.0,
            .from_day = day_of(a->arena, 7 * meter->from_week),
            .to_day = i == 0 && a->story->meters[1].serial != 0
                          ? day_of(a->arena, 7 * a->story->meters[1].from_week)
                          : NULL,
        };
        if (!equipment_add(a->roster, a->arena, a->now, &a->rider, &item, err)) {
            return false;
        }
    }
    const bool renewed = a->story->strap_fails_to > 0;
    for (int i = 0; i < (renewed ? 2 : 1); i++) {
        const char *change = day_of(a->arena, 7 * a->story->strap_fails_to);
        struct equipment item = {
            .kind = "heart-sensor",
            .name = i == 0 ? "heart sensor" : "new strap",
            .serial = season_strap_serial(a->story, i == 1),
            .position = a->person->heart_position,
            .accuracy_pct = (double)NAN,
            .charge_hours = (double)NAN,
            .from_day = i == 0 ? day_of(a->arena, 0) : change,
            .to_day = renewed && i == 0 ? change : NULL,
        };
        if (!equipment_add(a->roster, a->arena, a->now, &a->rider, &item, err)) {
            return false;
        }
    }
    return true;
}

/* What riders answer when they answer: after every seventh ride, and around illness. */
static bool add_notes(struct adding *a, const struct season_ride rides[], size_t n,
                      struct error *err)
{
    static const char *const words[] = { "Legs felt good.",
                                         "Tired from work.",
                                         "Windy.",
                                         "Slept badly.",
                                         "Felt stronger than last time.",
                                         "Rode with friends." };
    static const double sleep[] = { 4, 3, 4, 2, 4, 3 };
    static const double legs[] = { 4, 2, 3, 3, 5, 3 };
    for (size_t i = 3; i < n; i += 7) {
        const size_t which = (i + (size_t)a->story->seed) % (sizeof words / sizeof words[0]);
        struct day_note note = { .rider = a->rider.id,
                                 .day = day_of(a->arena, rides[i].day),
                                 .answers = answers_none(),
                                 .words = words[which] };
        note.answers.value[ANSWER_SLEEP] = sleep[which];
        note.answers.value[ANSWER_LEGS] = legs[which];
        if (!rides[i].outdoors) {
            note.answers.value[ANSWER_FAN] = i % 2 == 0 ? 1.0 : 0.0;
        }
        if (season_is_caffeine(&rides[i])) {
            note.answers.value[ANSWER_CAFFEINE] = 1.0;
        }
        if (season_is_poorly(&rides[i])) {
            note.answers.value[ANSWER_ILL] = 1.0;
            note.words = "Not well: sore throat.";
        }
        if (!day_notes_add(a->roster, a->arena, a->now, &a->rider, &note, err)) {
            return false;
        }
    }
    return true;
}

static bool add_days_off(struct adding *a, struct error *err)
{
    static const char *const kinds[] = {
        [STORY_ILL] = "ill", [STORY_AWAY] = "away", [STORY_BREAK] = "injured"
    };
    for (size_t i = 0; i < STORY_SPANS; i++) {
        const struct story_span *span = &a->story->spans[i];
        if (span->kind == STORY_SPAN_NONE || span->kind == STORY_SILENT) {
            continue; /* nobody said why there is nothing */
        }
        struct day_off off = { .kind = kinds[span->kind],
                               .from_day = day_of(a->arena, span->from_day),
                               .to_day = day_of(a->arena, span->to_day) };
        if (!entries_save(a->roster, a->arena, a->now, &day_off_kind, &a->rider, &off, err)) {
            return false;
        }
    }
    return true;
}

static bool add_season(struct adding *a, struct error *err)
{
    const struct example_person *person = a->person;
    struct goal goal = { .words = person->goal,
                         .from_day = day_of(a->arena, 5),
                         .due_day = person->event_day };
    struct event event = { .day = person->event_day != NULL ? person->event_day
                                                            : day_of(a->arena, 202),
                           .name = person->event,
                           .priority = person->priority };
    struct week week = { 0 };
    if (!availability_parse(a->arena, person->week, &week, err)) {
        return false;
    }
    week.from_day = day_of(a->arena, 0);
    return entries_save(a->roster, a->arena, a->now, &goal_kind, &a->rider, &goal, err) &&
           entries_save(a->roster, a->arena, a->now, &event_kind, &a->rider, &event, err) &&
           availability_set(a->roster, a->arena, a->now, &a->rider, &week, err) &&
           add_days_off(a, err);
}

/* The questions before hard work, answered with no; under 18 a guardian's word for everything. */
static bool add_consents(struct adding *a, struct error *err)
{
    const char *first = day_of(a->arena, 0);
    const bool is_minor = health_age(a->person->born_day, first) < ADULT_YEARS;
    const char *given_by = is_minor ? "Ragna Vargalund, mother" : NULL;
    struct screening screening = { .day = first };
    struct flag agreed = { .kind = "guardian-agreed",
                           .from_day = first,
                           .note = "by phone and in writing" };
    struct consent letters = { .kind = "letters", .given_day = first, .given_by = given_by };
    struct contact talk = { .day = day_of(a->arena, a->story->seed == 108 ? 220 : 252),
                            .how = "phone",
                            .words = a->story->seed == 108 ? "No answer; left a message."
                                                           : "How the summer went; plans." };
    return health_screen(a->roster, a->arena, a->now, &a->rider, &screening, err) &&
           (!is_minor ||
            entries_save(a->roster, a->arena, a->now, &flag_kind, &a->rider, &agreed, err)) &&
           entries_save(a->roster, a->arena, a->now, &consent_kind, &a->rider, &letters, err) &&
           entries_save(a->roster, a->arena, a->now, &contact_kind, &a->rider, &talk, err);
}

bool example_facts_add(struct roster *roster, struct arena *arena, struct roster_now now,
                       size_t story, const struct example_test tests[], size_t n,
                       const struct season_ride rides[], size_t n_rides, struct error *err)
{
    struct adding a = { .roster = roster,
                        .arena = arena,
                        .now = now,
                        .story = &simulated_stories[story],
                        .person = &example_people[story] };
    a.rider = (struct rider){ .name = a.person->name,
                              .born_day = a.person->born_day,
                              .sex = a.person->sex,
                              .training_since_day = a.person->training_since_day,
                              .power_since_day = SEASON_FIRST_DAY,
                              .accepts = a.person->accepts,
                              .tests = a.person->tests,
                              .note = a.person->note };
    return riders_add(roster, arena, now, &a.rider, err) && add_body(&a, err) &&
           add_equipment(&a, err) && add_season(&a, err) && add_consents(&a, err) &&
           add_tests(&a, tests, n, err) && add_notes(&a, rides, n_rides, err);
}
