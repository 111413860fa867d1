/* roster/export_tables.c: the tables of an export and their columns. */
#include "roster/export_tables.h"

#define OF_RIDER "WHERE ($1 = 0 OR x.rider = $1)"
#define OF_RIDE  "JOIN recording r ON r.id = x.recording WHERE ($1 = 0 OR r.rider = $1)"

#define ID(what)                                                                                   \
    {                                                                                              \
        "id", NULL, 'I', "", "number of the " what                                                 \
    }
#define RIDER                                                                                      \
    {                                                                                              \
        "rider", NULL, 'I', "", "whose: id in riders.csv"                                          \
    }
#define RIDE                                                                                       \
    {                                                                                              \
        "ride", "x.recording", 'I', "", "which ride: id in rides.csv"                              \
    }
#define DAY(meaning)                                                                               \
    {                                                                                              \
        "day", NULL, 'T', "local day", meaning                                                     \
    }
#define NOTE                                                                                       \
    {                                                                                              \
        "note", NULL, 'T', "", "a note"                                                            \
    }
#define FROM(meaning)                                                                              \
    {                                                                                              \
        "from_day", NULL, 'T', "local day", meaning                                                \
    }
#define UNTIL                                                                                      \
    {                                                                                              \
        "to_day", NULL, 'T', "local day", "the first day that no longer counts; empty = still so"  \
    }
#define SCALE(column, meaning)                                                                     \
    {                                                                                              \
        column, NULL, 'I', "1 to 5", meaning                                                       \
    }
#define YES(column, meaning)                                                                       \
    {                                                                                              \
        column, NULL, 'B', "", meaning                                                             \
    }
#define TEXT(column, meaning)                                                                      \
    {                                                                                              \
        column, NULL, 'T', "", meaning                                                             \
    }
#define REAL(column, unit, meaning)                                                                \
    {                                                                                              \
        column, NULL, 'R', unit, meaning                                                           \
    }
#define INTEGER(column, unit, meaning)                                                             \
    {                                                                                              \
        column, NULL, 'I', unit, meaning                                                           \
    }

const struct export_table export_tables[] = {
    { "riders.csv",
      "a rider",
      "rider x WHERE ($1 = 0 OR x.id = $1)",
      { ID("rider"),
        TEXT("name", "the name"),
        { "born_day", NULL, 'T', "day", "day of birth" },
        TEXT("sex", "for formulas that ask it"),
        { "training_since_day", NULL, 'T', "day", "regular training since" },
        { "power_since_day", NULL, 'T', "day", "rides with a power meter since" },
        TEXT("zone_name", "IANA time zone; empty = the roster's"),
        TEXT("address", "for letters"),
        TEXT("accepts", "what the device takes"),
        NOTE,
        YES("is_away", "no longer coached") } },
    { "weights.csv",
      "body weight from a day on",
      "weight x " OF_RIDER,
      { ID("entry"), RIDER, DAY("from which it holds"), REAL("value_kg", "kg", "body weight"),
        NOTE } },
    { "thresholds.csv",
      "threshold power from a day on",
      "threshold x " OF_RIDER,
      { ID("entry"),
        RIDER,
        DAY("from which it holds"),
        REAL("value_w", "W", "threshold power"),
        REAL("low_w", "W", "low end of its 90 % interval"),
        REAL("high_w", "W", "high end of its 90 % interval"),
        TEXT("protocol", "how it is known"),
        { "ride", "x.recording", 'I', "", "the ride it was found on: id in rides.csv" },
        INTEGER("meter", "", "the power meter: id in equipment.csv"),
        TEXT("who", "who said so"),
        NOTE } },
    { "max_heart_rates.csv",
      "maximal heart rate from a day on",
      "max_heart_rate x " OF_RIDER,
      { ID("entry"),
        RIDER,
        DAY("from which it holds"),
        REAL("value_bpm", "beats a minute", "maximal heart rate"),
        YES("at_least", "seen, but perhaps not the maximum"),
        TEXT("protocol", "how it is known"),
        { "ride", "x.recording", 'I', "", "the ride it was found on: id in rides.csv" },
        TEXT("who", "who said so"),
        NOTE } },
    { "rest_heart_rates.csv",
      "resting heart rate from a day on",
      "rest_heart_rate x " OF_RIDER,
      { ID("entry"), RIDER, DAY("from which it holds"),
        REAL("value_bpm", "beats a minute", "resting heart rate"),
        TEXT("protocol", "how it is known"), NOTE } },
    { "equipment.csv",
      "a meter, sensor, device or bike",
      "equipment x " OF_RIDER,
      { ID("piece"),
        { "rider", NULL, 'I', "", "whose: id in riders.csv; empty = shared" },
        TEXT("kind", "power-meter, heart-sensor, head-unit, bike, other"),
        TEXT("name", "its name"),
        TEXT("maker", "its maker"),
        TEXT("product", "its model"),
        INTEGER("serial", "", "its serial"),
        TEXT("position", "where it sits"),
        TEXT("sides", "both, left, right"),
        REAL("accuracy_pct", "%", "the maker's word"),
        REAL("charge_hours", "h", "the maker's promise"),
        FROM("in use since"),
        UNTIL,
        NOTE } },
    { "equipment_care.csv",
      "a zero offset, a charge, a check",
      "equipment_care x JOIN equipment e ON e.id = x.equipment WHERE ($1 = 0 OR e.rider = "
      "$1)",
      { ID("entry"), INTEGER("equipment", "", "of which: id in equipment.csv"),
        TEXT("kind", "zero-offset, charge, check, other"), DAY("when"),
        REAL("value", "", "the zero offset"), NOTE } },
    { "zones.csv",
      "a zone of a table of one's own",
      "zone_row x JOIN zone_table t ON t.id = x.zone_table WHERE ($1 = 0 OR t.rider = $1)",
      { ID("zone"),
        { "rider", "t.rider", 'I', "", "whose: id in riders.csv; empty = all" },
        { "day", "t.day", 'T', "local day", "from which the table holds" },
        { "basis", "t.basis", 'T', "", "threshold, or heart-rate-reserve" },
        { "table_name", "t.name", 'T', "", "the table's name" },
        INTEGER("place", "", "from 1, low to high"),
        TEXT("name", "the zone's name"),
        REAL("low_pct", "% of the basis", "where it begins"),
        REAL("high_pct", "% of the basis", "where it ends; empty = open") } },
    { "limits.csv",
      "a limit set otherwise than the program has it",
      "limit_override x " OF_RIDER,
      { ID("entry"),
        { "rider", NULL, 'I', "", "whose: id in riders.csv; empty = all" },
        TEXT("name", "the limit, as plumbline limits lists it"),
        REAL("value", "the limit's", "its value"),
        NOTE } },
    { "goals.csv",
      "what a rider is after",
      "goal x " OF_RIDER,
      { ID("goal"),
        RIDER,
        TEXT("words", "the goal"),
        FROM("since"),
        { "due_day", NULL, 'T', "local day", "by when" },
        { "reached_day", NULL, 'T', "local day", "when it was reached" } } },
    { "events.csv",
      "a race, or a ride that matters",
      "event x " OF_RIDER,
      { ID("event"), RIDER, DAY("when"), TEXT("name", "its name"), TEXT("priority", "A, B or C"),
        NOTE } },
    { "days_off.csv",
      "days without training",
      "day_off x " OF_RIDER,
      { ID("entry"), RIDER, TEXT("kind", "ill, injured, away, break, other"), FROM("the first"),
        UNTIL, NOTE } },
    { "availability.csv",
      "time there is on a weekday",
      "availability x " OF_RIDER,
      { ID("entry"), RIDER, FROM("since"), INTEGER("weekday", "1 = Monday", "which"),
        INTEGER("seconds", "s", "how long"), TEXT("place", "either, indoors, outdoors"), NOTE } },
    { "blocks.csv",
      "a stretch of training",
      "block x " OF_RIDER,
      { ID("block"), RIDER, TEXT("name", "its name"), TEXT("kind", "its kind"), FROM("the first"),
        UNTIL, NOTE } },
    { "screenings.csv",
      "the questions before hard work",
      "screening x " OF_RIDER,
      { ID("entry"),
        RIDER,
        DAY("when asked"),
        YES("heart_condition", "a heart condition is known"),
        YES("chest_pain", "chest pain"),
        YES("fainting", "fainting, dizziness"),
        YES("sudden_death_in_family", "in the family, under 50"),
        YES("medicine", "takes a medicine"),
        YES("pregnancy", "is pregnant"),
        YES("new_and_over_45", "new to training and over 45"),
        TEXT("cleared_by", "who cleared the rider"),
        { "cleared_day", NULL, 'T', "local day", "when" },
        NOTE } },
    { "flags.csv",
      "what switches readings off",
      "flag x " OF_RIDER,
      { ID("flag"), RIDER, TEXT("kind", "heart-medicine, pregnant, guardian-agreed"), FROM("since"),
        UNTIL, NOTE } },
    { "consents.csv",
      "what a rider agreed to",
      "consent x " OF_RIDER,
      { ID("consent"),
        RIDER,
        TEXT("kind", "letters, handouts, studies"),
        TEXT("words", "to what"),
        { "given_day", NULL, 'T', "local day", "when" },
        TEXT("given_by", "by whom"),
        { "withdrawn_day", NULL, 'T', "local day", "when it was withdrawn" } } },
    { "contacts.csv",
      "when coach and rider spoke",
      "contact x " OF_RIDER,
      { ID("entry"), RIDER, DAY("when"), TEXT("how", "by which way"),
        TEXT("words", "about what") } },
    { "day_notes.csv",
      "what was so on a day, or on one ride of it",
      "day_note x " OF_RIDER,
      { ID("note"),
        RIDER,
        DAY("which"),
        { "ride", "x.recording", 'I', "", "of one ride: id in rides.csv; empty = the day" },
        REAL("effort_0_10", "0 to 10", "how hard it felt"),
        SCALE("legs_1_5", "5 = fresh"),
        SCALE("sleep_1_5", "5 = very good"),
        REAL("sleep_h", "h", "slept"),
        SCALE("stress_1_5", "5 = very much"),
        SCALE("soreness_1_5", "5 = very sore"),
        YES("fan", "a fan ran; empty = not known"),
        YES("hot", "it was hot"),
        REAL("temperature_c", "°C", "how warm"),
        YES("dehydrated", "drank too little"),
        REAL("drink_l", "l", "drunk"),
        TEXT("caffeine", "usual, more, less than the habit"),
        YES("ill", "was ill"),
        YES("hard_day_before", "the day before was hard"),
        TEXT("words", "in free words") } },
    { "rides.csv",
      "a recording of one device",
      "recording x JOIN original o ON o.id = x.original WHERE ($1 = 0 OR x.rider = $1)",
      { ID("ride"),
        RIDER,
        INTEGER("original", "", "the file it came in: id in originals.csv"),
        INTEGER("part", "", "place in that file, from 1"),
        INTEGER("parts", "", "recordings in it"),
        INTEGER("same_as", "", "another recording of the same ride: id of the one that counts"),
        TEXT("format", "fit, csv, gpx"),
        TEXT("sport", "what was done"),
        YES("is_ride", "counts as cycling"),
        TEXT("place", "unknown, indoors, outdoors"),
        { "start_utc", "x.start_utc_s", 'U', "UTC", "of the first record" },
        INTEGER("utc_offset_s", "s", "that the device's clock was ahead of UTC"),
        { "local_day", NULL, 'T', "local day", "on which it began" },
        INTEGER("n_seconds", "s", "from the first to the last record, both counted"),
        INTEGER("timer_s", "s", "without pauses"),
        REAL("work_kj", "kJ", "work"),
        REAL("distance_m", "m", "distance"),
        TEXT("device_maker", "of what recorded it"),
        TEXT("device_product", "of what recorded it"),
        INTEGER("device_serial", "", "its serial"),
        REAL("effort_0_10", "0 to 10", "the rider's rating, from the device"),
        REAL("feel_0_100", "0 to 100", "how the rider felt, from the device") } },
    { "asked.csv",
      "what a ride was meant to be",
      "asked x " OF_RIDE,
      { ID("entry"), RIDE, TEXT("kind", "the kind of work"),
        REAL("low_pct", "% of threshold", "low end of the range"),
        REAL("high_pct", "% of threshold", "high end of the range"),
        REAL("low_w", "W", "low end of the range"), REAL("high_w", "W", "high end of the range"),
        INTEGER("reps", "", "efforts asked"), REAL("rep_duration_s", "s", "of an effort"),
        TEXT("was", "test or race: the coach's word"),
        TEXT("spoiled_by", "what spoiled it as a test") } },
    { "loads.csv",
      "how much a ride was",
      "ride_load x " OF_RIDE,
      { ID("entry"), RIDE, REAL("hours", "h", "ridden"), REAL("work_kj", "kJ", "work"),
        REAL("impulse_low", "", "training impulse; low one of two where the rider's sex is unset"),
        REAL("impulse_high", "", "training impulse; high one of two"),
        REAL("session_rpe", "", "effort times minutes"),
        REAL("above_threshold_s", "s", "above threshold"),
        TEXT("zones", "JSON: pairs of zone and seconds, by power"),
        TEXT("heart_zones", "JSON: pairs of zone and seconds, by heart rate"),
        INTEGER("cautions", "", "1 heart rate leapt + 2 far above maximal"),
        YES("is_hilly", "an easy ride on hills") } },
    { "efforts.csv",
      "a best of a ride, and what says that it was all-out",
      "effort x " OF_RIDE,
      { ID("effort"), RIDE, INTEGER("duration_s", "s", "how long"),
        REAL("power_w", "W", "mean power"), INTEGER("start_s", "s", "from the first record"),
        INTEGER("evidence", "",
                "1 marked + 2 heart rate near maximal at its end + 4 far above "
                "threshold and falling"),
        REAL("heart_end_bpm", "beats a minute", "heart rate at its end"),
        REAL("fall_ratio", "", "last quarter against first") } },
    { "sensors.csv",
      "what was connected on a ride",
      "sensor x " OF_RIDE,
      { ID("entry"), RIDE, INTEGER("place", "", "order in the file"), TEXT("kind", "power, ..."),
        TEXT("maker", "its maker"), TEXT("product", "its model"),
        INTEGER("serial", "", "its serial"),
        INTEGER("zero_offset", "", "the last that was recorded") } },
    { "laps.csv",
      "a lap of a ride",
      "lap x " OF_RIDE,
      { ID("lap"), RIDE, INTEGER("place", "", "order, from 0"),
        INTEGER("start_s", "s", "from the first record"),
        INTEGER("end_s", "s", "from the first record"), YES("by_hand", "a button was pressed") } },
    { "findings.csv",
      "what to know before trusting a ride",
      "finding x " OF_RIDE,
      { ID("finding"), RIDE, INTEGER("place", "", "order, from 0"), TEXT("code", "what was found"),
        TEXT("channel", "in which channel; empty = the ride"),
        INTEGER("from_s", "s", "from the first record; empty = the whole ride"),
        INTEGER("to_s", "s", "the first second that is no more of it"),
        TEXT("effect", "noted, masked, spoils"), TEXT("numbers", "its figures, as JSON"),
        TEXT("detail", "more words") } },
    { "readings.csv",
      "what the program said",
      "reading x " OF_RIDER,
      { ID("reading"),
        RIDER,
        TEXT("question", "which question"),
        TEXT("subject_kind", "recording, rider"),
        INTEGER("subject", "", "of a recording: id in rides.csv"),
        INTEGER("set_number", "", "which set of efforts; 0 = the whole"),
        INTEGER("rep_number", "", "which effort; 0 = the whole"),
        DAY("of the ride"),
        TEXT("verdict", "the answer"),
        REAL("estimate", "see unit", "the figure behind it"),
        REAL("low", "see unit", "low end of its likely range"),
        REAL("high", "see unit", "high end of its likely range"),
        TEXT("unit", "of the figure"),
        REAL("limit_value", "see unit", "the line it is held against"),
        TEXT("method", "version of the method"),
        { "made_utc", "x.made_utc_s", 'U', "UTC", "when it was said" },
        TEXT("content", "all of it, as JSON") } },
    { "originals.csv",
      "a file as it came",
      "original x WHERE ($1 = 0 OR EXISTS (SELECT 1 FROM recording r WHERE r.original = x.id AND "
      "r.rider = $1))",
      { ID("file: originals/ID-..."),
        TEXT("name", "as it was called"),
        { "sha256", NULL, 'X', "", "SHA-256 of its bytes, out of any gzip or zip" },
        INTEGER("size", "bytes", "out of any gzip or zip"),
        TEXT("columns", "of a table: which column the coach said is what"),
        { "taken_utc", "x.taken_utc_s", 'U', "UTC", "when it was imported" } } },
    { "attention_marks.csv",
      "what the coach did about a rider on the list of whom to see first",
      "attention_mark x " OF_RIDER,
      { ID("mark"),
        RIDER,
        TEXT("code", "the situation"),
        TEXT("state", "done, asked, not-before"),
        INTEGER("evidence", "", "what it was set on: newer evidence brings the situation back"),
        INTEGER("last_note", "", "a later note is the answer: id in day_notes.csv"),
        { "set_day", NULL, 'T', "local day", "when" },
        { "not_before_day", NULL, 'T', "local day", "not to be shown before" },
        TEXT("line", "in words") } },
    { "folders.csv",
      "whose rides lie in a folder",
      "folder x " OF_RIDER,
      { ID("entry"), TEXT("path", "the folder"), RIDER } },
    { "changes.csv",
      "an edit, as a coach would say it",
      "change x WHERE ($1 = 0 OR EXISTS (SELECT 1 FROM change_row r WHERE r.change = x.id AND "
      "((r.table_name = 'rider' AND r.row_id = $1) OR EXISTS (SELECT 1 FROM change_row a JOIN "
      "change_value v ON v.change_row = a.id WHERE a.table_name = r.table_name AND a.row_id = "
      "r.row_id AND v.column_name = 'rider' AND CAST(CAST($1 AS BIGINT) AS TEXT) IN "
      "(v.before_text, "
      "v.after_text)))))",
      { ID("change"),
        TEXT("words", "what was done"),
        TEXT("who", "by whom"),
        { "made_utc", "x.made_utc_s", 'U', "UTC", "when" },
        INTEGER("undoes", "", "the change it takes back: id"),
        INTEGER("undone_by", "", "the change that took it back: id") } },
};
const size_t n_export_tables = sizeof export_tables / sizeof export_tables[0];

const char *export_type_words(char letter)
{
    switch (letter) {
    case 'I': return "whole number";
    case 'R': return "number";
    case 'B': return "1 = yes, 0 = no";
    case 'U': return "instant, ISO 8601";
    case 'X': return "hexadecimal digits";
    default: return "text";
    }
}
