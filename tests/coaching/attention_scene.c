/* tests/coaching/attention_scene.c: a rider in a situation, built from a script. */
#include "coaching/attention_scene.h"

#include "check.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void scene_begin(struct scene *scene, int64_t id, const char *name)
{
    *scene = (struct scene){
        .history = { .today = TODAY, .power_since_day = INT64_MIN, .threshold_day = TODAY - 20 },
        .rider = { .id = id,
                   .name = name,
                   .has_plan_until_day = INT64_MIN,
                   .last_contact_day = INT64_MIN }
    };
    for (int64_t ago = 98; ago >= 0; ago -= 2) {
        struct past_ride *ride = &scene->rides[scene->history.n_rides++];
        *ride = past_ride_begin(1000 - ago, TODAY - ago);
        ride->has_power = true;
        ride->hours = 1.0;
        ride->work_kj = 540.0;
        ride->above_threshold_s = 0.0;
        if (ago == 30 || ago == 20) {
            ride->is_base_test = true;
            ride->base = (struct past_reading){ true, VERDICT_PASSED, 6, 4, 8, NULL };
        }
    }
}

static struct past_ride *ride_at(struct scene *scene, int64_t ago)
{
    for (size_t i = 0; i < scene->history.n_rides; i++) {
        if (scene->rides[i].day == TODAY - ago) {
            return &scene->rides[i];
        }
    }
    check_text("a ride on that day", "none", "one");
    abort();
}

static void keep_rides(struct scene *scene, bool (*stays)(int64_t ago, int64_t from, int64_t to),
                       int64_t from, int64_t to)
{
    size_t n = 0;
    for (size_t i = 0; i < scene->history.n_rides; i++) {
        if (stays(TODAY - scene->rides[i].day, from, to)) {
            scene->rides[n++] = scene->rides[i];
        }
    }
    scene->history.n_rides = n;
}

static bool is_outside(int64_t ago, int64_t from, int64_t to)
{
    return ago > from || ago < to;
}

/* Notes must stand by day; numbers in the order they were put down. */
static struct past_note *note_at(struct scene *scene, int64_t ago)
{
    size_t at = scene->history.n_notes++;
    while (at > 0 && scene->notes[at - 1].day > TODAY - ago) {
        scene->notes[at] = scene->notes[at - 1];
        at--;
    }
    scene->notes[at] = (struct past_note){ .id = 500 + (int64_t)scene->history.n_notes,
                                           .day = TODAY - ago,
                                           .effort_0_10 = (double)NAN };
    return &scene->notes[at];
}

static enum verdict hard_verdict(const char *word)
{
    static const struct {
        const char *word;
        enum verdict verdict;
    } rows[] = { { "started", VERDICT_STARTED_TOO_HARD },
                 { "stopped", VERDICT_STOPPED },
                 { "cut", VERDICT_CUT_SHORT },
                 { "faded", VERDICT_FADED },
                 { "below", VERDICT_BELOW },
                 { "above", VERDICT_ABOVE },
                 { "done", VERDICT_DONE },
                 { "line", VERDICT_ON_THE_LINE },
                 { "unknown", VERDICT_CANNOT_TELL } };
    for (size_t i = 0; i < COUNT(rows); i++) {
        if (strcmp(rows[i].word, word) == 0) {
            return rows[i].verdict;
        }
    }
    check_text("a verdict", word, "one of the table");
    return VERDICT_CANNOT_TELL;
}

static void give_base(struct scene *scene, char letter, int64_t ago)
{
    struct past_ride *ride = ride_at(scene, ago);
    const double drift = letter == 'p' || letter == 's' ? 6 : letter == 'l' ? 10 : 14;
    ride->is_base_test = true;
    ride->spoiled = letter == 's';
    ride->base = (struct past_reading){ true,
                                        letter == 'p' || letter == 's' ? VERDICT_PASSED
                                        : letter == 'l'                ? VERDICT_ON_THE_LINE
                                        : letter == 'n'                ? VERDICT_NOT_PASSED
                                                                       : VERDICT_CANNOT_TELL,
                                        drift,
                                        drift - 2,
                                        drift + 2,
                                        NULL };
}

static void give_easy(struct scene *scene, const char *letters)
{
    const int64_t n = (int64_t)strlen(letters);
    for (int64_t i = 0; i < n; i++) {
        struct past_ride *ride = ride_at(scene, 2 * (n - 1 - i));
        ride->easy.is_asked = true;
        ride->easy.verdict = letters[i] == 'h' ? VERDICT_TOO_HARD : VERDICT_EASY_ENOUGH;
    }
}

/* Three all-out efforts in each window, of so many watts. */
static void give_tries(struct scene *scene, double before_w, double recent_w)
{
    static const int32_t durations[] = { 300, 600, 1200 };
    for (int64_t ago = 80; ago >= 10; ago -= 14) {
        struct past_ride *ride = ride_at(scene, ago);
        ride->meter = 1;
        for (size_t i = 0; i < 3; i++) {
            ride->efforts[ride->n_efforts++] =
                (struct effort){ .duration_s = durations[i],
                                 .power_w = ago < 42 ? recent_w : before_w,
                                 .evidence = EFFORT_HEART };
        }
    }
}

/* Meter 2 from that day on. */
static void give_meter(struct scene *scene, int64_t ago)
{
    for (size_t i = 0; i < scene->history.n_rides; i++) {
        struct past_ride *ride = &scene->rides[i];
        ride->meter = ride->day >= TODAY - ago ? 2 : 1;
    }
}

static void give_check(struct scene *scene, int64_t ago, double pct)
{
    scene->link = (struct meter_link){ .first = 1,
                                       .second = 2,
                                       .log_ratio = log1p(pct / 100.0),
                                       .day_sd = 0.002,
                                       .day = TODAY - ago,
                                       .changed_day = INT64_MIN };
    scene->history.links = &scene->link;
    scene->history.n_links = 1;
}

static void give_scales(struct scene *scene, int legs, int sleep)
{
    for (int64_t ago = 30; ago >= 0; ago -= 3) {
        struct past_note *note = note_at(scene, ago);
        note->legs_1_5 = ago < 7 ? legs : 4;
        note->sleep_1_5 = ago < 7 ? sleep : 4;
    }
}

static enum past_off off_of(const char *word)
{
    return strcmp(word, "ill") == 0       ? OFF_ILL
           : strcmp(word, "injured") == 0 ? OFF_INJURED
           : strcmp(word, "away") == 0    ? OFF_AWAY
           : strcmp(word, "break") == 0   ? OFF_BREAK
                                          : OFF_OTHER;
}

static void give_mark(struct scene *scene, enum attention_state state, const char *code,
                      int64_t evidence, int64_t ago, int64_t last_note)
{
    static char codes[64][32]; /* marks point at them; more than all rows of a test need */
    static size_t n_codes;
    char *kept = codes[n_codes++ % 64];
    (void)snprintf(kept, 32, "%s", code);
    scene->marks[scene->n_marks++] = (struct attention_mark){ .rider = scene->rider.id,
                                                              .code = kept,
                                                              .state = state,
                                                              .evidence = evidence,
                                                              .last_note = last_note,
                                                              .set_day = TODAY - ago,
                                                              .not_before_day = TODAY - ago,
                                                              .line = "by phone" };
}

static void play_mark(struct scene *scene, const char *clause)
{
    char code[32];
    long long a = 0;
    long long b = 0;
    long long c = 0;
    if (sscanf(clause, "done %31s %lld", code, &a) == 2) {
        give_mark(scene, MARK_DONE, code, a, 1, 0);
    } else if (sscanf(clause, "asked %31s %lld %lld %lld", code, &a, &b, &c) == 4) {
        give_mark(scene, MARK_ASKED, code, a, b, c);
    } else if (sscanf(clause, "notbefore %31s %lld %lld", code, &a, &b) == 3) {
        give_mark(scene, MARK_NOT_BEFORE, code, a, -b, 0);
    } else {
        check_text("a clause", clause, "one of the script's");
    }
}

void scene_play(struct scene *scene, const char *clause)
{
    char word[64];
    long long a = 0;
    long long b = 0;
    double x = 0.0;
    double y = 0.0;
    if (sscanf(clause, "hardday %lld", &a) == 1) {
        ride_at(scene, a)->is_hard_day = true;
    } else if (sscanf(clause, "hard %63s %lld", word, &a) == 2) {
        ride_at(scene, a)->hard =
            (struct past_reading){ .is_asked = true, .verdict = hard_verdict(word) };
    } else if (sscanf(clause, "base %1[plncs] %lld", word, &a) == 2) {
        give_base(scene, word[0], a);
    } else if (strcmp(clause, "clearbase") == 0) {
        for (size_t i = 0; i < scene->history.n_rides; i++) {
            scene->rides[i].base.is_asked = false;
            scene->rides[i].is_base_test = false;
        }
    } else if (sscanf(clause, "note %lld", &a) == 1) {
        note_at(scene, a)->words = strchr(clause + 5, ' ') + 1;
    } else if (sscanf(clause, "ill %lld", &a) == 1) {
        note_at(scene, a)->ill = true;
    } else if (sscanf(clause, "off %63s %lld %lld", word, &a, &b) == 3) {
        scene->off[scene->history.n_off++] =
            (struct past_span){ off_of(word), TODAY - a, b == 999 ? INT64_MAX : TODAY - b };
    } else if (sscanf(clause, "effort %lf", &x) == 1) {
        for (size_t i = 0; i < scene->history.n_rides; i++) {
            scene->rides[i].effort_0_10 = scene->rides[i].day > TODAY - 7 ? x : 5.0;
        }
    } else if (sscanf(clause, "scales %lld %lld", &a, &b) == 2) {
        give_scales(scene, (int)a, (int)b);
    } else if (sscanf(clause, "easy %63s", word) == 1) {
        give_easy(scene, word);
    } else if (sscanf(clause, "against %lf %lld", &x, &a) == 2) {
        ride_at(scene, a)->against_bpm = x;
        ride_at(scene, a)->day_sd_bpm = 5.0;
    } else if (sscanf(clause, "caution %lld", &a) == 1) {
        ride_at(scene, a)->cautions = CAUTION_HEART_LEAP;
    } else if (sscanf(clause, "unusable %lld", &a) == 1) {
        ride_at(scene, a)->trust =
            (struct past_reading){ .is_asked = true, .verdict = VERDICT_NOT_USABLE };
    } else if (sscanf(clause, "long %lld %lf", &a, &x) == 2) {
        ride_at(scene, a)->hours = x;
    } else if (sscanf(clause, "threshold %lld", &a) == 1) {
        scene->history.threshold_day = a == 999 ? INT64_MIN : TODAY - a;
    } else if (strcmp(clause, "firstyear") == 0) {
        scene->history.power_since_day = TODAY - 200;
    } else if (sscanf(clause, "plan %lld", &a) == 1) {
        scene->rider.has_plan_until_day = TODAY + a;
    } else if (sscanf(clause, "missed %lld", &a) == 1) {
        scene->rider.missed[scene->rider.n_missed++] = TODAY - a;
    } else if (sscanf(clause, "contact %lld", &a) == 1) {
        scene->rider.last_contact_day = TODAY - a;
    } else if (sscanf(clause, "norides %lld %lld", &a, &b) == 2) {
        keep_rides(scene, is_outside, a, b);
    } else if (sscanf(clause, "proposed %lld", &a) == 1) {
        scene->rider.proposed_test_ride = a;
    } else if (strcmp(clause, "advice") == 0) {
        scene->rider.advice_first = true;
    } else if (strcmp(clause, "nopower") == 0) {
        for (size_t i = 0; i < scene->history.n_rides; i++) {
            scene->rides[i].has_power = false;
        }
    } else if (sscanf(clause, "tries %lf %lf", &x, &y) == 2) {
        give_tries(scene, x, y);
    } else if (sscanf(clause, "newmeter %lf", &x) == 1) {
        give_meter(scene, (int64_t)x);
    } else if (sscanf(clause, "metercheck %lf %lf", &x, &y) == 2) {
        give_check(scene, (int64_t)x, y);
    } else {
        play_mark(scene, clause);
    }
}

void scene_play_all(struct scene *scene, char *text)
{
    for (char *at = text; at != NULL && *at != '\0';) {
        char *end = strstr(at, "; ");
        if (end != NULL) {
            *end = '\0';
        }
        scene_play(scene, at);
        at = end == NULL ? NULL : end + 2;
    }
}

void scene_make(struct arena *arena, struct scene *scene, const struct limits *limits)
{
    scene->history.rides = scene->rides;
    scene->history.notes = scene->notes;
    scene->history.off = scene->off;
    rider_readings_make(arena, &scene->history, 2, limits, &scene->readings);
    scene->rider.history = &scene->history;
    scene->rider.readings = &scene->readings;
}
