/* cli/example_sessions.c: what the coach of the example planned. */
#include "cli/example_sessions.h"

#include "base/dates.h"
#include "cli/example_words.h"
#include "roster/season.h"
#include "roster/sessions.h"

#include <string.h>

enum {
    MOVED_WEEK = 36,   /* one ride of these riders came a day late */
    PLAN_B_WEEK = 35,  /* a lighter week: hard work was asked, and plan B ridden */
    ILL_STORY = 9,     /* whose first missed ride was called off: ill */
    AWAY_STORY = 12,   /* and this one's: no time */
    DRAFTED_STEP = 7,  /* every so many riders, a coming week that is still a draft */
    DRAFTED_FIRST = 2, /* from this one on */
};

struct planning {
    struct roster *roster;
    struct arena *arena;
    struct roster_now now;
    struct rider rider;
    size_t story;
    struct season_ride *rides; /* [n] planned */
    size_t n;
};

static const char *day_text(struct arena *arena, int day)
{
    int64_t first = 0;
    char text[11];
    (void)dates_parse_day(SEASON_FIRST_DAY, &first);
    dates_format_day(first + day, text);
    return arena_string(arena, text);
}

static bool is_free(const struct planning *p, int day)
{
    bool is = true;
    for (size_t i = 0; i < p->n; i++) {
        is = is && p->rides[i].day != day;
    }
    return is;
}

static bool is_easy(const struct season_ride *ride)
{
    return ride->outing == SIMULATED_OUTING_EASY || ride->outing == SIMULATED_OUTING_TOO_HARD;
}

/* Stories whose coming week isn't drafted yet, so that something is proposed for it: a test, a base
 * test, hard work after a start that was too hard, and an effort more. */
static bool is_undrafted(size_t story)
{
    static const size_t stories[] = { 1, 4, 12, 13 };
    bool is = false;
    for (size_t i = 0; i < sizeof stories / sizeof stories[0]; i++) {
        is = is || stories[i] == story;
    }
    return is;
}

/* Asked for the day before it was ridden. */
static bool is_moved(const struct planning *p, const struct season_ride *ride)
{
    return ride->day / 7 == MOVED_WEEK && p->story % 3 != 0 && !ride->missed && is_easy(ride) &&
           is_free(p, ride->day - 1);
}

static bool is_plan_b(const struct planning *p, const struct season_ride *ride)
{
    return ride->day / 7 == PLAN_B_WEEK && p->story % 2 == 0 && !ride->missed &&
           ride->meant != ride->outing;
}

static bool is_first_missed(const struct planning *p, const struct season_ride *ride)
{
    for (size_t i = 0; i < p->n; i++) {
        if (p->rides[i].missed) {
            return &p->rides[i] == ride;
        }
    }
    return false;
}

/* Whether a safe limit refuses it; else the names of what it goes past, which this coach knows. */
static bool hold(struct planning *p, struct rider_session *row, bool *refused, struct error *err)
{
    struct safe_breach breaches[SAFE_BREACHES];
    size_t n = 0;
    if (!sessions_safe(p->roster, p->arena, &p->rider, row, breaches, &n, err)) {
        return false;
    }
    *refused = false;
    row->confirmed = NULL;
    for (size_t i = 0; i < n; i++) {
        *refused = *refused || breaches[i].is_refused;
        row->confirmed = row->confirmed == NULL
                             ? breaches[i].name
                             : arena_format(p->arena, "%s %s", row->confirmed, breaches[i].name);
    }
    return true;
}

/* What a limit refuses becomes an easy ride. */
static bool save(struct planning *p, const struct example_session *asked, int day,
                 const char *state, const char *why, struct error *err)
{
    bool refused = false;
    struct rider_session row = { .day = day_text(p->arena, day),
                                 .name = asked->name,
                                 .kind = asked->kind,
                                 .words = asked->words,
                                 .state = state,
                                 .why = why };
    if (!hold(p, &row, &refused, err)) {
        return false;
    }
    if (refused) {
        struct example_session easy;
        example_words_easy(p->arena, &easy);
        row.name = easy.name;
        row.kind = easy.kind;
        row.words = easy.words;
        if (!hold(p, &row, &refused, err)) {
            return false;
        }
    }
    return sessions_save(p->roster, p->arena, p->now, &p->rider, &row, err);
}

static bool begin(struct planning *p, int from_week, int to_week, struct error *err)
{
    season_planned(p->arena, &simulated_stories[p->story], from_week, to_week, &p->rides, &p->n);
    return riders_find(p->roster, p->arena, simulated_stories[p->story].name, &p->rider, err);
}

static bool add_ill(struct planning *p, int day, struct error *err)
{
    struct day_off off = { .kind = "ill",
                           .from_day = day_text(p->arena, day),
                           .to_day = day_text(p->arena, day + 1),
                           .note = "sore throat" };
    return entries_save(p->roster, p->arena, p->now, &day_off_kind, &p->rider, &off, err);
}

static bool save_past(struct planning *p, const struct season_ride *ride, struct error *err)
{
    struct example_session asked;
    struct season_ride meant = *ride;
    const bool called_off =
        (p->story == ILL_STORY || p->story == AWAY_STORY) && is_first_missed(p, ride);
    const bool ill = called_off && p->story == ILL_STORY;
    meant.outing = is_plan_b(p, ride) ? ride->meant : ride->outing;
    if (!example_words(p->arena, &meant, &asked)) {
        return true;
    }
    const char *why = ill          ? "Called off: sore throat. Easy again once well for two days."
                      : called_off ? "Called off: no time that day."
                      : ride->number % 2 == 0 ? asked.meant_for
                                              : NULL;
    const char *state = called_off ? "withdrawn" : ride->missed ? "given" : "done";
    return save(p, &asked, ride->day - (is_moved(p, ride) ? 1 : 0), state, why, err) &&
           (!ill || add_ill(p, ride->day, err));
}

bool example_sessions_past(struct roster *roster, struct arena *arena, struct roster_now now,
                           size_t story, struct error *err)
{
    struct planning p = { .roster = roster, .arena = arena, .now = now, .story = story };
    bool done = begin(&p, EXAMPLE_PLANNED_FROM, SEASON_WEEKS, err);
    for (size_t i = 0; done && i < p.n; i++) {
        done = save_past(&p, &p.rides[i], err);
    }
    return done;
}

static bool is_silent(const struct simulated_story *story)
{
    bool is = false;
    for (int i = 0; i < STORY_SPANS; i++) {
        is = is || story->spans[i].kind == STORY_SILENT;
    }
    return is;
}

bool example_sessions_coming(struct roster *roster, struct arena *arena, struct roster_now now,
                             size_t story, struct error *err)
{
    struct planning p = { .roster = roster, .arena = arena, .now = now, .story = story };
    bool done = begin(&p, SEASON_WEEKS, SEASON_WEEKS + 1, err);
    const bool drafted = story % DRAFTED_STEP == DRAFTED_FIRST;
    for (size_t i = 0; done && i < p.n; i++) {
        struct example_session asked;
        /* A lighter week keeps its first hard session. */
        struct season_ride ride = p.rides[i];
        ride.outing = i == 0 && ride.outing == SIMULATED_OUTING_EASY ? ride.meant : ride.outing;
        done = is_silent(ride.story) || is_undrafted(story) ||
               !example_words(arena, &ride, &asked) ||
               save(&p, &asked, ride.day, drafted ? "drafted" : "given", asked.meant_for, err);
    }
    return done;
}
