/* tests/roster/test_store_next_any.c: whatever is on file of a rider, nothing that is proposed and
 * nothing that a coach saves without naming it passes a safe limit.
 *
 * Riders are drawn by seed.  What must hold is told by a twin of this file's own, from what was
 * drawn and not from the store: hard days two days apart, two in seven for a beginner, tests 14
 * days apart; doses of a beginner; nothing hard without the questions answered, ill, with words
 * that must be asked about, or in a break; no test near an event or in pregnancy; time, days away,
 * event days and what stands left alone; half of the usual hours coming back (limits of
 * limits/rows.def: common practice, no source). */
#include "roster/next_scene.h"

#include "base/dates.h"
#include "coaching/session_library.h"
#include "coaching/session_text.h"
#include "maths/random.h"
#include "roster/facts.h"

#include <math.h>
#include <string.h>

enum { RIDERS = 80, KNOWN_MOST = 80, AHEAD_MOST = 14, SAVES = 4 };

static struct next_scene scene;
static struct random dice;
static int n_proposed;
static int n_hard;
static int n_maximal;
static int n_efforts;
static int n_near;
static int n_saved;
static int n_refused;

static int begin(void **state)
{
    (void)state;
    dice = random_begin(14);
    scene = next_scene_begin((struct rider){ .name = "The model" });
    return 0;
}

static int end(void **state)
{
    (void)state;
    next_scene_end(&scene);
    return 0;
}

static bool one_in(uint64_t n)
{
    return random_below(&dice, n) == 0;
}

static int below(int n)
{
    return (int)random_below(&dice, (uint64_t)n);
}

/* ---- what was drawn ---- */

struct known {
    int day; /* from today */
    bool is_hard;
    bool is_maximal;
};

static struct drawn {
    bool is_beginner;
    bool may_be_hard;
    bool is_pregnant;
    bool has_medicine;
    bool is_ill;       /* today */
    bool said_illness; /* or worse, in the last days */
    int last_ride;     /* days ago; 1000 = none */
    int event;         /* days to the next of weight A or B; 1000 = none */
    int events[3];     /* [n_events] days to each, whatever its weight */
    bool is_minor[3];
    int n_events;
    const char *tests;        /* all-out efforts that were chosen; NULL = none */
    int minutes[7];           /* by weekday, Monday first; -1 = not told */
    bool is_shut[AHEAD_MOST]; /* away, an event, something stands */
    struct known days[KNOWN_MOST];
    size_t n;
} drawn;

static void know(int day, bool is_hard, bool is_maximal)
{
    check(drawn.n < KNOWN_MOST);
    drawn.days[drawn.n++] = (struct known){ day, is_hard || is_maximal, is_maximal };
}

static bool is_hard_kind(const char *kind)
{
    static const char hard[] = " threshold over-unders vo2max short-vo2max anaerobic sprint test ";
    return strstr(hard, arena_format(scene.arena, " %s ", kind)) != NULL;
}

static void draw_person(void)
{
    static const char *const choices[] = { "10s 1min", "5min 20min", "10min" };
    static int n;
    struct error err = { 0 };
    const int trained = below(3);
    const bool minor = one_in(6);
    struct rider rider = { .name = arena_format(scene.arena, "Rider %d", ++n),
                           .born_day = minor ? "2009-05-31" : "1990-05-31",
                           .training_since_day = trained == 0   ? "2026-01-01"
                                                 : trained == 1 ? "2018-01-01"
                                                                : NULL,
                           .tests = one_in(6) ? NULL : choices[one_in(2) ? 0 : below(3)] };
    drawn.tests = rider.tests;
    next_scene_rider(&scene, rider);
    drawn.is_beginner = trained != 1;
    const int answers = below(7); /* mostly clear */
    if (answers > 0) {
        next_scene_run(&scene,
                       "INSERT INTO screening (rider, day, heart_condition, chest_pain, fainting, "
                       "sudden_death_in_family, medicine, pregnancy, new_and_over_45, cleared_by, "
                       "cleared_day, version) VALUES (%lld, '2026-01-05', %s, FALSE, FALSE, FALSE, "
                       "FALSE, FALSE, FALSE, %s, 1)",
                       (long long)scene.rider.id, answers != 2 && answers != 3 ? "FALSE" : "TRUE",
                       answers == 2 ? "'Dr Lind', '2026-01-10'" : "NULL, NULL");
    }
    drawn.may_be_hard = answers > 0 && answers != 3;
    drawn.is_pregnant = one_in(8);
    drawn.has_medicine = one_in(8);
    const char *const flags[] = { drawn.is_pregnant ? "pregnant" : NULL,
                                  drawn.has_medicine ? "heart-medicine" : NULL };
    for (size_t i = 0; i < COUNT(flags); i++) {
        if (flags[i] != NULL) {
            next_scene_run(&scene,
                           "INSERT INTO flag (rider, kind, from_day, version) VALUES (%lld, '%s', "
                           "'2026-01-20', 1)",
                           (long long)scene.rider.id, flags[i]);
        }
    }
    if (!one_in(4)) {
        struct fact fact = { .day = next_scene_day(&scene, 10 + below(200)),
                             .value = 250,
                             .low = (double)NAN,
                             .high = (double)NAN };
        must(facts_set(scene.roster, scene.arena, next_now, &scene.rider, FACT_THRESHOLD, &fact,
                       &err),
             &err);
    }
}

static void draw_time(void)
{
    const bool is_told = one_in(2);
    for (int d = 0; d < 7; d++) {
        drawn.minutes[d] = is_told ? 30 * below(6) : -1;
        if (is_told) {
            next_scene_run(&scene,
                           "INSERT INTO availability (rider, from_day, weekday, seconds, place, "
                           "version) VALUES (%lld, '2026-01-01', %d, %d, 'either', 1)",
                           (long long)scene.rider.id, d + 1, 60 * drawn.minutes[d]);
        }
    }
}

static void draw_rides(void)
{
    static const char *const bases[] = { "passed", "not passed", "on the line", "cannot tell" };
    static const char *const hards[] = { "done", "started too hard", "faded", "done", "above" };
    static const char *const kinds[] = { "vo2max", "threshold", "anaerobic", "sweet-spot" };
    const int n = one_in(8) ? below(3) : 6 + below(34);
    const int from = one_in(8) ? 12 : one_in(4) ? 0 : 1;
    drawn.last_ride = 1000;
    /* A base that is built, more often than chance would have it. */
    for (int i = 0; i < n; i++) {
        const bool is_test = one_in(20);
        struct next_ride ride = { .hours = 0.5 + 0.5 * below(5),
                                  .base = i < 2        ? "passed"
                                          : one_in(60) ? bases[below(4)]
                                                       : NULL,
                                  .easy = one_in(2) ? "easy enough" : "too hard",
                                  .is_hard_day = one_in(6),
                                  .effort_0_10 = below(11),
                                  .was = !is_test    ? NULL
                                         : one_in(2) ? "test"
                                                     : "race",
                                  .best_w = one_in(4) ? 240 + below(20) : 0,
                                  .evidence = (unsigned)below(4) };
        if (one_in(3)) {
            ride.hard = hards[below(5)];
            ride.asked = one_in(3) ? NULL : kinds[below(4)];
            ride.reps = 2 + below(6);
            ride.rep_s = 60 * (1 + below(6));
        }
        const int ago = i < 2 ? 12 + 8 * i : from + below(80);
        (void)next_scene_ride(&scene, ago, ride);
        know(-ago, ride.is_hard_day, is_test);
        drawn.last_ride = ago < drawn.last_ride ? ago : drawn.last_ride;
        drawn.is_shut[0] = drawn.is_shut[0] || ago == 0;
    }
}

static void draw_words(void)
{
    static const char *const words[] = { "fever all night", "sore throat, a cold coming",
                                         "chest pain uphill", "fine", "good legs" };
    for (int i = below(3); i > 0; i--) {
        const int ago = below(14);
        const int which = below(5);
        next_scene_run(&scene,
                       "INSERT INTO day_note (rider, day, hot, dehydrated, ill, hard_day_before, "
                       "words, version) VALUES (%lld, '%s', FALSE, FALSE, FALSE, FALSE, '%s', 1)",
                       (long long)scene.rider.id, next_scene_day(&scene, ago), words[which]);
        drawn.said_illness = drawn.said_illness || (which < 3 && ago < 3);
    }
}

static void draw_off(const char *kind, int from_ago, int days)
{
    next_scene_run(&scene,
                   "INSERT INTO day_off (rider, kind, from_day, to_day, version) VALUES (%lld, "
                   "'%s', '%s', '%s', 1)",
                   (long long)scene.rider.id, kind, next_scene_day(&scene, from_ago),
                   next_scene_day(&scene, from_ago - days));
    for (int d = -from_ago; d < days - from_ago; d++) {
        if (d >= 0 && d < AHEAD_MOST) {
            drawn.is_shut[d] = true;
        }
        drawn.is_ill = drawn.is_ill || (d == 0 && strcmp(kind, "ill") == 0);
    }
}

static void draw_events(void)
{
    static const char *const weights[] = { "A", "B", "C" };
    for (int i = below(3); i > 0; i--) {
        const int day = below(20);
        const int weight = below(3);
        next_scene_run(&scene,
                       "INSERT INTO event (rider, day, name, priority, version) VALUES (%lld, "
                       "'%s', 'a race', '%s', 1)",
                       (long long)scene.rider.id, next_scene_day(&scene, -day), weights[weight]);
        if (day < AHEAD_MOST) {
            drawn.is_shut[day] = true;
        }
        drawn.event = weight < 2 && day < drawn.event ? day : drawn.event;
        drawn.is_minor[drawn.n_events] = weight == 2;
        drawn.events[drawn.n_events++] = day;
    }
}

/* As another coach's program may have left them: near each other, or too many. */
static void draw_standing(void)
{
    static const char *const states[] = { "given", "drafted", "withdrawn", "done" };
    for (int i = below(4); i > 0; i--) {
        const struct library_session *row = &session_library[below((int)session_library_count)];
        const bool is_near = drawn.n_events > 0 && one_in(2);
        const int day = is_near ? drawn.events[below(drawn.n_events)] - below(3) : below(10) - 2;
        const int state = below(4);
        struct error err = { 0 };
        must(db_run(roster_db(scene.roster),
                    "INSERT INTO session (rider, day, name, kind, words, state, version) VALUES "
                    "($1, $2, 'one', $3, $4, $5, 1)",
                    DB_ARGS(db_integer(scene.rider.id), db_text(next_scene_day(&scene, -day)),
                            db_text(row->kind), db_text(row->words), db_text(states[state])),
                    &err),
             &err);
        if (state != 2) {
            know(day, is_hard_kind(row->kind), strcmp(row->kind, "test") == 0);
        }
        if (day >= 0 && day < AHEAD_MOST && state < 2) {
            drawn.is_shut[day] = true;
        }
    }
}

static bool draw_rows(struct db *db, void *context, struct error *err)
{
    (void)db;
    (void)context;
    (void)err;
    draw_time();
    draw_rides();
    drawn.event = 1000;
    if (one_in(2)) { /* a quiet time: hard work is what remains */
        return true;
    }
    draw_words();
    if (one_in(5)) {
        draw_off("ill", 8 - below(9), 1 + below(6));
    }
    if (one_in(4)) {
        draw_off("away", 4 - below(8), 1 + below(6));
    }
    draw_events();
    draw_standing();
    return true;
}

/* ---- what must hold ---- */

static int weekday(int day)
{
    return dates_iso_week(scene.today + day).weekday - 1;
}

/* Between hard days, and how many in seven: against what was drawn and `more`. */
static void check_spacing(const char *name, int day, bool is_maximal, const struct known more[],
                          size_t n_more)
{
    bool hard[400] = { false };
    for (size_t i = 0; i < drawn.n + n_more; i++) {
        const struct known *one = i < drawn.n ? &drawn.days[i] : &more[i - drawn.n];
        const int apart = one->day > day ? one->day - day : day - one->day;
        if (one->is_hard && apart < 2) {
            fail_msg("%s on day %d: a hard day on %d", name, day, one->day);
        }
        if (is_maximal && one->is_maximal && apart < 14) {
            fail_msg("%s on day %d: a maximal one on %d", name, day, one->day);
        }
        hard[200 + one->day] = hard[200 + one->day] || one->is_hard;
    }
    hard[200 + day] = true;
    for (int from = day - 6; drawn.is_beginner && from <= day; from++) {
        int n = 0;
        for (int d = from; d < from + 7; d++) {
            n += hard[200 + d] ? 1 : 0;
        }
        if (n > 2) {
            fail_msg("%s on day %d: %d hard days in seven", name, day, n);
        }
    }
}

/* Seconds at or above 91 and to 105, to 120 and above 120 %: by hand from the steps. */
static void check_dose(const struct next_proposal *one)
{
    size_t count = 0;
    int threshold = 0;
    int vo2max = 0;
    int anaerobic = 0;
    const struct session_ridden *ridden = session_unroll(scene.arena, &one->steps, &count);
    for (size_t i = 0; i < count; i++) {
        const double pct =
            ridden[i].step->aim == AIM_PCT ? 0.5 * (ridden[i].low + ridden[i].high) : 0.0;
        threshold += pct >= 91 && pct <= 105 ? ridden[i].seconds : 0;
        vo2max += pct > 105 && pct <= 120 ? ridden[i].seconds : 0;
        anaerobic += pct > 120 ? ridden[i].seconds : 0;
    }
    check(strcmp(one->kind, "test") == 0 ||
          (threshold <= 2400 && vo2max <= 1200 && anaerobic <= 480));
}

/* The sessions of the lengths chosen. */
static const char *sessions_of(const char *tests)
{
    return strcmp(tests, "5min 20min") == 0 ? "test-5-min test-20-min"
           : strcmp(tests, "10s 1min") == 0 ? "test-sprints test-1-min"
                                            : "test-10-min";
}

static void check_item(const struct next_answer *answer, const struct next_item *item)
{
    const struct next_proposal *one = item->proposal;
    const int day = (int)(one->day - scene.today);
    const int minutes = drawn.minutes[weekday(day)];
    struct known more[NEXT_MOST];
    size_t n_more = 0;
    check(day >= 0 && day < answer->is.ahead);
    check_integer(one->rule, drawn.is_shut[day], false);
    check(one->dose.seconds <= 60 * (minutes < 0 ? 90 : minutes));
    check_integer("broken by the store's own word", (int64_t)item->n_breaches, 0);
    check(!drawn.has_medicine || strstr(one->words, "bpm") == NULL);
    n_proposed++;
    const bool is_maximal = strcmp(one->kind, "test") == 0;
    if (!is_hard_kind(one->kind)) {
        check(!one->dose.is_hard);
        return;
    }
    n_hard++;
    n_maximal += is_maximal ? 1 : 0;
    check(drawn.may_be_hard && !drawn.is_ill && !drawn.said_illness && drawn.last_ride < 10);
    check(!is_maximal || (!drawn.is_pregnant && (drawn.event > 10)));
    check(day + 1 != drawn.event && day != drawn.event && (drawn.event > 10 || day < drawn.event));
    for (int e = 0; e < drawn.n_events; e++) {
        check(day + 1 != drawn.events[e] && day != drawn.events[e]);
    }
    if (strcmp(one->rule, "effort-due") == 0) {
        n_efforts++;
        check(is_maximal && drawn.tests != NULL);
        check_text("a length that was chosen",
                   strstr(sessions_of(drawn.tests), one->session) != NULL ? "" : one->session, "");
    }
    for (size_t i = 0; i < answer->n; i++) {
        const struct next_item *other = &answer->items[i];
        if (other != item && other->number > 0 && is_hard_kind(other->proposal->kind)) {
            more[n_more++] = (struct known){ (int)(other->proposal->day - scene.today), true,
                                             strcmp(other->proposal->kind, "test") == 0 };
        }
    }
    check_spacing(one->name, day, is_maximal, more, n_more);
    if (drawn.is_beginner) {
        check_dose(one);
    }
}

/* What stands on an event's day, or hard on the day before one, or maximal within ten. */
static void check_stands(const struct next_answer *answer)
{
    for (size_t i = 0; i < answer->n_stands; i++) {
        const struct next_stands *one = &answer->stands[i];
        const int day = (int)(dates_day_number(one->row.day) - scene.today);
        for (int e = 0; e < drawn.n_events; e++) {
            const int days = drawn.events[e] - day;
            const bool is_near = !drawn.is_minor[e] &&
                                 ((days == 1 && is_hard_kind(one->row.kind)) ||
                                  (days > 0 && days <= 10 && strcmp(one->row.kind, "test") == 0));
            n_near += is_near || days == 0 ? 1 : 0;
            check(one->code != NULL || !(is_near || days == 0));
        }
    }
}

static void check_hours(const struct next_answer *answer)
{
    int64_t seconds = answer->is.planned_s;
    for (size_t i = 0; i < answer->n; i++) {
        seconds += answer->items[i].number > 0 ? answer->items[i].proposal->dose.seconds : 0;
    }
    const double usual_s = 3600 * answer->is.usual_hours * answer->is.ahead / 7.0;
    const enum next_comeback stage = answer->is.comeback;
    if (usual_s > 0 && seconds > answer->is.planned_s) {
        check(stage != NEXT_EASY_ONLY || (double)seconds <= 0.50 * usual_s);
        check(stage != NEXT_MORE || (double)seconds <= 0.75 * usual_s);
    }
    check(seconds == answer->is.planned_s ||
          (stage != NEXT_ILL && stage != NEXT_INJURED && stage != NEXT_DOCTOR));
}

/* The store takes all of them at once, and needs no name for any. */
static void check_drafting(const struct next_answer *answer)
{
    struct error err = { 0 };
    struct rider_session *rows = NULL;
    size_t n = 0;
    const char *said = NULL;
    if (answer->nothing != NULL) {
        return;
    }
    must(next_draft(scene.roster, scene.arena, next_now, &scene.rider, answer, NULL, 0, &rows, &n,
                    &said, &err),
         &err);
    for (size_t i = 0; i < n; i++) {
        check(rows[i].confirmed == NULL);
    }
    struct change_line undone = { 0 };
    must(changes_undo(scene.roster, scene.arena, next_now, 0, &undone, &err), &err);
}

/* A coach who saves whatever comes to mind, and names nothing. */
static void check_saving(void)
{
    for (int i = 0; i < SAVES; i++) {
        const struct library_session *row = &session_library[below((int)session_library_count)];
        const int day = below(AHEAD_MOST);
        struct error err = { 0 };
        struct rider_session one = { .day = next_scene_day(&scene, -day),
                                     .name = row->title,
                                     .kind = row->kind,
                                     .words = row->words,
                                     .state = one_in(2) ? "given" : "drafted" };
        const bool is_maximal = strcmp(row->kind, "test") == 0;
        if (!sessions_save(scene.roster, scene.arena, next_now, &scene.rider, &one, &err)) {
            check_integer(err.message, err.kind, ERROR_CONFLICT);
            n_refused++;
            continue;
        }
        n_saved++;
        if (is_hard_kind(row->kind)) {
            check(drawn.may_be_hard && (!drawn.is_ill || day > 0));
            check(!is_maximal || !drawn.is_pregnant);
            check_spacing(row->name, day, is_maximal, NULL, 0);
        }
        know(day, is_hard_kind(row->kind), is_maximal);
    }
}

static void test_next__whatever_is_on_file_no_safe_limit_is_passed(void **state)
{
    (void)state;
    struct error err = { 0 };
    for (int r = 0; r < RIDERS; r++) {
        struct arena *whole = scene.arena;
        scene.arena = arena_open();
        drawn = (struct drawn){ 0 };
        draw_person();
        must(db_write(roster_db(scene.roster), draw_rows, NULL, &err), &err);
        const struct next_answer *answer = next_scene_ask(&scene, 1 + below(AHEAD_MOST));
        for (size_t i = 0; i < answer->n; i++) {
            if (answer->items[i].number > 0) {
                check_item(answer, &answer->items[i]);
            }
        }
        check_hours(answer);
        check_stands(answer);
        check_drafting(answer);
        check_saving();
        arena_close(scene.arena);
        scene.arena = whole;
    }
    print_message("# %d proposed, %d of them hard, %d maximal, %d chosen; %d saved, %d refused; %d "
                  "stood in an event's way\n",
                  n_proposed, n_hard, n_maximal, n_efforts, n_saved, n_refused, n_near);
    check(n_proposed > RIDERS && n_hard > RIDERS / 10 && n_maximal > 3 && n_efforts > 1);
    check(n_near > 5);
    check(n_saved > RIDERS / 2 && n_refused > RIDERS / 2);
}

int main(int argc, char *argv[])
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_next__whatever_is_on_file_no_safe_limit_is_passed,
                                        begin, end),
    };
    if (!store_begin(argc, argv)) {
        return 0;
    }
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
