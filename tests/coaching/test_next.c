/* What is proposed for the coming days.
 *
 * Expected values: a table of situations and what a coach would propose, by the rules of
 * coaching/next.h (common practice, no source); and the property that whatever the situation, no
 * proposal breaks a safe limit (coaching/safe), and nothing hard is proposed without the questions
 * before hard work. */
#include "check.h"

#include "coaching/next.h"
#include "coaching/session_library.h"
#include "coaching/session_text.h"
#include "maths/random.h"

#include <string.h>

static struct arena *arena;
static struct limits limits;

static int begin(void **state)
{
    (void)state;
    arena = arena_open();
    limits = limits_default();
    return 0;
}

static int end(void **state)
{
    (void)state;
    arena_close(arena);
    return 0;
}

/* Whoever it is: 2 h on each day, well, screened, first year. */
static struct rider_facts facts;

static struct next_case usual(void)
{
    facts = facts_unknown();
    facts.threshold_w = 200;
    facts.age_y = 30;
    facts.training_y = 0;
    facts.screened = SCREENED_ALL_NO;
    struct next_case c = { .base = NEXT_BUILT,
                           .base_test_days = 20,
                           .hard = NEXT_HARD_DONE,
                           .hard_session = "vo2max",
                           .hard_done = 1,
                           .event_days = -1,
                           .facts = &facts,
                           .today = 1000 };
    for (int d = 0; d < NEXT_DAYS_MOST; d++) {
        c.free_s[d] = 7200;
    }
    return c;
}

/* "rule:session+2/change", by day from today; no day: "rule". */
static const char *said(const struct next_case *c)
{
    struct next_proposal out[NEXT_MOST];
    struct text text = text_begin(arena, 4000);
    const size_t n = next_propose(arena, c, &limits, out);
    for (size_t i = 0; i < n; i++) {
        text_add_format(&text, "%s%s", i > 0 ? " " : "", out[i].rule);
        if (out[i].session != NULL) {
            text_add_format(&text, ":%s+%d", out[i].session, (int)(out[i].day - c->today));
        }
        if (out[i].change != NEXT_AS_IT_IS) {
            text_add_format(&text, "/%s", next_change_name(out[i].change));
        }
        check(strlen(out[i].why) > 10 && strlen(out[i].source) > 5);
    }
    return text.bytes;
}

static void add_event(struct next_case *c, int away, bool is_minor)
{
    struct next_event *events = ARENA_ARRAY(arena, struct next_event, c->n_events + 1);
    if (c->n_events > 0) {
        memcpy(events, c->events, c->n_events * sizeof *events);
    }
    events[c->n_events++] = (struct next_event){ c->today + away, is_minor };
    c->events = events;
}

/* "300,60" */
static void add_tests(struct next_case *c, const char *words)
{
    int32_t *tests = ARENA_ARRAY(arena, int32_t, 10);
    for (const char *at = words; at != NULL; at = strchr(at, ',')) {
        at += *at == ',' ? 1 : 0;
        tests[c->n_tests++] = atoi(at);
    }
    c->tests = tests;
}

/* What differs from the usual: words of this test alone, "base=building test=40 ill". */
static bool set(struct next_case *c, const char *word)
{
    static const char *const bases[] = { "not-tested", "building", "to-confirm", "built",
                                         "out-of-date" };
    static const char *const hards[] = { "none", "done", "too-fast", "fell", "faded" };
    static const char *const backs[] = { "well", "doctor",   "ill", "easy-only",
                                         "more", "one-hard", "test" };
    const char *value = strchr(word, '=');
    value = value == NULL ? "" : value + 1;
    const int number = atoi(value);
    bool known = true;
    if (strncmp(word, "base=", 5) == 0) {
        for (int i = 0; i < 5; i++) {
            c->base = strcmp(bases[i], value) == 0 ? (enum next_base)i : c->base;
        }
    } else if (strncmp(word, "hard=", 5) == 0) {
        for (int i = 0; i < 5; i++) {
            c->hard = strcmp(hards[i], value) == 0 ? (enum next_hard)i : c->hard;
        }
        c->hard_session = c->hard == NEXT_HARD_NONE ? NULL : c->hard_session;
    } else if (strncmp(word, "back=", 5) == 0) {
        for (int i = 0; i < 7; i++) {
            c->comeback = strcmp(backs[i], value) == 0 ? (enum next_comeback)i : c->comeback;
        }
    } else if (strncmp(word, "test=", 5) == 0) {
        c->base_test_days = number;
    } else if (strncmp(word, "of=", 3) == 0) {
        c->hard_session = arena_format(arena, "%s", value);
    } else if (strncmp(word, "done=", 5) == 0) {
        c->hard_done = number;
    } else if (strncmp(word, "event=", 6) == 0) {
        c->event_days = number;
        add_event(c, number, false);
    } else if (strncmp(word, "race=", 5) == 0) { /* a later one */
        add_event(c, number, false);
    } else if (strncmp(word, "minor=", 6) == 0) {
        add_event(c, number, true);
    } else if (strncmp(word, "days=", 5) == 0) {
        c->ahead = number;
    } else if (strncmp(word, "tests=", 6) == 0) {
        add_tests(c, value);
    } else if (strcmp(word, "missed") == 0) {
        c->missed = true;
    } else if (strncmp(word, "no-hard=", 8) == 0) {
        c->weeks_without_hard = number;
    } else if (strncmp(word, "weeks=", 6) == 0) {
        c->weeks_since_lighter = number;
    } else if (strncmp(word, "years=", 6) == 0) {
        facts.training_y = number;
    } else if (strncmp(word, "free=", 5) == 0) { /* days of the week with time: "0246" */
        for (int d = 0; d < NEXT_DAYS_MOST; d++) {
            c->free_s[d] = strchr(value, '0' + d) != NULL && d < 7 ? 7200 : 0;
        }
    } else if (strncmp(word, "minutes=", 8) == 0) {
        for (int d = 0; d < NEXT_DAYS_MOST; d++) {
            c->free_s[d] = 60 * number;
        }
    } else if (strcmp(word, "test-due") == 0) {
        c->test_due = true;
    } else if (strcmp(word, "stalled") == 0) {
        c->stalled = true;
    } else if (strcmp(word, "easy-too-hard") == 0) {
        c->easy_too_hard = true;
    } else if (strcmp(word, "today-high") == 0) {
        c->today_high = true;
    } else if (strcmp(word, "caution") == 0) {
        c->caution_open = true;
    } else if (strcmp(word, "jump") == 0) {
        c->week_jump = true;
    } else if (strcmp(word, "often") == 0) {
        c->hard_often = true;
    } else if (strcmp(word, "hard-unknown") == 0) {
        c->hard_session = NULL;
    } else if (strncmp(word, "usual=", 6) == 0) {
        c->usual_hours = number;
    } else if (strncmp(word, "planned=", 8) == 0) { /* minutes that stand */
        c->planned_s = 60 * number;
    } else if (strcmp(word, "unscreened") == 0) {
        facts.screened = SCREENED_NOT;
    } else if (strcmp(word, "not-cleared") == 0) {
        facts.screened = SCREENED_YES;
    } else if (strcmp(word, "cleared") == 0) {
        facts.screened = SCREENED_CLEARED;
    } else if (strcmp(word, "pregnant") == 0) {
        facts.pregnant = true;
    } else if (strncmp(word, "hard-on=", 8) == 0 || strncmp(word, "tested-on=", 10) == 0) {
        struct safe_day *day = ARENA_ARRAY(arena, struct safe_day, c->n_days + 1);
        if (c->n_days > 0) {
            memcpy(day, c->days, c->n_days * sizeof *day);
        }
        day[c->n_days++] = (struct safe_day){ c->today + number, true, word[0] == 't' };
        c->days = day;
    } else {
        known = false;
    }
    return known;
}

static struct next_case situation(const char *words)
{
    struct next_case c = usual();
    char *save = NULL;
    for (char *word = strtok_r(arena_format(arena, "%s", words), " ", &save); word != NULL;
         word = strtok_r(NULL, " ", &save)) {
        check_text(word, set(&c, word) ? word : "not known to this test", word);
    }
    return c;
}

static const char *of_situation(const char *words)
{
    const struct next_case c = situation(words);
    return said(&c);
}

#include "next_situations.h"

static void test_next__situations_have_their_proposals(void **state)
{
    (void)state;
    check(COUNT(situations) >= 60);
    for (size_t i = 0; i < COUNT(situations); i++) {
        check_text(situations[i].is, of_situation(situations[i].is), situations[i].proposes);
    }
}

static bool one_in(struct random *dice, uint64_t n)
{
    return random_below(dice, n) == 0;
}

static struct next_case any_case(struct random *dice, struct safe_day days[4])
{
    static const char *const last[] = { "vo2max", "threshold", "anaerobic", "over-unders", NULL };
    struct next_case c = usual();
    facts.screened = (enum screened)random_below(dice, 4);
    facts.training_y = (double)random_below(dice, 3);
    facts.age_y = one_in(dice, 5) ? 16 : 40;
    facts.pregnant = one_in(dice, 6);
    facts.heart_medicine = one_in(dice, 6);
    facts.day.ill = one_in(dice, 8);
    c.base = (enum next_base)random_below(dice, NEXT_BASES);
    c.base_test_days = (int)random_below(dice, 80) - 1;
    c.hard = (enum next_hard)random_below(dice, NEXT_HARDS);
    c.hard_session = last[random_below(dice, 5)];
    c.hard_done = (int)random_below(dice, 4);
    c.hard_reps = one_in(dice, 2) ? (int)random_below(dice, 8) : 0;
    c.hard_from = one_in(dice, 4) ? c.today + (int64_t)random_below(dice, 6) : 0;
    c.ask_first = one_in(dice, 8);
    c.comeback =
        one_in(dice, 2) ? NEXT_WELL : (enum next_comeback)random_below(dice, NEXT_COMEBACKS);
    c.test_due = one_in(dice, 3);
    c.stalled = one_in(dice, 4);
    c.easy_too_hard = one_in(dice, 4);
    c.today_high = one_in(dice, 4);
    c.caution_open = one_in(dice, 6);
    c.week_jump = one_in(dice, 4);
    c.hard_often = one_in(dice, 4);
    c.usual_hours = one_in(dice, 3) ? 0.0 : 1.0 + 10.0 * random_uniform(dice);
    c.planned_s = one_in(dice, 2) ? 0 : (int32_t)random_below(dice, 4) * 1800;
    if (one_in(dice, 3)) {
        const struct library_session *row =
            &session_library[random_below(dice, session_library_count)];
        c.hard_words = row->words;
        c.hard_name = row->title;
    }
    c.weeks_since_lighter = (int)random_below(dice, 6);
    for (int i = (int)random_below(dice, 4); i > 0; i--) {
        const int away = (int)random_below(dice, 40);
        const bool is_minor = one_in(dice, 3);
        add_event(&c, away, is_minor);
        c.event_days = !is_minor && (c.event_days < 0 || away < c.event_days) ? away : c.event_days;
    }
    c.missed = one_in(dice, 8);
    c.weeks_without_hard = (int)random_below(dice, 6);
    for (int i = (int)random_below(dice, 4); i > 0; i--) {
        static const char *const lengths[] = { "10", "15", "60", "300", "600", "1200" };
        add_tests(&c, lengths[random_below(dice, 6)]);
    }
    for (int d = 0; d < NEXT_DAYS_MOST; d++) {
        c.free_s[d] = (int32_t)random_below(dice, 8) * 1800;
    }
    c.n_days = random_below(dice, 5);
    for (size_t i = 0; i < c.n_days; i++) {
        days[i] = (struct safe_day){ c.today - 10 + (int64_t)random_below(dice, 17),
                                     one_in(dice, 2), false };
        days[i].is_maximal = days[i].is_hard && one_in(dice, 3);
    }
    c.days = days;
    return c;
}

/* All that is proposed and stands, against a share of the usual hours (limits/rows.def). */
static void check_hours(const struct next_case *c, const struct next_proposal out[], size_t n)
{
    const bool near = c->event_days >= 0 && c->event_days <= 10;
    const bool lighter = c->weeks_since_lighter >= 3;
    const double share = c->comeback == NEXT_EASY_ONLY ? 0.50
                         : c->comeback == NEXT_MORE    ? 0.75
                         : near                        ? 0.50
                         : lighter                     ? 0.60
                         : c->week_jump                ? 1.00
                                                       : 1000.0;
    double seconds = 0.0;
    for (size_t i = 0; i < n; i++) {
        seconds += out[i].session == NULL ? 0 : out[i].dose.seconds;
    }
    check(c->usual_hours <= 0.0 || seconds <= 0.0 ||
          seconds + c->planned_s <= 3600.0 * share * c->usual_hours);
}

/* Events, tests and hard days among all that is proposed, counted by hand. */
static void check_together(const struct next_case *c, const struct next_proposal out[], size_t n)
{
    int hard = 0;
    int maximal = 0;
    for (size_t i = 0; i < n; i++) {
        const bool is_maximal = out[i].session != NULL && strcmp(out[i].kind, "test") == 0;
        const bool is_hard = out[i].session != NULL && out[i].dose.is_hard;
        hard += is_hard ? 1 : 0;
        maximal += is_maximal ? 1 : 0;
        check(!is_hard || !c->missed || c->comeback != NEXT_WELL);
        check(strcmp(out[i].rule, "effort-due") != 0 ||
              (c->n_tests > 0 && is_maximal && c->comeback == NEXT_WELL && !c->test_due));
        for (size_t e = 0; out[i].session != NULL && e < c->n_events; e++) {
            const int64_t away = c->events[e].day - out[i].day;
            check(away != 0 && (!is_hard || away != 1));
            check(!is_maximal || c->events[e].is_minor || away < 0 || away > 10);
        }
    }
    check(maximal <= 1);
    check(c->weeks_without_hard < 3 || hard <= 1);
}

/* Each proposal against all others and what was ridden, as if it were the last to come. */
static void test_next__no_proposal_breaks_a_safe_limit(void **state)
{
    (void)state;
    enum { CASES = 5000 };
    struct random dice = random_begin(13);
    int hard = 0;
    for (int k = 0; k < CASES; k++) {
        struct arena *outer = arena;
        struct safe_day known[4];
        struct next_proposal out[NEXT_MOST];
        struct safe_day all[NEXT_MOST + 4];
        arena = arena_open();
        const struct next_case c = any_case(&dice, known);
        const size_t n = next_propose(arena, &c, &limits, out);
        check_hours(&c, out, n);
        check_together(&c, out, n);
        for (size_t i = 0; i < n; i++) {
            size_t others = c.n_days;
            struct session session;
            struct session_fault fault;
            struct safe_breach breaches[SAFE_BREACHES];
            if (out[i].session == NULL) {
                check(out[i].day == INT64_MIN);
                continue;
            }
            check(out[i].day >= c.today && out[i].day < c.today + 7);
            memcpy(all, known, c.n_days * sizeof all[0]);
            for (size_t o = 0; o < n; o++) {
                if (o != i && out[o].session != NULL) {
                    check(session_read(arena, out[o].words, &session, &fault));
                    check(out[o].day != out[i].day);
                    all[others++] =
                        safe_day_of(arena, &session, out[o].kind, out[o].day, 200, &limits);
                }
            }
            check(session_read(arena, out[i].words, &session, &fault));
            check(session_is_same(&session, &out[i].steps));
            check(out[i].dose.seconds <= c.free_s[out[i].day - c.today]);
            const struct safe_case safe = {
                &session, out[i].kind, out[i].day, &facts, all, others
            };
            check_integer(out[i].rule, (int64_t)safe_find(arena, &safe, &limits, breaches), 0);
            const bool is_hard = safe_day_of(arena, &session, out[i].kind, 0, 200, &limits).is_hard;
            hard += is_hard ? 1 : 0;
            check(!is_hard ||
                  (!c.caution_open && !facts.day.ill &&
                   (facts.screened == SCREENED_ALL_NO || facts.screened == SCREENED_CLEARED)));
            check(!is_hard || (!c.ask_first && out[i].day >= c.hard_from));
            check(!is_hard || (c.comeback != NEXT_ILL && c.comeback != NEXT_INJURED &&
                               c.comeback != NEXT_DOCTOR && c.comeback != NEXT_EASY_ONLY &&
                               c.comeback != NEXT_MORE));
        }
        arena_close(arena);
        arena = outer;
    }
    check(hard > CASES / 20);
}

/* The session that a change makes of another, by hand from what next_session.h says of it. */
static void test_next_session__a_change_is_made_to_the_steps(void **state)
{
    (void)state;
    static const char vo2max[] = "warm up 15 min at 50 %\n3 times (30 s at 100 %, 90 s at 50 %)\n4 "
                                 "times (4 min at 106-112 %, rest 4 min at 50 %)\ncool down 10 min";
    static const char shorts[] = "2 times (9 times (30 s at 110-120 %, 30 s), rest 5 min)";
    static const char easy[] = "10 min at 55 %\n75 min at 65-72 %\n5 min at 45 %\nplan B: 45 min";
#define WARM "warm up 15 min at 50 %\n3 times (30 s at 100 %, 90 s at 50 %)\n"
#define COOL "\ncool down 10 min"
    static const struct {
        const char *name;
        const char *words;
        struct next_shape shape;
        const char *made; /* NULL = it can't be made */
    } rows[] = {
        { "as it is",
          vo2max,
          { .change = NEXT_AS_IT_IS },
          WARM "4 times (4 min at 106-112 %, rest 4 min at 50 %)" COOL },
        { "a third of each effort capped",
          vo2max,
          { .change = NEXT_CAP_START },
          WARM "4 times (80 s at 106-109 %, 2 min 40 s at 106-112 %, rest 4 min at 50 %)" COOL },
        { "a third of short ones capped",
          shorts,
          { .change = NEXT_CAP_START },
          "2 times (3 times (30 s at 110-115 %, 30 s), then 6 times (30 s at 110-120 %, 30 s), "
          "rest 5 "
          "min)" },
        { "a step lower",
          vo2max,
          { .change = NEXT_LOWER },
          WARM "4 times (80 s at 104-107 %, 2 min 40 s at 104-110 %, rest 4 min at 50 %)" COOL },
        { "an effort fewer",
          vo2max,
          { .change = NEXT_FEWER },
          WARM "3 times (4 min at 106-112 %, rest 4 min at 50 %)" COOL },
        { "of two blocks the efforts",
          shorts,
          { .change = NEXT_FEWER },
          "2 times (8 times (30 s at 110-120 %, 30 s), rest 5 min)" },
        { "an effort more",
          vo2max,
          { .change = NEXT_ONE_MORE },
          WARM "5 times (4 min at 106-112 %, rest 4 min at 50 %)" COOL },
        { "more than was asked last",
          vo2max,
          { .change = NEXT_ONE_MORE, .reps = 5, .low_pct = 108, .high_pct = 114 },
          WARM "6 times (4 min at 108-114 %, rest 4 min at 50 %)" COOL },
        { "a step harder",
          vo2max,
          { .change = NEXT_HARDER },
          WARM "4 times (4 min at 108-114 %, rest 4 min at 50 %)" COOL },
        { "a cap on an easy ride",
          easy,
          { .change = NEXT_CAP_EASY },
          "10 min at 55 %\n75 min at 65-72 % \"never above 75 %, uphill too\"\n5 min at 45 %\nplan "
          "B: 45 min" },
        { "shorter",
          easy,
          { .change = NEXT_SHORTER, .share = 0.6 },
          "10 min at 55 %\n35 min at 65-72 %\n5 min at 45 %\nplan B: 45 min" },
        { "a plan B longer than what is left",
          easy,
          { .change = NEXT_SHORTER, .share = 0.5 },
          "10 min at 55 %\n30 min at 65-72 %\n5 min at 45 %" },
        { "one block",
          shorts,
          { .change = NEXT_SHORTER },
          "1 times (9 times (30 s at 110-120 %, 30 s), rest 5 min)" },
        { "cut to the day's time",
          easy,
          { .most_s = 3600 },
          "10 min at 55 %\n45 min at 65-72 %\n5 min at 45 %\nplan B: 45 min" },
        { "less about the efforts",
          vo2max,
          { .most_s = 3300 },
          "warm up 12 min at 50 %\n3 times (30 s at 100 %, 90 s at 50 %)\n4 times (4 min at "
          "106-112 %, rest 4 min at 50 %)\ncool down 5 min" },
        { "by feel",
          easy,
          { .by_feel = true },
          "10 min at effort 2-3\n75 min at effort 3-4\n5 min at effort 2-3\nplan B: 45 min" },
        { "as long as was asked",
          vo2max,
          { .change = NEXT_ONE_MORE, .reps = 5, .rep_s = 180 },
          WARM "6 times (3 min at 106-112 %, rest 4 min at 50 %)" COOL },
        { "of efforts with parts the library's length",
          "3 times (3 times (2 min at 92 %, 1 min at 107 %), 5 min)",
          { .change = NEXT_FEWER, .rep_s = 180 },
          "2 times (3 times (2 min at 92 %, 1 min at 107 %), 5 min)" },
        { "no effort to take away", easy, { .change = NEXT_FEWER }, NULL },
        { "no range to lower", easy, { .change = NEXT_LOWER }, NULL },
        { "no session", "15 mn", { .change = NEXT_AS_IT_IS }, NULL },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct session session;
        const char *made = NULL;
        const bool done =
            next_session_make(arena, rows[i].words, &rows[i].shape, &limits, &session, &made);
        check_text(rows[i].name, done ? made : "none",
                   rows[i].made == NULL ? "none" : rows[i].made);
        check_text(rows[i].name, done ? session_write(arena, &session) : "none",
                   rows[i].made == NULL ? "none" : rows[i].made);
    }
}

/* The first proposal after a session that was given: its words, by hand. */
static void test_next__what_follows_starts_from_what_was_given(void **state)
{
    (void)state;
#define GIVEN "20 min at 60 %\n5 times (3 min at 108-114 %, 3 min at 50 %)\ncool down 8 min"
    static const char once[] = "20 min at 60 %\n20 min at 95-100 %\n10 min at 50 %";
    const struct {
        const char *is;
        const char *given;
        const char *name;
        const char *words;
        const char *how;
    } rows[] = {
        { "done=1", GIVEN, "Mill hills, 5 x 3 min", GIVEN, "" },
        { "done=2", GIVEN, "Mill hills, an effort more",
          "20 min at 60 %\n6 times (3 min at 108-114 %, 3 min at 50 %)\ncool down 8 min",
          "An effort more than last time." },
        { "hard=faded", GIVEN, "Mill hills, an effort fewer",
          "20 min at 60 %\n4 times (3 min at 108-114 %, 3 min at 50 %)\ncool down 8 min",
          "An effort fewer than last time." },
        { "hard=fell", GIVEN, "Mill hills, a step lower",
          "20 min at 60 %\n5 times (1 min at 106-109 %, 2 min at 106-112 %, 3 min at 50 "
          "%)\ncool down 8 min",
          "The range is a step lower, and the first third capped at its middle." },
        { "hard=faded", once, "VO2max, an effort fewer",
          "warm up 15 min at 50-65 %\n3 times (30 s at 100 % with 95-105 rpm, 90 s at 50 %)\n3 "
          "times (4 min at 106-112 % \"first minute no harder than the last\", rest 4 min at 50 "
          "%)\ncool down 10 min at 45 %\nplan B with bad legs: 45 min at 50-60 %",
          "An effort fewer than the library's session." },
        { "stalled", GIVEN, "Threshold, 3 x 10 min", session_library_find("threshold")->words, "" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct next_case c = usual();
        struct next_proposal out[NEXT_MOST];
        c.hard_words = rows[i].given;
        c.hard_name = "Mill hills, 5 x 3 min";
        check(set(&c, rows[i].is));
        check(next_propose(arena, &c, &limits, out) > 0);
        check_text(rows[i].is, out[0].name, rows[i].name);
        check_text(rows[i].is, out[0].words, rows[i].words);
        check_text(rows[i].is, out[0].how == NULL ? "" : out[0].how, rows[i].how);
    }
#undef GIVEN
}

/* Said only of what a rule asked for: what the rules themselves forbid is no news. */
static void test_next__what_is_left_out_is_said(void **state)
{
    (void)state;
    static const struct {
        const char *is;
        const char *rules; /* blanks between */
    } rows[] = {
        { "tests=300", "" },
        { "tests=300 tested-on=-5", "effort-due" },
        { "tests=300 tested-on=9", "effort-due" },
        { "tests=300 event=12", "effort-due" },
        { "tests=300 event=5", "" },
        { "tests=300 pregnant", "" },
        { "tests=300 unscreened", "" },
        { "tests=300 test-due", "" },
        { "no-hard=3 tests=300", "" },
        { "missed tests=300 test-due", "" },
        { "tests=300 minutes=30", "effort-due done-once" },
        { "test-due tested-on=-5", "test-due" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct next_case c = situation(rows[i].is);
        struct next_plan plan;
        struct text text = text_begin(arena, 1000);
        next_make(arena, &c, &limits, &plan);
        for (size_t k = 0; k < plan.n_left; k++) {
            text_add_format(&text, "%s%s", k > 0 ? " " : "", plan.left[k].rule);
            check(strlen(plan.left[k].why) > 20);
        }
        check_text(rows[i].is, text.bytes, rows[i].rules);
    }
}

/* What stands, and no longer fits: by the rules of next.h. */
static void test_next__what_stands_and_no_longer_fits_is_said(void **state)
{
    (void)state;
    static const struct {
        const char *is;
        struct next_standing one; /* .day from today */
        const char *code;
    } rows[] = {
        { "", { .day = 2, .is_hard = true }, "" },
        { "back=ill", { .day = 2 }, "ill" },
        { "back=doctor", { .day = 2 }, "doctor" },
        { "", { .day = 2, .is_off = true }, "off" },
        { "event=5", { .day = 5 }, "event-day" },
        { "event=5", { .day = 4, .is_hard = true }, "event-near" },
        { "event=5", { .day = 3, .is_hard = true }, "" },
        { "event=5", { .day = 2, .is_hard = true, .is_maximal = true }, "event-near" },
        { "event=5", { .day = 6, .is_hard = true, .is_maximal = true }, "" },
        { "event=5 race=9", { .day = 8, .is_hard = true }, "event-near" },
        { "event=5 race=9", { .day = 7, .is_hard = true }, "" },
        { "event=5 race=9", { .day = 9 }, "event-day" },
        { "event=5 race=9", { .day = 6, .is_hard = true, .is_maximal = true }, "event-near" },
        { "event=5 race=30", { .day = 19, .is_hard = true, .is_maximal = true }, "" },
        { "event=5 race=30", { .day = 20, .is_hard = true, .is_maximal = true }, "event-near" },
        { "minor=4", { .day = 4 }, "event-day" },
        { "minor=4", { .day = 3, .is_hard = true, .is_maximal = true }, "" },
        { "event=5 minor=4", { .day = 4, .is_hard = true }, "event-day" },
        { "event=5 minor=4", { .day = 3, .is_hard = true }, "" },
        { "caution", { .day = 2, .is_hard = true }, "ask-first" },
        { "caution", { .day = 2 }, "" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct next_case c = situation(rows[i].is);
        struct next_standing one = rows[i].one;
        const char *words = NULL;
        one.day += c.today;
        const char *code = next_unfit(&c, &one, &limits, &words);
        check_text(rows[i].is, code == NULL ? "" : code, rows[i].code);
        check(code == NULL || strlen(words) > 10);
    }
    struct next_case back = usual();
    const struct next_standing hard = { .day = 1003, .is_hard = true };
    const char *words = NULL;
    back.hard_from = 1004;
    check_text("coming back", next_unfit(&back, &hard, &limits, &words), "coming-back");
    back.hard_from = 1003;
    check(next_unfit(&back, &hard, &limits, &words) == NULL);
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, begin, end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(test_next__situations_have_their_proposals),
        TEST(test_next__no_proposal_breaks_a_safe_limit),
        TEST(test_next_session__a_change_is_made_to_the_steps),
        TEST(test_next__what_follows_starts_from_what_was_given),
        TEST(test_next__what_is_left_out_is_said),
        TEST(test_next__what_stands_and_no_longer_fits_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
