/* simulated/season.c: nine months of an invented rider. */
#include "simulated/season.h"

#include "base/dates.h"
#include "recording/fit_write.h"
#include "simulated/faults.h"
#include "simulated/random.h"

#include <math.h>

enum { STREAM_SEASON = 0x5345, STREAM_DAY = 0x4459, STREAM_HAND = 0x4841 };

/* ---- which days ---- */

static const struct story_phase *phase_of(const struct simulated_story *story, int week)
{
    const struct story_phase *phase = &story->phases[0];
    for (int i = 1; i < STORY_PHASES; i++) {
        if (story->phases[i].slots[0].weekday != 0 && story->phases[i].from_week <= week) {
            phase = &story->phases[i];
        }
    }
    return phase;
}

static bool is_off(const struct simulated_story *story, int day)
{
    for (int i = 0; i < STORY_SPANS; i++) {
        if (day >= story->spans[i].from_day && day < story->spans[i].to_day) {
            return true;
        }
    }
    return false;
}

static bool is_test_week(const struct simulated_story *story, int week)
{
    for (int i = 0; i < STORY_TESTS && story->tests[i] != 0; i++) {
        if (story->tests[i] == week) {
            return true;
        }
    }
    return false;
}

/* All-out: nobody forgets the day, and it is ridden indoors. */
static bool is_test(enum simulated_outing outing)
{
    return outing == SIMULATED_OUTING_TEST || outing == SIMULATED_OUTING_EFFORTS;
}

static bool is_hard(enum simulated_outing outing)
{
    return outing == SIMULATED_OUTING_HARD || outing == SIMULATED_OUTING_STEADY ||
           outing == SIMULATED_OUTING_SPRINTS;
}

/* Every fourth week is a lighter one; tests and base hours take the place of what was meant. */
static enum simulated_outing outing_of(const struct simulated_story *story, int week, int slot,
                                       enum simulated_outing meant)
{
    const bool light = week % 4 == 3;
    if (slot == 1 && is_test_week(story, week + 1)) {
        return SIMULATED_OUTING_TEST;
    }
    if (slot == 0 && week + 1 == story->efforts_week) {
        return SIMULATED_OUTING_EFFORTS;
    }
    if (slot == 0 && story->base_every > 0 && week % story->base_every == 1) {
        return SIMULATED_OUTING_BASE;
    }
    return light && is_hard(meant) ? SIMULATED_OUTING_EASY : meant;
}

/* Nobody is heard from, though a plan is there. */
static bool is_silent(const struct simulated_story *story, int day)
{
    bool is = false;
    for (int i = 0; i < STORY_SPANS; i++) {
        const struct story_span *span = &story->spans[i];
        is = is || (span->kind == STORY_SILENT && day >= span->from_day && day < span->to_day);
    }
    return is;
}

/* Everything planned up to a week; luck is drawn for every slot, so that weeks to come change
 * nothing of those before. */
static size_t plan(struct arena *arena, const struct simulated_story *story, int weeks,
                   struct season_ride **out)
{
    struct simulated_random random = simulated_random_begin(story->seed, STREAM_SEASON);
    size_t count = 0;
    int number = 0;
    *out = ARENA_ARRAY(arena, struct season_ride, (size_t)weeks * STORY_SLOTS + 1);
    for (int week = 0; week < weeks; week++) {
        const struct story_phase *phase = phase_of(story, week);
        for (int slot = 0; slot < STORY_SLOTS && phase->slots[slot].weekday != 0; slot++) {
            const int weekday = phase->slots[slot].weekday;
            const int day = 7 * week + weekday - 1;
            const enum simulated_outing outing =
                outing_of(story, week, slot, phase->slots[slot].outing);
            const bool luckless = simulated_random_chance(&random, story->missed);
            const bool must = is_test(outing) || outing == SIMULATED_OUTING_BASE;
            const bool silent = is_silent(story, day);
            const bool missed = silent || (luckless && !must);
            if (is_off(story, day) && !silent) {
                continue;
            }
            const int from = story->outdoors_week + (weekday < 6 ? 6 : 0);
            const bool outdoors =
                week >= from && !must && !(story->trainer_only && is_hard(outing));
            (*out)[count++] =
                (struct season_ride){ .story = story,
                                      .number = number,
                                      .day = day,
                                      .outing = outing,
                                      .meant = must ? outing : phase->slots[slot].outing,
                                      .outdoors = outdoors || outing == SIMULATED_OUTING_RUN,
                                      .missed = missed,
                                      .seed = story->seed * 10000 + (uint64_t)day };
            number += missed ? 0 : 1;
        }
    }
    return count;
}

void season_rides(struct arena *arena, const struct simulated_story *story,
                  struct season_ride **out, size_t *count)
{
    const size_t n = plan(arena, story, SEASON_WEEKS, out);
    *count = 0;
    for (size_t i = 0; i < n; i++) {
        if (!(*out)[i].missed) {
            (*out)[(*count)++] = (*out)[i];
        }
    }
}

void season_planned(struct arena *arena, const struct simulated_story *story, int from_week,
                    int to_week, struct season_ride **out, size_t *count)
{
    const size_t n = plan(arena, story, to_week, out);
    *count = 0;
    for (size_t i = 0; i < n; i++) {
        if ((*out)[i].day >= 7 * from_week) {
            (*out)[(*count)++] = (*out)[i];
        }
    }
}

const struct simulated_block *season_blocks(struct arena *arena, const struct season_ride *ride,
                                            size_t *n)
{
    const struct simulated_rider rider = season_rider(ride->story, (double)ride->day / 7.0);
    const struct simulated_plan made = simulated_outing_make(
        arena, &rider, &ride->story->habits, ride->outing, ride->outdoors,
        story_value(ride->story->drift_bpm, (double)ride->day / 7.0), ride->seed);
    *n = made.n_blocks;
    return made.blocks;
}

/* ---- how she is ---- */

struct simulated_rider season_rider(const struct simulated_story *story, double week)
{
    struct simulated_rider rider = simulated_rider_draw(story->seed);
    /* What the heart does at threshold stays; the watts that go with it change. */
    const double gain_bpm = rider.gain_bpm_per_w * rider.threshold_w;
    const double cp_share = rider.critical_power_w / rider.threshold_w;
    const double w_prime_s = rider.w_prime_j / rider.threshold_w;
    const double at_threshold = 0.90 * story->max_heart_rate_bpm;
    rider.threshold_w = story_value(story->threshold_w, week);
    rider.critical_power_w = cp_share * rider.threshold_w;
    rider.w_prime_j = w_prime_s * rider.threshold_w;
    rider.gain_bpm_per_w = gain_bpm / rider.threshold_w;
    rider.max_heart_rate_bpm = story->max_heart_rate_bpm;
    rider.rest_heart_rate_bpm = at_threshold - gain_bpm;
    rider.mass_kg = story->body_kg + 11.0;
    rider.day_bpm = 0.0;
    return rider;
}

/* The last days before an illness and the first after it. */
static bool is_poorly(const struct simulated_story *story, int day)
{
    for (int i = 0; i < STORY_SPANS; i++) {
        const struct story_span *span = &story->spans[i];
        if (span->kind == STORY_ILL && ((day < span->from_day && day >= span->from_day - 3) ||
                                        (day >= span->to_day && day < span->to_day + 6))) {
            return true;
        }
    }
    return false;
}

bool season_is_poorly(const struct season_ride *ride)
{
    return is_poorly(ride->story, ride->day);
}

bool season_is_caffeine(const struct season_ride *ride)
{
    return ride->number % 21 == 10;
}

int64_t season_strap_serial(const struct simulated_story *story, bool renewed)
{
    return 55000 + 10 * (int64_t)story->seed + (renewed ? 1 : 0);
}

static const struct story_meter *meter_of(const struct simulated_story *story, int week)
{
    const bool second = story->meters[1].serial != 0 && week >= story->meters[1].from_week;
    return &story->meters[second ? 1 : 0];
}

/* ---- when, and with what ---- */

static bool is_summer(int day)
{
    return day >= 118; /* from 29 March 2026 on */
}

static int64_t start_of(const struct season_ride *ride, struct simulated_random *random)
{
    int64_t first = 0;
    (void)dates_parse_day(SEASON_FIRST_DAY, &first);
    const bool weekend = ride->day % 7 >= 5;
    const int minute = weekend ? 9 * 60 + simulated_random_whole(random, 0, 80)
                               : 17 * 60 + 15 + simulated_random_whole(random, 0, 90);
    const int64_t local =
        86400 * (first + ride->day) + (int64_t)60 * minute + simulated_random_whole(random, 0, 59);
    return local + (is_summer(ride->day) ? 0 : 3600);
}

static struct simulated_device device_of(const struct season_ride *ride, int week,
                                         struct simulated_random *random)
{
    const struct simulated_story *story = ride->story;
    const struct story_meter *meter = meter_of(story, week);
    struct simulated_device device = simulated_device_draw(story->seed);
    device.without_cadence = false;
    device.power_scale = meter->scale * (1.0 + 0.004 * simulated_random_normal(random));
    if (meter->one_sided) {
        /* Twice the left leg's, whose share is another every day. */
        device.power_scale *= 1.0 + 0.015 * simulated_random_normal(random);
        device.without_balance = true;
    }
    device.without_power =
        ride->outing == SIMULATED_OUTING_RUN || (story->trainer_only && ride->outdoors);
    device.without_heart = simulated_random_chance(random, 0.015);
    device.auto_pause = ride->outdoors;
    return device;
}

/* Coolest in January, warmest in July. */
static double temperature_of(const struct season_ride *ride, struct simulated_random *random)
{
    const double swing = sin(6.2831853 * (double)(ride->day - 140) / 365.0);
    const double scatter = 2.5 * simulated_random_normal(random);
    return ride->outdoors ? 15.0 + 8.0 * swing + scatter : 19.0 + 2.5 * swing + 0.4 * scatter;
}

/* What goes wrong with sensors: -1 = nothing. */
static int fault_of(const struct season_ride *ride, int week, const struct simulated_device *device,
                    struct simulated_random *random)
{
    static const enum simulated_fault strap[] = { SIMULATED_FAULT_HEART_DROPOUT,
                                                  SIMULATED_FAULT_HEART_JUMP,
                                                  SIMULATED_FAULT_CADENCE_LOCK,
                                                  SIMULATED_FAULT_HEART_FLAT };
    static const enum simulated_fault power[] = { SIMULATED_FAULT_POWER_SPIKE,
                                                  SIMULATED_FAULT_POWER_DROPOUT_MISSING,
                                                  SIMULATED_FAULT_POWER_DROPOUT_ZERO,
                                                  SIMULATED_FAULT_POWER_STUCK };
    const struct simulated_story *story = ride->story;
    const bool fails = story->strap_fails_from > 0 && week >= story->strap_fails_from &&
                       week < story->strap_fails_to;
    const double luck = simulated_random_unit(random);
    const int which = simulated_random_whole(random, 0, 3);
    if (device->without_heart || device->without_power) {
        return -1;
    }
    if (luck < (fails ? 0.5 : 0.015)) {
        return (int)strap[which];
    }
    return luck > 0.98 && !is_test(ride->outing) ? (int)power[which] : -1;
}

/* ---- as a file ---- */

/* Laps as a hand presses them: some seconds after the edges of the efforts. */
static size_t press_laps(struct arena *arena, const struct simulated_plan *plan,
                         const struct simulated_ride *ride, struct simulated_random *random,
                         struct lap **laps)
{
    const int32_t end_s = ride->samples.time_s[ride->samples.count - 1] + 1;
    *laps = ARENA_ARRAY(arena, struct lap, 2 * ride->n_reps + 1);
    size_t count = 0;
    int32_t from_s = 0;
    /* Nobody presses a lap in efforts of half a minute. */
    const bool presses = plan->n_blocks < 40;
    for (size_t i = 0; presses && i < 2 * ride->n_reps; i++) {
        const struct simulated_rep *rep = &ride->reps[i / 2];
        const int32_t edge_s = i % 2 == 0 ? rep->start_s : rep->end_s;
        const int32_t pressed_s = edge_s + simulated_random_whole(random, 0, 4);
        if (pressed_s > from_s && pressed_s < end_s) {
            (*laps)[count++] = (struct lap){ from_s, pressed_s, true, -1 };
            from_s = pressed_s;
        }
    }
    (*laps)[count++] = (struct lap){ from_s, end_s, false, -1 };
    return count;
}

static size_t list_events(struct arena *arena, const struct simulated_ride *ride,
                          struct fit_event **events)
{
    *events = ARENA_ARRAY(arena, struct fit_event, 2 * ride->n_timer_stops + 2);
    size_t count = 0;
    (*events)[count++] = (struct fit_event){ 0, true };
    for (size_t i = 0; i < ride->n_timer_stops; i++) {
        (*events)[count++] = (struct fit_event){ ride->timer_stops[i].from_s, false };
        (*events)[count++] = (struct fit_event){ ride->timer_stops[i].to_s, true };
    }
    const int32_t last_s = ride->samples.time_s[ride->samples.count - 1];
    (*events)[count++] = (struct fit_event){ last_s, false };
    return count;
}

/* The rider's word for it, 0 to 10, after most rides. */
static double effort_of(enum simulated_outing outing, struct simulated_random *random)
{
    const double about = is_test(outing)                       ? 9.3
                         : outing == SIMULATED_OUTING_HARD     ? 8.0
                         : outing == SIMULATED_OUTING_STEADY   ? 6.6
                         : outing == SIMULATED_OUTING_SPRINTS  ? 6.0
                         : outing == SIMULATED_OUTING_TOO_HARD ? 5.5
                         : outing == SIMULATED_OUTING_LONG     ? 4.6
                                                               : 3.2;
    const double said = floor(about + 0.8 * simulated_random_normal(random) + 0.5);
    const bool says = simulated_random_chance(random, 0.7);
    return !says ? 0.0 : (said < 1.0 ? 1.0 : (said > 10.0 ? 10.0 : said));
}

/* On foot the same legs make a third of the way. */
static void go_on_foot(struct simulated_ride *ride)
{
    for (size_t i = 0; i < ride->samples.count; i++) {
        ride->samples.value[CHANNEL_SPEED][i] /= 3;
        ride->samples.value[CHANNEL_DISTANCE][i] /= 3;
    }
    ride->samples.value[CHANNEL_CADENCE] = NULL;
    ride->samples.value[CHANNEL_BALANCE] = NULL;
}

static void list_sensors(const struct season_ride *ride, int week, bool has_power, bool has_heart,
                         struct simulated_random *random, struct fit_sensor sensors[2], size_t *n)
{
    const struct simulated_story *story = ride->story;
    *n = 0;
    if (has_power) {
        sensors[(*n)++] =
            (struct fit_sensor){ .type =
                                     story->trainer_only ? FIT_SENSOR_TRAINER : FIT_SENSOR_POWER,
                                 .maker = (uint16_t)(story->maker + 10),
                                 .product = 3,
                                 .serial = meter_of(story, week)->serial,
                                 .has_zero_offset = ride->number % 9 == 0,
                                 .zero_offset = 400 + simulated_random_whole(random, -25, 25) };
    }
    if (has_heart) {
        const bool new_strap = story->strap_fails_to > 0 && week >= story->strap_fails_to;
        sensors[(*n)++] =
            (struct fit_sensor){ .type = FIT_SENSOR_HEART_RATE,
                                 .maker = (uint16_t)(story->maker + 20),
                                 .product = 1,
                                 .serial = (uint32_t)season_strap_serial(story, new_strap) };
    }
}

static double mean_of_test(const struct season_ride *ride, const struct simulated_ride *ridden,
                           const struct simulated_device *device)
{
    /* Its last effort: what the legs did, as the meter shows it. */
    return ride->outing == SIMULATED_OUTING_TEST && ridden->n_reps > 0
               ? ridden->reps[ridden->n_reps - 1].mean_power_w * device->power_scale
               : (double)NAN;
}

static double highest_heart(const struct samples *samples)
{
    double highest = (double)NAN;
    const int32_t *heart = samples->value[CHANNEL_HEART_RATE];
    for (size_t i = 0; heart != NULL && i < samples->count; i++) {
        if (heart[i] != RECORDING_MISSING && !((double)heart[i] <= highest)) {
            highest = heart[i];
        }
    }
    return highest;
}

/* What was meant: efforts of one length, or none to speak of. */
static void note_reps(const struct simulated_ride *ridden, struct season_files *out)
{
    out->n_reps = ridden->n_reps;
    out->rep_s = ridden->n_reps > 0 ? (double)(ridden->reps[0].end_s - ridden->reps[0].start_s)
                                    : (double)NAN;
    for (size_t i = 1; i < ridden->n_reps; i++) {
        const double rep_s = (double)(ridden->reps[i].end_s - ridden->reps[i].start_s);
        out->rep_s = fabs(rep_s - out->rep_s) < 0.5 ? out->rep_s : (double)NAN;
    }
}

/* The watch was started a little later and knows heart rate and the way. */
static bool write_watch(struct arena *arena, const struct season_ride *ride,
                        const struct fit_activity *activity, const char *day,
                        struct season_files *out, struct error *err)
{
    struct fit_activity watch = *activity;
    watch.maker = 60005;
    watch.product = 2;
    watch.serial = (uint32_t)(880000 + ride->story->seed);
    watch.start_utc += 14;
    watch.n_laps = 0;
    watch.n_events = 0;
    watch.n_sensors = 0;
    watch.effort_0_10 = 0.0;
    watch.samples.value[CHANNEL_POWER] = NULL;
    watch.samples.value[CHANNEL_CADENCE] = NULL;
    watch.samples.value[CHANNEL_BALANCE] = NULL;
    out->watch_name = arena_format(arena, "%s-watch.fit", day);
    return fit_write(arena, &watch, &out->watch_bytes, err);
}

bool season_write(struct arena *arena, const struct season_ride *ride, struct season_files *out,
                  struct error *err)
{
    const struct simulated_story *story = ride->story;
    const int week = ride->day / 7;
    struct simulated_random random = simulated_random_begin(ride->seed, STREAM_DAY);
    struct simulated_random hand = simulated_random_begin(ride->seed, STREAM_HAND);
    struct simulated_rider rider = season_rider(story, (double)ride->day / 7.0);
    const bool poorly = is_poorly(story, ride->day);
    rider.day_bpm = 2.3 * simulated_random_normal(&random) + (poorly ? 8.0 : 0.0) +
                    (season_is_caffeine(ride) ? 5.0 : 0.0);
    const double drift_bpm =
        story_value(story->drift_bpm, (double)ride->day / 7.0) + (poorly ? 4.0 : 0.0);
    struct simulated_plan plan = simulated_outing_make(arena, &rider, &story->habits, ride->outing,
                                                       ride->outdoors, drift_bpm, ride->seed);
    plan.device = device_of(ride, week, &random);
    plan.start_utc = start_of(ride, &random);
    plan.temperature_c = temperature_of(ride, &random);
    struct simulated_ride ridden = simulated_ride_make(arena, &rider, &plan);
    out->test_w = mean_of_test(ride, &ridden, &plan.device);
    out->heart_max_bpm = highest_heart(&ridden.samples);
    note_reps(&ridden, out);
    const int fault = fault_of(ride, week, &plan.device, &random);
    if (fault >= 0) {
        (void)simulated_fault_add(arena, &ridden, (enum simulated_fault)fault, ride->seed);
    }
    if (ride->outing == SIMULATED_OUTING_RUN) {
        go_on_foot(&ridden);
    }
    struct lap *laps = NULL;
    struct fit_event *events = NULL;
    struct fit_sensor sensors[2];
    struct fit_activity activity = {
        .start_utc = plan.start_utc,
        .has_utc_offset = true,
        .utc_offset_s = is_summer(ride->day) ? 0 : -3600,
        .sport = ride->outing == SIMULATED_OUTING_RUN ? SPORT_RUNNING : SPORT_CYCLING,
        .place = ride->outdoors ? PLACE_OUTDOORS : PLACE_INDOORS,
        .big_endian = story->seed % 5 == 0,
        .old_header = story->seed % 7 == 0,
        .maker = story->maker,
        .product = story->maker == 60001 ? 7 : 12,
        .serial = (uint32_t)(410000 + story->seed),
        .samples = ridden.samples,
        .effort_0_10 = effort_of(ride->outing, &hand),
    };
    activity.n_laps = press_laps(arena, &plan, &ridden, &hand, &laps);
    activity.laps = laps;
    activity.n_events = list_events(arena, &ridden, &events);
    activity.events = events;
    list_sensors(ride, week, !plan.device.without_power, !plan.device.without_heart, &hand, sensors,
                 &activity.n_sensors);
    activity.sensors = sensors;
    char day[11];
    dates_format_day((plan.start_utc + activity.utc_offset_s) / 86400, day);
    out->name = arena_format(arena, "%s.fit", day);
    out->watch_name = NULL;
    return fit_write(arena, &activity, &out->bytes, err) &&
           (!simulated_random_chance(&hand, ride->outdoors ? story->watch : 0.0) ||
            write_watch(arena, ride, &activity, day, out, err));
}
