/* coaching/words/finding_words.c: what is wrong with a recording, one sentence or two a finding. */
#include "coaching/words/words.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

static bool is_several(const struct finding *finding)
{
    return finding_value(finding, "count") > 1.0;
}

/* "at 34:10", "between 34:10 and 36:40", or nothing for the whole ride. */
static char *where(struct arena *arena, const struct finding *finding)
{
    if (finding->whole_ride) {
        return arena_string(arena, "over the whole ride");
    }
    char *from = words_clock(arena, finding->span.from_s);
    return is_several(finding) ? arena_format(arena, "between %s and %s", from,
                                              words_clock(arena, finding->span.to_s))
                               : arena_format(arena, "at %s", from);
}

/* "for 36 s at 34:10", "3 times, 46 s in all, between 34:10 and 36:40". */
static char *how_long(struct arena *arena, const struct finding *finding)
{
    char *seconds = words_duration(arena, finding_value(finding, "seconds"));
    if (is_several(finding)) {
        return arena_format(arena, "%s, %s in all, %s",
                            words_times(arena, finding_value(finding, "count")), seconds,
                            where(arena, finding));
    }
    return arena_format(arena, "for %s %s", seconds, where(arena, finding));
}

static char *whole(struct arena *arena, const struct finding *finding, const char *name)
{
    return words_whole(arena, finding_value(finding, name));
}

/* ---- power ---- */

static char *power_spike(struct arena *arena, const struct finding *finding)
{
    if (is_several(finding)) {
        return arena_format(arena, "%s power spikes, up to %s W, %s: no rider made them. Left out.",
                            whole(arena, finding, "count"), whole(arena, finding, "max_w"),
                            where(arena, finding));
    }
    return arena_format(arena, "A power spike to %s W %s: no rider made it. Left out.",
                        whole(arena, finding, "max_w"), where(arena, finding));
}

static char *power_dropout(struct arena *arena, const struct finding *finding)
{
    return arena_format(arena, "Power fell out %s. Left out.", how_long(arena, finding));
}

static char *power_stuck(struct arena *arena, const struct finding *finding)
{
    if (finding->whole_ride) {
        return arena_format(arena,
                            "Power is the trainer's target, not a measurement: it stood still for "
                            "%s %% of the pedalling. Left out.",
                            whole(arena, finding, "share_pct"));
    }
    return arena_format(arena,
                        "Power stood still %s (%s W) while the rider didn't: the meter repeated "
                        "itself. Left out.",
                        how_long(arena, finding), whole(arena, finding, "at_w"));
}

static char *trainer_held(struct arena *arena, const struct finding *finding)
{
    return arena_format(
        arena,
        "The trainer held the power for %s, %s %% of the work as hard: pacing can't "
        "be judged there. Fading would show as cadence falling by 10 or more.",
        words_duration(arena, finding_value(finding, "seconds")),
        whole(arena, finding, "share_pct"));
}

static char *one_sided(struct arena *arena, const struct finding *finding)
{
    return arena_format(arena,
                        "The meter gives all the power to the %s side. Two legs reckoned from one "
                        "may read high or low.",
                        finding_value(finding, "left_pct") > 50.0 ? "left" : "right");
}

static char *balance_drift(struct arena *arena, const struct finding *finding)
{
    return arena_format(arena,
                        "The left side's share went from %s to %s %% at even power (%s to %s): "
                        "either the rider's legs or one half of the meter. Ask for a meter check.",
                        whole(arena, finding, "first_pct"), whole(arena, finding, "last_pct"),
                        words_clock(arena, finding->span.from_s),
                        words_clock(arena, finding->span.to_s));
}

/* ---- heart rate ---- */

static char *heart_dropout(struct arena *arena, const struct finding *finding)
{
    return arena_format(arena, "No heart rate %s. Left out.", how_long(arena, finding));
}

static char *heart_low(struct arena *arena, const struct finding *finding)
{
    if (!isnan(finding_value(finding, "off_bpm"))) {
        return arena_format(arena,
                            "Heart rate lay up to %s beats below what this work brings with this "
                            "rider, %s: the strap had lost the skin. Left out.",
                            whole(arena, finding, "off_bpm"), how_long(arena, finding));
    }
    return arena_format(arena,
                        "Heart rate was far too low for the work %s, at %s W: the sensor had lost "
                        "the skin. Left out.",
                        how_long(arena, finding), whole(arena, finding, "power_w"));
}

static char *dry_strap(struct arena *arena, const struct finding *finding)
{
    return arena_format(arena,
                        "Heart rate lay up to %s beats above what this work brings with this rider "
                        "until %s, and then fell at one power: a strap still dry. Left out until "
                        "then.",
                        whole(arena, finding, "off_bpm"), words_clock(arena, finding->span.to_s));
}

static char *late_heart(struct arena *arena, const struct finding *finding)
{
    return arena_format(arena,
                        "Heart rate came about %s late on this ride (usually %s with this rider): "
                        "the sensor, or what sits behind it, lags. Heart rate of efforts is not "
                        "read.",
                        words_duration(arena, finding_value(finding, "dead_s")),
                        words_duration(arena, finding_value(finding, "usual_s")));
}

static char *heart_flat(struct arena *arena, const struct finding *finding)
{
    return arena_format(arena,
                        "Heart rate stood still at %s %s while the work changed: the sensor "
                        "repeated itself. Left out.",
                        whole(arena, finding, "at_bpm"), how_long(arena, finding));
}

static char *heart_jump(struct arena *arena, const struct finding *finding)
{
    return arena_format(
        arena, "Heart rate broke away by %s beats and came back, %s. Usually the strap. Left out.",
        whole(arena, finding, "most_bpm"), how_long(arena, finding));
}

static char *cadence_lock(struct arena *arena, const struct finding *finding)
{
    return arena_format(arena,
                        "Heart rate followed cadence %s: the sensor counted the legs. Left out.",
                        how_long(arena, finding));
}

/* ---- the ride as a whole ---- */

static char *gap(struct arena *arena, const struct finding *finding)
{
    return arena_format(arena, "The device wrote nothing %s.", how_long(arena, finding));
}

static char *summary_differs(struct arena *arena, const struct finding *finding)
{
    static const struct {
        const char *device;
        const char *series;
        const char *quantity;
        const char *unit;
        double step;
    } rows[] = {
        { "device_kj", "series_kj", "work", "kJ", 1.0 },
        { "device_w", "series_w", "mean power", "W", 1.0 },
        { "device_m", "series_m", "distance", "km", 0.001 },
    };
    const double differs_pct = fabs(finding_value(finding, "differs_pct"));
    if (finding->detail != NULL && strcmp(finding->detail, "mean power without coasting") == 0) {
        return arena_format(arena,
                            "The device's own mean power, %s W, leaves out coasting: over all of "
                            "the riding time it is %s W.",
                            whole(arena, finding, "device_w"), whole(arena, finding, "series_w"));
    }
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const double device = finding_value(finding, rows[i].device) * rows[i].step;
        if (!isnan(device)) {
            const double series = finding_value(finding, rows[i].series) * rows[i].step;
            const int decimals = rows[i].step < 1.0 ? 1 : 0;
            return arena_format(arena,
                                "The device's own %s, %.*f %s, is %s %% off what its seconds add "
                                "up to, %.*f %s. The seconds are used.",
                                rows[i].quantity, decimals, device, rows[i].unit,
                                words_whole(arena, differs_pct), decimals, series, rows[i].unit);
        }
    }
    return arena_format(arena,
                        "The device's own riding time, %s, is %s %% off what its seconds add up "
                        "to, %s. The seconds are used.",
                        words_duration(arena, finding_value(finding, "device_s")),
                        words_whole(arena, differs_pct),
                        words_duration(arena, finding_value(finding, "series_s")));
}

static char *hot(struct arena *arena, const struct finding *finding)
{
    const double start_c = finding_value(finding, "start_c");
    const double end_c = finding_value(finding, "end_c");
    if (finding->detail != NULL) { /* warm only at its end */
        return arena_format(arena,
                            "It warmed from %.0f to %.0f \xC2\xB0"
                            "C: heart rate rises with heat, so a rise may be the weather's.",
                            start_c, end_c);
    }
    return arena_format(arena,
                        "Hot: %.0f \xC2\xB0"
                        "C on average. Heart rate rises with heat, so a rise may be the weather's.",
                        finding_value(finding, "mean_c"));
}

static char *high(struct arena *arena, const struct finding *finding)
{
    return arena_format(arena,
                        "%s above %s m, up to %s m: the same effort gives less power there. A "
                        "threshold tested much lower doesn't fit.",
                        words_duration(arena, finding_value(finding, "seconds")),
                        whole(arena, finding, "line_m"), whole(arena, finding, "highest_m"));
}

/* ---- from the readers ---- */

static char *clock_off(struct arena *arena, const struct finding *finding)
{
    const double rows = finding_value(finding, "rows");
    if (!isnan(rows)) {
        return arena_format(arena, "Time ran back in %s of its rows, by %s at most. Left out.",
                            words_whole(arena, rows),
                            words_duration(arena, finding_value(finding, "most_back_s")));
    }
    if (!isnan(finding_value(finding, "turned_round"))) {
        return arena_string(arena, "Its rows ran backwards in time; they were turned round.");
    }
    const char *detail = finding->detail != NULL ? finding->detail : "is in doubt";
    const double jump_s = finding_value(finding, "jump_s");
    const double records = finding_value(finding, "records");
    if (!isnan(jump_s)) {
        return arena_format(arena, "The device's clock %s, by %s.", detail,
                            words_duration(arena, fabs(jump_s)));
    }
    if (!isnan(records)) {
        return arena_format(arena, "The device's clock %s (%s records).", detail,
                            words_whole(arena, records));
    }
    return arena_format(arena, "The device's clock %s.", detail);
}

static char *damage(struct arena *arena, const struct finding *finding)
{
    return arena_format(arena, "The file is damaged: %s. What could be read, was.",
                        finding->detail != NULL ? finding->detail : "some of it is missing");
}

static const char *channel_word(const struct finding *finding)
{
    switch (finding->channel) {
    case CHANNEL_POWER: return "Power";
    case CHANNEL_HEART_RATE: return "Heart rate";
    case CHANNEL_CADENCE: return "Cadence";
    case CHANNEL_SPEED: return "Speed";
    case CHANNEL_DISTANCE: return "Distance";
    case CHANNEL_ALTITUDE: return "Height";
    case CHANNEL_TEMPERATURE: return "Temperature";
    case CHANNEL_LATITUDE:
    case CHANNEL_LONGITUDE: return "Position";
    case CHANNEL_BALANCE: return "Balance";
    default: return "The recording";
    }
}

static char *developer_channel(struct arena *arena, const struct finding *finding)
{
    return arena_format(arena,
                        "%s comes from an added field of the device (%s samples), where its own "
                        "field held none.",
                        channel_word(finding), whole(arena, finding, "samples"));
}

static char *developer_differs(struct arena *arena, const struct finding *finding)
{
    return arena_format(arena,
                        "%s was recorded twice and differs: %s on average in the device's own "
                        "field, %s in an added one. The device's own is used.",
                        channel_word(finding), whole(arena, finding, "native_mean"),
                        whole(arena, finding, "developer_mean"));
}

static char *outside_session(struct arena *arena, const struct finding *finding)
{
    return arena_format(arena, "%s records lie outside the session that the file names. Left out.",
                        whole(arena, finding, "records"));
}

static char *bad_rows(struct arena *arena, const struct finding *finding)
{
    const double rows = finding_value(finding, "rows");
    const double first = finding_value(finding, "first_line");
    if (isnan(rows)) {
        return arena_string(arena, "Some rows couldn't be read. Left out.");
    }
    return arena_format(
        arena, "%s of its rows couldn't be read%s. Left out.", words_whole(arena, rows),
        isnan(first) ? ""
                     : arena_format(arena, ", the first on line %s", words_whole(arena, first)));
}

static char *unit_unknown(struct arena *arena, const struct finding *finding)
{
    if (finding->detail == NULL) {
        return arena_string(arena, "A column has a unit that isn't known. Left out.");
    }
    return arena_format(arena, "The unit of its column \"%s\" isn't known. Left out.",
                        finding->detail);
}

static char *bad_points(struct arena *arena, const struct finding *finding)
{
    const double timeless = finding_value(finding, "timeless");
    const double values = finding_value(finding, "values");
    const char *points =
        timeless > 0.0 ? arena_format(arena, "%s of its %s track points had no time. ",
                                      words_whole(arena, timeless), whole(arena, finding, "of"))
                       : "";
    const char *fields = values > 0.0 ? arena_format(arena, "%s of its values made no sense. ",
                                                     words_whole(arena, values))
                                      : "";
    return arena_format(arena, "%s%sLeft out.", points, fields);
}

static char *sport_assumed(struct arena *arena, const struct finding *finding)
{
    if (finding->detail != NULL) {
        return arena_format(arena,
                            "The file names no sport that is known (\"%s\"); it is read as a ride, "
                            "because there is power or cadence in it.",
                            finding->detail);
    }
    return arena_string(arena, "The file names no sport; it is read as a ride, because there is "
                               "power or cadence in it.");
}

/* ---- anything else ---- */

/* A code that has no sentence yet: what it is called, what came with it, and where. */
static char *plainly(struct arena *arena, const struct finding *finding)
{
    struct text text = text_begin(arena, 600);
    text_add_format(&text, "%s: %s", channel_word(finding), finding->code);
    if (finding->detail != NULL) {
        text_add_format(&text, ", %s", finding->detail);
    }
    if (!finding->whole_ride) {
        text_add_format(&text, ", from %s to %s", words_clock(arena, finding->span.from_s),
                        words_clock(arena, finding->span.to_s));
    }
    switch (finding->effect) {
    case EFFECT_MASKED: text_add(&text, ". Left out."); break;
    case EFFECT_SPOILS: text_add(&text, ". It may spoil what is read from the ride."); break;
    case EFFECT_NOTED: text_add(&text, "."); break;
    }
    return text.bytes;
}

char *words_finding(struct arena *arena, const struct finding *finding)
{
    static const struct {
        const char *code;
        char *(*say)(struct arena *arena, const struct finding *finding);
    } rows[] = {
        { "power-spike", power_spike },
        { "power-dropout", power_dropout },
        { "power-stuck", power_stuck },
        { "trainer-held", trainer_held },
        { "one-sided", one_sided },
        { "balance-drift", balance_drift },
        { "heart-dropout", heart_dropout },
        { "heart-low", heart_low },
        { "dry-strap", dry_strap },
        { "late-heart", late_heart },
        { "heart-flat", heart_flat },
        { "heart-jump", heart_jump },
        { "cadence-lock", cadence_lock },
        { "gap", gap },
        { "summary-differs", summary_differs },
        { "hot", hot },
        { "high", high },
        { "clock", clock_off },
        { "damage", damage },
        { "developer-power", developer_channel },
        { "developer-heart-rate", developer_channel },
        { "developer-cadence", developer_channel },
        { "developer-differs", developer_differs },
        { "outside-session", outside_session },
        { "bad-rows", bad_rows },
        { "unit-unknown", unit_unknown },
        { "bad-points", bad_points },
        { "sport-assumed", sport_assumed },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (strcmp(rows[i].code, finding->code) == 0) {
            return rows[i].say(arena, finding);
        }
    }
    return plainly(arena, finding);
}
