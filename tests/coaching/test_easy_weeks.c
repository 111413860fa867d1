/* tests/coaching/test_easy_weeks.c: was easy work easy over weeks?  The verdicts wanted are those
 * of the rules in the header (common practice, no source). */
#include "check.h"

#include "coaching/easy_weeks.h"
#include "coaching/gauge.h"

#include <math.h>
#include <string.h>

enum { TODAY = 20500, MOST = 24 };

/* A letter a ride, the newest last, two days apart, the last today: e easy enough, l on the line,
 * h too hard, H too hard and hilly, n not judged for want of power, c not judged, . asked for
 * something else, r a run. */
static struct rider_history history_of(struct past_ride rides[], const char *letters, int64_t gap)
{
    const size_t n = strlen(letters);
    for (size_t i = 0; i < n; i++) {
        const char letter = letters[i];
        rides[i] = past_ride_begin((int64_t)(100 + i), TODAY - gap * (int64_t)(n - 1 - i));
        rides[i].has_power = letter != 'n';
        rides[i].is_ride = letter != 'r';
        rides[i].hilly = letter == 'H';
        rides[i].easy.is_asked = letter != '.';
        rides[i].easy.verdict = letter == 'e' || letter == 'r'   ? VERDICT_EASY_ENOUGH
                                : letter == 'l'                  ? VERDICT_ON_THE_LINE
                                : letter == 'h' || letter == 'H' ? VERDICT_TOO_HARD
                                                                 : VERDICT_CANNOT_TELL;
    }
    return (struct rider_history){
        .today = TODAY, .power_since_day = INT64_MIN, .rides = rides, .n_rides = n
    };
}

static void test_easy_weeks__counts_the_rides_asked_easy(void **state)
{
    (void)state;
    static const struct {
        const char *rides;
        int64_t gap;
        enum verdict want;
        const char *says;
        const char *not_said; /* NULL = none */
    } rows[] = {
        { "", 2, VERDICT_CANNOT_TELL, "0 rides asked easy in the last 4 weeks could be judged", 0 },
        { "ee", 2, VERDICT_CANNOT_TELL, "2 rides asked easy", NULL },
        { "e.e", 2, VERDICT_CANNOT_TELL, "3 are needed", NULL },
        { "ere", 2, VERDICT_CANNOT_TELL, "2 rides", NULL },
        { "een", 2, VERDICT_CANNOT_TELL, "1 more could not be judged: without power", NULL },
        { "eecnc", 2, VERDICT_CANNOT_TELL, "3 more could not be judged, some without power", 0 },
        { "eee", 2, VERDICT_EASY_ENOUGH, "None of the 3 rides", "cap" },
        { "eeh", 2, VERDICT_EASY_ENOUGH, "Of the 3 rides asked easy in the last 4 weeks 1 was", 0 },
        { "ehh", 2, VERDICT_TOO_HARD, "2 were too hard", "hilly" },
        { "ehh", 2, VERDICT_TOO_HARD, "a cap of 80 % of threshold", NULL },
        { "ehl", 2, VERDICT_ON_THE_LINE, "1 was too hard; one more was on the line", NULL },
        { "eel", 2, VERDICT_EASY_ENOUGH, "none was too hard; one more was on the line", NULL },
        { "ell", 2, VERDICT_ON_THE_LINE, "2 more were on the line", NULL },
        { "eeeehh", 2, VERDICT_EASY_ENOUGH, "Of the 6 rides", NULL },
        { "eeehhh", 2, VERDICT_TOO_HARD, "3 were", NULL },
        { "eHH", 2, VERDICT_TOO_HARD, "All of these were hilly", NULL },
        { "ehH", 2, VERDICT_TOO_HARD, "1 of these was hilly", NULL },
        { "eeH", 2, VERDICT_EASY_ENOUGH, "It was a hilly ride", NULL },
        { "ehhn", 2, VERDICT_TOO_HARD, "1 more could not be judged: without power.", NULL },
        /* Ten days apart only the last three lie in the four weeks. */
        { "hhheee", 10, VERDICT_EASY_ENOUGH, "None of the 3", NULL },
        { "eeehhh", 10, VERDICT_TOO_HARD, "Of the 3 rides asked easy in the last 4 weeks 3", NULL },
        { "hhhhe", 14, VERDICT_CANNOT_TELL, "2 rides", NULL },
    };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct past_ride rides[MOST];
        const struct rider_history history = history_of(rides, rows[i].rides, rows[i].gap);
        const struct reading reading = easy_weeks_read(arena, &history, &limits);
        check_text(rows[i].rides, verdict_name(reading.verdict), verdict_name(rows[i].want));
        if (strstr(reading.text, rows[i].says) == NULL) {
            check_text(rows[i].rides, reading.text, rows[i].says);
        }
        if (rows[i].not_said != NULL && strstr(reading.text, rows[i].not_said) != NULL) {
            check_text(rows[i].rides, reading.text, "nothing of it");
        }
        struct gauge gauge = { 0 };
        check_integer(rows[i].rides, reading_gauge(arena, &reading, &gauge),
                      rows[i].want != VERDICT_CANNOT_TELL);
        arena_close(arena);
    }
}

static void test_easy_weeks__the_gauge_shows_the_share(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct past_ride rides[MOST];
    const struct rider_history history = history_of(rides, "eehl", 2);
    const struct reading reading = easy_weeks_read(arena, &history, &limits);
    struct gauge gauge = { 0 };
    check(reading_gauge(arena, &reading, &gauge));
    check_near("share", gauge.estimate, 25.0, 1e-9);
    check_near("with the line", gauge.high, 50.0, 1e-9);
    check_text("bar", gauge.bar, "bar: with those on the line");
    check_integer("on the line", gauge.answer, ANSWER_ON_THE_LINE);
    /* The last that was too hard is named, for opening it. */
    check_near("ride", cause_value(causes_find(&reading.because, "easy-last"), "ride"), 102, 0);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_easy_weeks__counts_the_rides_asked_easy),
        cmocka_unit_test(test_easy_weeks__the_gauge_shows_the_share),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
