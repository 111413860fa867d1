/* tests/roster/test_store_next.c: what is proposed for the coming days, gathered from the store.
 *
 * Expected values: by hand, from the rides and words put down below and the rules of
 * coaching/next.h, coaching/comeback.h and coaching/safe.h (common practice, no source).  Every
 * case asks for what is proposed, for the sentence that says why, and that asking wrote nothing. */
#include "roster/next_scene.h"

#include "base/dates.h"
#include "coaching/session_library.h"
#include "roster/attention_marks.h"
#include "roster/availability.h"
#include "roster/day_notes.h"
#include "roster/facts.h"
#include "roster/health.h"
#include "roster/season.h"

#include <math.h>
#include <string.h>

static struct next_scene scene;

/* Trained for years, screened, 250 W tested three weeks ago. */
static int begin(void **state)
{
    struct error err = { 0 };
    struct screening none = { .day = "2026-01-05" };
    (void)state;
    scene = next_scene_begin((struct rider){
        .name = "Ada Berg", .born_day = "1990-05-31", .training_since_day = "2020-01-01" });
    struct fact threshold = { .day = next_scene_day(&scene, 21),
                              .value = 250,
                              .low = 240,
                              .high = 260,
                              .protocol = "20-minute test" };
    must(health_screen(scene.roster, scene.arena, next_now, &scene.rider, &none, &err), &err);
    must(facts_set(scene.roster, scene.arena, next_now, &scene.rider, FACT_THRESHOLD, &threshold,
                   &err),
         &err);
    return 0;
}

static int end(void **state)
{
    (void)state;
    next_scene_end(&scene);
    return 0;
}

/* Three rides of 1.5 h in each of the ten weeks before, on Tuesday, Thursday and Saturday; one
 * alone in the week before last, so that no lighter week is due; base tests passed six and four
 * weeks ago.  `last` is Tuesday's of last week, six days ago. */
static void season(struct next_ride last)
{
    for (int week = 1; week <= 10; week++) {
        for (int ride = 0; ride < (week == 2 ? 1 : 3); ride++) {
            struct next_ride one = { .hours = 1.5 };
            if (ride == 0 && (week == 4 || week == 6)) {
                one.base = "passed";
            }
            if (ride == 0 && week == 1) {
                one = last;
                one.hours = 1.5;
            }
            (void)next_scene_ride(&scene, 7 * week - 1 - 2 * ride, one);
        }
    }
}

static const char vo2max[] =
    "warm up 15 min at 50-65 %\n5 times (3 min at 108-114 %, rest 3 min at "
    "50 %)\ncool down 10 min at 45 %";

static struct rider_session give(int days_ago, const char *kind, const char *words,
                                 const char *state)
{
    struct error err = { 0 };
    struct rider_session row = { .day = next_scene_day(&scene, days_ago),
                                 .name = "VO2max, 5 x 3 min",
                                 .kind = kind,
                                 .words = words,
                                 .state = state,
                                 .confirmed = "safe_hard_gap_h" };
    must(sessions_save(scene.roster, scene.arena, next_now, &scene.rider, &row, &err), &err);
    return row;
}

static void undo(void)
{
    struct error err = { 0 };
    struct change_line undone = { 0 };
    must(changes_undo(scene.roster, scene.arena, next_now, 0, &undone, &err), &err);
}

static void say(int days_ago, const char *words)
{
    struct error err = { 0 };
    struct day_note note = { .day = next_scene_day(&scene, days_ago),
                             .answers = answers_none(),
                             .words = words };
    must(day_notes_add(scene.roster, scene.arena, next_now, &scene.rider, &note, &err), &err);
}

/* Half open: from..to days ago. */
static void off(const char *kind, int from_ago, int to_ago)
{
    struct error err = { 0 };
    struct day_off row = { .kind = kind,
                           .from_day = next_scene_day(&scene, from_ago),
                           .to_day = next_scene_day(&scene, to_ago) };
    must(entries_save(scene.roster, scene.arena, next_now, &day_off_kind, &scene.rider, &row, &err),
         &err);
}

static void race(int in_days, const char *priority)
{
    struct error err = { 0 };
    struct event row = { .day = next_scene_day(&scene, -in_days),
                         .name = "Three Lakes",
                         .priority = priority };
    must(entries_save(scene.roster, scene.arena, next_now, &event_kind, &scene.rider, &row, &err),
         &err);
}

static const struct next_answer *ask(void)
{
    return next_scene_ask(&scene, 0);
}

static void expect(const char *name, const struct next_answer *answer, const char *proposed,
                   const char *why)
{
    const char *told = next_scene_told(&scene, answer);
    check_text(name, next_scene_proposed(&scene, answer), proposed);
    check_text(name, strstr(told, why) != NULL ? why : told, why);
}

static const struct next_ride done = { .hard = "done", .is_hard_day = true };

static void test_next__the_session_that_was_done_is_given_once_more(void **state)
{
    (void)state;
    season(done);
    (void)give(6, "vo2max", vo2max, "done");
    const struct next_answer *answer = ask();
    expect("done once", answer,
           "done-once:vo2max+0 easy-rides:base-ride+1 done-once:vo2max+2 easy-rides:base-ride+3 "
           "easy-rides:base-ride+4",
           "The last hard work was VO2max, 5 x 3 min, on Tuesday 10 March 2026: done.");
    check_text("word for word", answer->items[0].proposal->words, vo2max);
    check_text("its name", answer->items[0].proposal->name, "VO2max, 5 x 3 min");
    expect("time", answer, next_scene_proposed(&scene, answer), "90 min on any day was assumed");
    expect("caution", answer, next_scene_proposed(&scene, answer), "Stop on chest pain");
    check_integer("weeks since a lighter one", answer->is.weeks_since_lighter, 1);
}

static void test_next__done_twice_grows_by_one_effort(void **state)
{
    (void)state;
    season(done);
    (void)next_scene_ride(&scene, 9, done);
    (void)give(6, "vo2max", vo2max, "done");
    (void)give(9, "vo2max", vo2max, "done");
    const struct next_answer *answer = ask();
    check_integer("times", answer->is.hard_done, 2);
    expect("done twice", answer,
           "done-twice:vo2max+0/one-more easy-rides:base-ride+1 done-twice:vo2max+2/one-more "
           "easy-rides:base-ride+3 easy-rides:base-ride+4",
           "Done as asked at least twice: time for a little more. (common practice, no source) An "
           "effort more than last time.");
    check(strstr(answer->items[0].proposal->words, "6 times (3 min at 108-114 %") != NULL);
}

/* The newest decides, of its kind alone; what isn't hard work, and what is long ago, doesn't. */
static void test_next__the_last_hard_work_is_what_counts(void **state)
{
    (void)state;
    season((struct next_ride){ .hard = "started too hard",
                               .is_hard_day = true,
                               .asked = "vo2max",
                               .reps = 6,
                               .rep_s = 210 });
    (void)next_scene_ride(&scene, 8,
                          (struct next_ride){ .hours = 0.1, .hard = "done", .asked = "vo2max" });
    (void)next_scene_ride(
        &scene, 3, (struct next_ride){ .hard = "below", .asked = "sweet-spot", .hours = 0.1 });
    (void)next_scene_ride(&scene, 2, (struct next_ride){ .hard = "cannot tell", .hours = 0.1 });
    const struct next_answer *answer = ask();
    check_integer("done", answer->is.hard_done, 0);
    check_integer("efforts", answer->is.hard_reps, 6);
    check_integer("seconds", answer->is.hard_rep_s, 210);
    expect("fell", answer,
           "started-too-hard-and-fell:vo2max+0/lower easy-rides:base-ride+1 "
           "started-too-hard-and-fell:vo2max+2/lower easy-rides:base-ride+3 easy-rides:base-ride+4",
           "its end fell below the range. (common practice, no source) The range is a step lower");
    /* By hand: 6 x 3 min 30 s, a third of each capped at the middle of 104-110 %. */
    const char *words = answer->items[0].proposal->words;
    check_text("as long as asked", strstr(words, "6 times (70 s at 104-107 %") != NULL ? "" : words,
               "");
}

static void test_next__hard_work_that_nobody_asked_for_is_not_repeated(void **state)
{
    (void)state;
    season((struct next_ride){ .hard = "faded", .is_hard_day = true });
    const struct next_answer *answer = ask();
    expect("not known", answer,
           "hard-not-known:short-vo2max+0 easy-rides:base-ride+1 hard-not-known:short-vo2max+2 "
           "easy-rides:base-ride+3 easy-rides:base-ride+4",
           "What the last hard work was meant to be isn't known");
}

static void test_next__hard_work_of_long_ago_is_begun_anew(void **state)
{
    (void)state;
    season((struct next_ride){ .hours = 1.5 });
    (void)next_scene_ride(&scene, 43,
                          (struct next_ride){ .hours = 0.1, .hard = "done", .asked = "vo2max" });
    check_integer("weeks", ask()->is.weeks_without_hard, 6);
    expect("none of late", ask(),
           "first-hard:short-vo2max+0 easy-rides:base-ride+1 easy-rides:base-ride+2 "
           "easy-rides:base-ride+3",
           "hard work may begin, short efforts first");
}

static void test_next__after_weeks_without_hard_work_it_begins_lower(void **state)
{
    (void)state;
    season((struct next_ride){ .hours = 1.5 });
    (void)next_scene_ride(&scene, 22, done);
    (void)next_scene_ride(&scene, 25, done);
    (void)give(22, "vo2max", vo2max, "done");
    (void)give(25, "vo2max", vo2max, "done");
    const struct next_answer *answer = ask();
    check_integer("done", answer->is.hard_done, 2);
    check_integer("weeks", answer->is.weeks_without_hard, 3);
    expect("three weeks", answer,
           "hard-again:vo2max+0/fewer easy-rides:base-ride+1 easy-rides:base-ride+2 "
           "easy-rides:base-ride+3",
           "begin again with less of the last session, once a week. (common practice, no source) "
           "An effort fewer than last time.");
    check(strstr(answer->items[0].proposal->words, "4 times (3 min at 108-114 %") != NULL);
    /* A hard day that nobody asked for keeps the habit. */
    (void)next_scene_ride(&scene, 20, (struct next_ride){ .hours = 0.1, .is_hard_day = true });
    check_integer("a hard day", ask()->is.weeks_without_hard, 2);
    check_text("grows", ask()->items[0].proposal->rule, "done-twice");
}

static void test_next__sessions_missed_in_a_row_ask_for_less(void **state)
{
    (void)state;
    struct error err = { 0 };
    const char *said = NULL;
    season(done);
    (void)give(6, "vo2max", vo2max, "done");
    next_scene_run(&scene, "UPDATE recording SET local_day = NULL WHERE local_day > '%s'",
                   next_scene_day(&scene, 6));
    (void)give(4, "easy", "60 min at 55-65 %", "given");
    check_text("one alone", ask()->items[0].proposal->rule, "done-once");
    (void)give(3, "vo2max", vo2max, "given");
    (void)give(2, "easy", "60 min at 55-65 %", "given");
    (void)give(1, "vo2max", vo2max, "given");
    const struct next_answer *answer = ask();
    expect("four missed", answer, "sessions-missed short-easy:easy+0 short-easy:easy+1",
           "4 sessions in a row not ridden, from 12 March 2026 to 15 March 2026.");
    expect("asked for", answer, next_scene_proposed(&scene, answer),
           "ask what stands in the way. Nothing hard until you have");
    const struct attention_mark mark = { .code = "sessions-missed",
                                         .state = MARK_DONE,
                                         .evidence = scene.today - 1,
                                         .set_day = scene.today };
    must(attention_marks_set(scene.roster, scene.arena, next_now, &scene.rider, &mark, &said, &err),
         &err);
    check_text("asked", ask()->items[0].proposal->rule, "easy-rides");
}

/* ---- all-out efforts ---- */

static void look_at_rider(void)
{
    struct error err = { 0 };
    must(riders_row(roster_db(scene.roster), scene.arena, scene.rider.id, &scene.rider, &err),
         &err);
}

static void choose(const char *tests)
{
    struct error err = { 0 };
    scene.rider.tests = tests;
    must(riders_edit(scene.roster, scene.arena, next_now, &scene.rider, &err), &err);
    look_at_rider();
}

/* A ride with a best of that length alone. */
static int64_t effort(int days_ago, int seconds, unsigned evidence, const char *was)
{
    const int64_t id = next_scene_ride(
        &scene, days_ago,
        (struct next_ride){ .hours = 0.2, .best_w = 250, .evidence = evidence, .was = was });
    next_scene_run(&scene, "DELETE FROM effort WHERE recording = %lld AND duration_s <> %d",
                   (long long)id, seconds);
    return id;
}

static void test_next__only_efforts_that_were_chosen_are_tested(void **state)
{
    (void)state;
    static const char as_usual[] = "done-once:vo2max+0 easy-rides:base-ride+1 done-once:vo2max+2 "
                                   "easy-rides:base-ride+3 easy-rides:base-ride+4";
    season(done);
    (void)give(6, "vo2max", vo2max, "done");
    expect("none chosen", ask(), as_usual, "no all-out effort was chosen for it: none is proposed");
    choose("20min,5min");
    const struct next_answer *answer = ask();
    expect("the longest of those never shown", answer,
           "effort-due:test-20-min+0 easy-rides:base-ride+1 done-once:vo2max+2 "
           "easy-rides:base-ride+3 easy-rides:base-ride+4",
           "All-out efforts chosen: 5 min none on file; 20 min none on file.");
    expect("cautions", answer, next_scene_proposed(&scene, answer), "Stop on chest pain");
    check(strstr(next_scene_told(&scene, answer), "none is proposed") == NULL);
    /* Shown of late: by hand, the last of the six weeks that progress is told by is 41 days ago. */
    (void)effort(41, 1200, 2, NULL);
    expect("the other", ask(),
           "effort-due:test-5-min+0 easy-rides:base-ride+1 done-once:vo2max+2 "
           "easy-rides:base-ride+3 easy-rides:base-ride+4",
           "5 min none on file; 20 min last on Tuesday 3 February 2026.");
    (void)effort(20, 300, 0, NULL); /* nothing says that it was all-out */
    check_text("no evidence", ask()->items[0].proposal->session, "test-5-min");
    (void)effort(30, 300, 2, NULL);
    expect("both", ask(), as_usual, "Done as asked");
    choose("20min,1min");
    check_text("another choice", ask()->items[0].proposal->session, "test-1-min");
    undo();
    look_at_rider();
    expect("taken back", ask(), as_usual, "Done as asked");
    check_text("as before", scene.rider.tests, "5min 20min");
}

static void test_next__an_effort_out_of_date_is_tested_again(void **state)
{
    (void)state;
    season(done);
    (void)give(6, "vo2max", vo2max, "done");
    choose("5min,20min");
    (void)effort(45, 300, 2, NULL);
    (void)effort(60, 1200, 2, NULL);
    expect("the oldest", ask(),
           "effort-due:test-20-min+0 easy-rides:base-ride+1 done-once:vo2max+2 "
           "easy-rides:base-ride+3 easy-rides:base-ride+4",
           "5 min last on Friday 30 January 2026; 20 min last on Thursday 15 January 2026.");
}

/* Whatever was or will be maximal: a test, a race, one that was given, one of 3 min. */
static void test_next__one_maximal_session_in_two_weeks(void **state)
{
    (void)state;
    static const char left[] = "Test, 5 min all-out: each day with time for it is taken, or too "
                               "near other hard days, tests or events.";
    season(done);
    (void)give(6, "vo2max", vo2max, "done");
    choose("5min");
    const int64_t race = effort(7, 1200, 1, "race");
    expect("a race a week ago", ask(),
           "done-once:vo2max+0 easy-rides:base-ride+1 easy-rides:base-ride+2 "
           "easy-rides:base-ride+3",
           left);
    next_scene_run(&scene, "UPDATE asked SET was = 'test' WHERE recording = %lld", (long long)race);
    expect("a test", ask(), next_scene_proposed(&scene, ask()), left);
    next_scene_run(&scene, "DELETE FROM asked");
    check_text("none", ask()->items[0].proposal->rule, "effort-due");
    (void)give(-9, "test", "20 min at 50-60 %\n3 min all out\n15 min at 50 %", "given");
    expect("3 min all out stand there", ask(), next_scene_proposed(&scene, ask()), left);
    next_scene_run(&scene, "UPDATE session SET state = 'withdrawn' WHERE kind = 'test'");
    check_text("called off", ask()->items[0].proposal->rule, "effort-due");
    /* The threshold's test is the one, where that is due. */
    next_scene_run(&scene, "UPDATE threshold SET day = '2025-10-01'");
    int maximal = 0;
    for (size_t i = 0; i < ask()->n; i++) {
        maximal += strcmp(ask()->items[i].proposal->kind, "test") == 0 ? 1 : 0;
    }
    check_integer("one", maximal, 1);
    check_text("of the threshold", ask()->items[0].proposal->rule, "test-due");
}

static void test_next__no_effort_is_tested_without_the_questions(void **state)
{
    (void)state;
    season(done);
    (void)give(6, "vo2max", vo2max, "done");
    choose("10s,15s,1min,5min,10min,20min");
    check_text("six chosen", ask()->items[0].proposal->rule, "effort-due");
    next_scene_run(&scene,
                   "INSERT INTO flag (rider, kind, from_day, version) VALUES (%lld, 'pregnant', "
                   "'2026-01-20', 1)",
                   (long long)scene.rider.id);
    check_text("pregnant", ask()->items[0].proposal->rule, "done-once");
    next_scene_run(&scene, "DELETE FROM flag");
    next_scene_run(&scene, "DELETE FROM screening");
    expect("not asked", ask(),
           "medical-advice-first easy-rides:base-ride+0 easy-rides:base-ride+1 "
           "easy-rides:base-ride+2",
           "Medical advice first");
}

static void test_next__what_stands_is_held_against_every_event(void **state)
{
    (void)state;
    season(done);
    race(9, "A");
    race(16, "B");
    race(12, "C");
    (void)give(-8, "vo2max", vo2max, "given");          /* the day before the first */
    (void)give(-12, "easy", "45 min at 50 %", "given"); /* of the least weight, its own day */
    (void)give(-13, "threshold", "3 times (10 min at 95-100 %, 5 min at 50 %)", "given");
    (void)give(-15, "vo2max", vo2max, "given"); /* the day before the last */
    (void)give(-16, "easy", "45 min at 50 %", "given");
    static const char *const codes[] = { "event-near", "event-day", NULL, "event-near",
                                         "event-day" };
    const struct next_answer *answer = ask();
    check_integer("stand", (int64_t)answer->n_stands, (int64_t)COUNT(codes));
    for (size_t i = 0; i < answer->n_stands && i < COUNT(codes); i++) {
        check_text(answer->stands[i].row.day, answer->stands[i].code, codes[i]);
    }
}

static void test_next__fever_asks_for_easy_days_and_half_the_hours(void **state)
{
    (void)state;
    season(done);
    off("ill", 6, 2);
    say(5, "fever, 38.9 in the evening");
    struct next_answer *answer = next_scene_ask(&scene, 7);
    check_integer("stage", answer->is.comeback, NEXT_EASY_ONLY);
    /* By hand: 112 min, half of 3.75 h; in thirds, of whole five minutes each. */
    expect("coming back", answer,
           "back-easy:easy+0/shorter back-easy:easy+1/shorter back-easy:easy+2/shorter",
           "easy only, and at most half of the usual hours");
    int seconds = 0;
    for (size_t i = 0; i < answer->n; i++) {
        seconds += answer->items[i].proposal->dose.seconds;
        check(!answer->items[i].proposal->dose.is_hard);
    }
    check(answer->is.usual_hours > 3 && seconds <= 3600 * 0.5 * answer->is.usual_hours);
    /* Still ill: nothing at all, and what was given is offered for withdrawal. */
    off("ill", 0, -3);
    (void)give(-1, "easy", "45 min at 50-60 %", "given");
    answer = next_scene_ask(&scene, 7);
    expect("ill", answer, "ill", "Ill: nothing is proposed until well again.");
    check_integer("no longer fit", (int64_t)answer->n_unfit, 1);
    check_text("why", answer->stands[0].code, "ill");
    check_text("stands", answer->stands[0].row.state, "given");
}

/* Usual hours are few: what would be three rides is what half of them allow. */
static void test_next__half_of_few_hours_is_less_than_three_rides(void **state)
{
    (void)state;
    for (int week = 1; week <= 10; week++) {
        (void)next_scene_ride(&scene, 7 * week - 1, (struct next_ride){ .hours = 1.2 });
        (void)next_scene_ride(&scene, 7 * week - 4, (struct next_ride){ .hours = 1.2 });
    }
    off("ill", 7, 2);
    say(4, "fever");
    const struct next_answer *answer = ask();
    check_near("usual", answer->is.usual_hours, 2.4, 1e-6);
    /* By hand: 72 min; thirds of it are too short, so two of 30 and what is left is none. */
    expect("few hours", answer, "back-easy:easy+0/shorter back-easy:easy+1/shorter",
           "At most 1.2 h in these 7 days with what stands, 50 % of the usual 2.4 a week.");
}

static void test_next__chest_pain_is_for_a_doctor_until_it_is_asked_about(void **state)
{
    (void)state;
    struct error err = { 0 };
    const char *said = NULL;
    season(done);
    (void)give(6, "vo2max", vo2max, "done");
    say(1, "chest pain on the last climb");
    expect("doctor", ask(), "doctor", "See a doctor before training goes on.");
    const struct attention_mark mark = {
        .code = "words-of-heart", .state = MARK_DONE, .evidence = 1000000, .set_day = scene.today
    };
    must(attention_marks_set(scene.roster, scene.arena, next_now, &scene.rider, &mark, &said, &err),
         &err);
    expect("asked about", ask(),
           "done-once:vo2max+0 easy-rides:base-ride+1 done-once:vo2max+2 easy-rides:base-ride+3 "
           "easy-rides:base-ride+4",
           "Done as asked");
}

static void test_next__medical_advice_comes_before_anything_hard(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct screening yes = { .day = next_scene_day(&scene, 10) };
    season(done);
    (void)give(6, "vo2max", vo2max, "done");
    yes.yes[SCREENING_HEART_CONDITION] = true;
    must(health_screen(scene.roster, scene.arena, next_now, &scene.rider, &yes, &err), &err);
    expect("a yes", ask(),
           "medical-advice-first easy-rides:base-ride+0 easy-rides:base-ride+1 "
           "easy-rides:base-ride+2",
           "Medical advice first: nothing hard or maximal is proposed");
    yes.cleared_by = "Dr Lind";
    yes.cleared_day = next_scene_day(&scene, 3);
    must(health_screen(scene.roster, scene.arena, next_now, &scene.rider, &yes, &err), &err);
    expect("cleared", ask(),
           "done-once:vo2max+0 easy-rides:base-ride+1 done-once:vo2max+2 easy-rides:base-ride+3 "
           "easy-rides:base-ride+4",
           "Done as asked");
}

static void test_next__near_an_event_there_is_less_and_nothing_new(void **state)
{
    (void)state;
    season(done);
    (void)give(6, "vo2max", vo2max, "done");
    next_scene_run(&scene, "DELETE FROM threshold");
    next_scene_run(&scene,
                   "INSERT INTO threshold (rider, day, value_w, protocol, version) VALUES "
                   "(%lld, '2025-10-01', 250, 'test', 1)",
                   (long long)scene.rider.id);
    check_text("no event: the threshold is old", ask()->items[0].proposal->rule, "test-due");
    race(6, "A");
    const struct next_answer *answer = ask();
    /* By hand: 50 % of 4.5 h is 135 min; the session of 4 efforts takes 49, thirds of the rest are
     * cut to whole five minutes of riding. */
    expect(
        "event in six days", answer,
        "event-near:vo2max+0/fewer easy-rides:base-ride+1/shorter easy-rides:base-ride+2/shorter",
        "what is known, as hard as ever, less of it; nothing new. (Bosquet 2007, from memory)");
    check(strstr(answer->items[0].proposal->words, "4 times (3 min at 108-114 %") != NULL);
    int seconds = 0;
    for (size_t i = 0; i < answer->n; i++) {
        seconds += answer->items[i].proposal->dose.seconds;
    }
    check(seconds <= 0.5 * 3600 * answer->is.usual_hours);
    undo();
    race(6, "C"); /* trained through; its day alone is taken */
    for (size_t i = 0; i < ask()->n; i++) {
        check(ask()->items[i].proposal->day != scene.today + 6);
    }
    check_integer("no event to train for", ask()->is.event_days, -1);
}

static void test_next__days_away_are_left_alone(void **state)
{
    (void)state;
    season(done);
    (void)give(6, "vo2max", vo2max, "done");
    off("away", 0, -3);
    expect("three days away", ask(),
           "done-once:vo2max+3 easy-rides:base-ride+4 done-once:vo2max+5 easy-rides:base-ride+6",
           "Done as asked");
    undo();
    struct error err = { 0 };
    struct week week = { 0 };
    must(availability_parse(scene.arena, "tue 60, sat 2h", &week, &err), &err);
    week.from_day = "2026-01-01";
    must(availability_set(scene.roster, scene.arena, next_now, &scene.rider, &week, &err), &err);
    expect("two days with time", ask(), "done-once:vo2max+1 easy-rides:base-ride+5", "Done as");
}

static void test_next__after_a_break_easy_riding_comes_first(void **state)
{
    (void)state;
    season(done);
    (void)give(6, "vo2max", vo2max, "done");
    next_scene_run(&scene, "DELETE FROM reading WHERE day > '%s'", next_scene_day(&scene, 15));
    next_scene_run(&scene,
                   "UPDATE recording SET is_ride = FALSE, local_day = NULL WHERE local_day "
                   "> '%s'",
                   next_scene_day(&scene, 15));
    const struct next_answer *answer = ask();
    expect("no ride for weeks", answer, "back-easy:easy+0 back-easy:easy+1 back-easy:easy+2",
           "Back from illness or a break: easy only");
    check(strstr(next_scene_told(&scene, answer), "Threshold and base are from before the break") !=
          NULL);
}

static void test_next__stalled_asks_for_another_kind_of_work(void **state)
{
    (void)state;
    season(done);
    (void)give(6, "vo2max", vo2max, "done");
    for (int ago = 3; ago < 84; ago += 7) { /* six tries, and six before them */
        (void)next_scene_ride(
            &scene, ago,
            (struct next_ride){ .hours = 0.2, .best_w = ago < 42 ? 243 : 250, .evidence = 2 });
    }
    expect("stalled", ask(),
           "stalled:threshold+0 easy-rides:base-ride+1 easy-rides:base-ride+2 "
           "easy-rides:base-ride+3",
           "Trying hard and not getting better: another kind of work, and fewer hard days.");
}

static void test_next__what_stands_is_kept_and_counted(void **state)
{
    (void)state;
    season(done);
    (void)give(6, "vo2max", vo2max, "done");
    (void)give(-1, "vo2max", vo2max, "given");
    const struct rider_session easy = give(-3, "easy", "60 min at 55-65 %", "drafted");
    const struct next_answer *answer = ask();
    /* One hard, one easy stand: one hard and two easy are left, none on their days. */
    expect("around what stands", answer,
           "easy-rides:base-ride+0 easy-rides:base-ride+2 done-once:vo2max+4", "Done as asked");
    check_integer("stand", (int64_t)answer->n_stands, 2);
    check_integer("fit", (int64_t)answer->n_unfit, 0);
    struct error err = { 0 };
    struct rider_session gone = easy;
    must(sessions_remove(scene.roster, scene.arena, next_now, &scene.rider, &gone, &err), &err);
    size_t n = 0;
    const char *said = NULL;
    must(sessions_withdraw_from(scene.roster, scene.arena, next_now, &scene.rider, NEXT_TODAY, NULL,
                                NULL, &n, &said, &err),
         &err);
    expect("withdrawn", ask(),
           "done-once:vo2max+0 easy-rides:base-ride+1 done-once:vo2max+2 easy-rides:base-ride+3 "
           "easy-rides:base-ride+4",
           "Done as asked");
    check_integer("none stands", (int64_t)ask()->n_stands, 0);
    for (int day = 0; day < 7; day++) {
        (void)give(-day, "easy", "30 min at 50-60 %", "given");
    }
    expect("every day has one", ask(), "", "Nothing more is needed: enough is planned already.");
}

static void test_next__drafted_by_the_coach_alone_and_in_one_change(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct rider_session *rows = NULL;
    size_t n = 0;
    const char *said = NULL;
    season(done);
    (void)give(6, "vo2max", vo2max, "done");
    const struct next_answer *answer = ask();
    const char *was = next_scene_proposed(&scene, answer);
    const size_t second[] = { 2 };
    must(next_draft(scene.roster, scene.arena, next_now, &scene.rider, answer, NULL, 0, &rows, &n,
                    &said, &err),
         &err);
    check_integer("drafts", (int64_t)n, 5);
    check_text("why is kept", rows[0].why, answer->items[0].proposal->why);
    check_text("nothing on top", next_scene_proposed(&scene, ask()), "");
    undo();
    check_text("taken back", next_scene_proposed(&scene, ask()), was);
    must(next_draft(scene.roster, scene.arena, next_now, &scene.rider, answer, second, 1, &rows, &n,
                    &said, &err),
         &err);
    check_text("that day", rows[0].day, answer->items[1].day);
    check_integer("sessions",
                  next_scene_number(&scene, "SELECT COUNT(*) FROM session WHERE state = 'drafted'"),
                  1);
}

/* ---- weeks since a lighter one ---- */

/* So many hours in each week before, the last first; spread over three rides. */
static int weeks_since(const double hours[], int n)
{
    for (int week = 1; week <= n; week++) {
        for (int ride = 0; ride < 3 && hours[week - 1] > 0; ride++) {
            (void)next_scene_ride(&scene, 7 * week - 1 - 2 * ride,
                                  (struct next_ride){ .hours = hours[week - 1] / 3 });
        }
    }
    return ask()->is.weeks_since_lighter;
}

static void test_next__even_weeks_count_until_the_usual_is_unknown(void **state)
{
    (void)state;
    static const double even[] = { 6, 6, 6, 6, 6, 6, 6 };
    /* By hand: the oldest began on its Tuesday and isn't whole, the two after it have fewer than
     * two usual weeks before them. */
    check_integer("even", weeks_since(even, 7), 4);
    check(strstr(next_scene_told(&scene, ask()),
                 "A lighter week, after several that were not. At most 3.6 h") != NULL);
}

static void test_next__a_lighter_week_ends_the_count(void **state)
{
    (void)state;
    /* Nearer to 60 % of the usual than to all of it: below 80 %. */
    static const double weeks[] = { 6, 5, 4.6, 6, 6, 6, 6, 6, 6 };
    check_integer("4.6 of 6", weeks_since(weeks, 9), 2);
}

static void test_next__a_week_with_days_off_ends_the_count(void **state)
{
    (void)state;
    static const double even[] = { 6, 6, 6, 6, 6, 6, 6, 6 };
    off("away", 21, 18);
    check_integer("three days away", weeks_since(even, 8), 2);
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, begin, end)

int main(int argc, char *argv[])
{
    const struct CMUnitTest tests[] = {
        TEST(test_next__the_session_that_was_done_is_given_once_more),
        TEST(test_next__done_twice_grows_by_one_effort),
        TEST(test_next__the_last_hard_work_is_what_counts),
        TEST(test_next__hard_work_that_nobody_asked_for_is_not_repeated),
        TEST(test_next__hard_work_of_long_ago_is_begun_anew),
        TEST(test_next__after_weeks_without_hard_work_it_begins_lower),
        TEST(test_next__sessions_missed_in_a_row_ask_for_less),
        TEST(test_next__only_efforts_that_were_chosen_are_tested),
        TEST(test_next__an_effort_out_of_date_is_tested_again),
        TEST(test_next__one_maximal_session_in_two_weeks),
        TEST(test_next__no_effort_is_tested_without_the_questions),
        TEST(test_next__what_stands_is_held_against_every_event),
        TEST(test_next__fever_asks_for_easy_days_and_half_the_hours),
        TEST(test_next__half_of_few_hours_is_less_than_three_rides),
        TEST(test_next__chest_pain_is_for_a_doctor_until_it_is_asked_about),
        TEST(test_next__medical_advice_comes_before_anything_hard),
        TEST(test_next__near_an_event_there_is_less_and_nothing_new),
        TEST(test_next__days_away_are_left_alone),
        TEST(test_next__after_a_break_easy_riding_comes_first),
        TEST(test_next__stalled_asks_for_another_kind_of_work),
        TEST(test_next__what_stands_is_kept_and_counted),
        TEST(test_next__drafted_by_the_coach_alone_and_in_one_change),
        TEST(test_next__even_weeks_count_until_the_usual_is_unknown),
        TEST(test_next__a_lighter_week_ends_the_count),
        TEST(test_next__a_week_with_days_off_ends_the_count),
    };
    if (!store_begin(argc, argv)) {
        return 0;
    }
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
