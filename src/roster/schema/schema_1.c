/* roster/schema/schema_1.c: the first schema.  docs/roster-file.md says what each column means.
 *
 * Days are ISO text in the rider's zone, spans of days half open, instants UTC seconds.  A row that
 * a coach may edit has a version: it rises with every edit, so that two coaches can't overwrite
 * each other unseen. */
#include "roster/schema/schema_1.h"

#include <stddef.h>

#define DAY(column)           column " {TEXT} NOT NULL CHECK (length(" column ") = 10)"
#define VERSION               "version {INTEGER} NOT NULL DEFAULT 1"
#define RIDER                 "rider {INTEGER} NOT NULL REFERENCES rider (id)"
#define BY_RIDER(table, more) "CREATE INDEX " table "_by_rider ON " table " (rider" more ")"

const char *const schema_1[] = {
    /* ---- the roster itself ---- */
    "CREATE TABLE roster_state ("
    " id {INTEGER} PRIMARY KEY NOT NULL CHECK (id = 1),"
    " schema_number {INTEGER} NOT NULL,"
    " made_utc_s {INTEGER} NOT NULL,"
    " changed_utc_s {INTEGER} NOT NULL"
    ") {STRICT}",

    "CREATE TABLE setting ("
    " id {ID},"
    " name {TEXT} NOT NULL UNIQUE,"
    " content {TEXT}," VERSION ") {STRICT}",

    /* ---- riders, and what is true of them from a day on ---- */
    "CREATE TABLE rider ("
    " id {ID},"
    " name {TEXT} NOT NULL CHECK (length(name) BETWEEN 1 AND 200),"
    " name_folded {TEXT} NOT NULL UNIQUE,"
    " born_day {TEXT} CHECK (length(born_day) = 10),"
    " sex {TEXT} CHECK (sex IN ('female', 'male')),"
    " training_since_day {TEXT} CHECK (length(training_since_day) = 10),"
    " power_since_day {TEXT} CHECK (length(power_since_day) = 10),"
    " zone_name {TEXT},"
    " address {TEXT},"
    " accepts {TEXT},"
    " tests {TEXT},"
    " note {TEXT},"
    " is_away {BOOLEAN} NOT NULL," VERSION ") {STRICT}",

    "CREATE TABLE equipment ("
    " id {ID},"
    " rider {INTEGER} REFERENCES rider (id),"
    " kind {TEXT} NOT NULL CHECK (kind IN ('power-meter', 'heart-sensor', 'head-unit', 'bike',"
    "  'other')),"
    " name {TEXT} NOT NULL,"
    " maker {TEXT},"
    " product {TEXT},"
    " serial {INTEGER},"
    " position {TEXT} CHECK (position IN ('crank', 'spider', 'pedals', 'hub', 'trainer', 'chest',"
    "  'arm', 'wrist')),"
    " sides {TEXT} CHECK (sides IN ('both', 'left', 'right')),"
    " accuracy_pct {REAL},"
    " charge_hours {REAL},"
    " from_day {TEXT} CHECK (length(from_day) = 10),"
    " to_day {TEXT} CHECK (length(to_day) = 10),"
    " note {TEXT}," VERSION ") {STRICT}",
    BY_RIDER("equipment", ""),

    "CREATE TABLE equipment_care ("
    " id {ID},"
    " equipment {INTEGER} NOT NULL REFERENCES equipment (id),"
    " kind {TEXT} NOT NULL CHECK (kind IN ('zero-offset', 'charge', 'check', 'change',"
    "  'other'))," DAY("day") ","
                              " value {REAL},"
                              " note {TEXT}," VERSION ") {STRICT}",
    "CREATE INDEX equipment_care_by_day ON equipment_care (equipment, kind, day)",

    "CREATE TABLE weight ("
    " id {ID}," RIDER "," DAY("day") ","
                                     " value_kg {REAL} NOT NULL CHECK (value_kg > 0),"
                                     " note {TEXT}," VERSION ") {STRICT}",
    BY_RIDER("weight", ", day, id"),

    "CREATE TABLE threshold ("
    " id {ID}," RIDER "," DAY("day") ","
                                     " value_w {REAL} NOT NULL CHECK (value_w > 0),"
                                     " low_w {REAL},"
                                     " high_w {REAL},"
                                     " protocol {TEXT} NOT NULL,"
                                     " recording {INTEGER},"
                                     " meter {INTEGER} REFERENCES equipment (id),"
                                     " who {TEXT},"
                                     " note {TEXT}," VERSION ") {STRICT}",
    BY_RIDER("threshold", ", day, id"),

    "CREATE TABLE max_heart_rate ("
    " id {ID}," RIDER "," DAY("day") ","
                                     " value_bpm {REAL} NOT NULL CHECK (value_bpm > 0),"
                                     " at_least {BOOLEAN} NOT NULL,"
                                     " protocol {TEXT} NOT NULL,"
                                     " recording {INTEGER},"
                                     " who {TEXT},"
                                     " note {TEXT}," VERSION ") {STRICT}",
    BY_RIDER("max_heart_rate", ", day, id"),

    "CREATE TABLE rest_heart_rate ("
    " id {ID}," RIDER "," DAY("day") ","
                                     " value_bpm {REAL} NOT NULL CHECK (value_bpm > 0),"
                                     " protocol {TEXT} NOT NULL,"
                                     " note {TEXT}," VERSION ") {STRICT}",
    BY_RIDER("rest_heart_rate", ", day, id"),

    "CREATE TABLE zone_table ("
    " id {ID},"
    " rider {INTEGER} REFERENCES rider (id)," DAY(
        "day") ","
               " basis {TEXT} NOT NULL CHECK (basis IN ('threshold', 'heart-rate-reserve')),"
               " name {TEXT} NOT NULL," VERSION ") {STRICT}",

    BY_RIDER("zone_table", ", day"),

    "CREATE TABLE zone_row ("
    " id {ID},"
    " zone_table {INTEGER} NOT NULL REFERENCES zone_table (id),"
    " place {INTEGER} NOT NULL,"
    " name {TEXT} NOT NULL,"
    " low_pct {REAL} NOT NULL,"
    " high_pct {REAL}," VERSION ","
    " UNIQUE (zone_table, place)) {STRICT}",

    "CREATE TABLE limit_override ("
    " id {ID},"
    " rider {INTEGER} REFERENCES rider (id),"
    " name {TEXT} NOT NULL,"
    " value {REAL} NOT NULL,"
    " note {TEXT}," VERSION ") {STRICT}",

    /* ---- the season ---- */
    "CREATE TABLE goal ("
    " id {ID}," RIDER ","
    " words {TEXT} NOT NULL," DAY(
        "from_day") ","
                    " due_day {TEXT} CHECK (length(due_day) = 10),"
                    " reached_day {TEXT} CHECK (length(reached_day) = 10)," VERSION ") {STRICT}",
    BY_RIDER("goal", ""),

    "CREATE TABLE event ("
    " id {ID}," RIDER
    "," DAY("day") ","
                   " name {TEXT} NOT NULL,"
                   " priority {TEXT} NOT NULL CHECK (priority IN ('A', 'B', 'C')),"
                   " note {TEXT}," VERSION ") {STRICT}",
    BY_RIDER("event", ", day"),

    "CREATE TABLE day_off ("
    " id {ID}," RIDER ","
    " kind {TEXT} NOT NULL CHECK (kind IN ('ill', 'injured', 'away', 'break', 'other')),"
    "" DAY("from_day") ","
                       " to_day {TEXT} CHECK (length(to_day) = 10),"
                       " note {TEXT}," VERSION ") {STRICT}",
    BY_RIDER("day_off", ", from_day"),

    "CREATE TABLE availability ("
    " id {ID}," RIDER
    "," DAY("from_day") ","
                        " weekday {INTEGER} NOT NULL CHECK (weekday BETWEEN 1 AND 7),"
                        " seconds {INTEGER} NOT NULL CHECK (seconds BETWEEN 0 AND 86400),"
                        " place {TEXT} NOT NULL CHECK (place IN ('either', 'indoors',"
                        "  'outdoors')),"
                        " note {TEXT}," VERSION ") {STRICT}",
    BY_RIDER("availability", ", from_day"),

    "CREATE TABLE block ("
    " id {ID}," RIDER ","
    " name {TEXT} NOT NULL,"
    " kind {TEXT}," DAY("from_day") "," DAY("to_day") ","
                                                      " note {TEXT}," VERSION ") {STRICT}",
    BY_RIDER("block", ", from_day"),

    /* What a rider is to ride on a day, in plain words (coaching/session_text). */
    "CREATE TABLE session ("
    " id {ID}," RIDER
    "," DAY("day") ","
                   " name {TEXT} NOT NULL,"
                   " kind {TEXT} NOT NULL,"
                   " words {TEXT} NOT NULL,"
                   " state {TEXT} NOT NULL CHECK (state IN ('drafted', 'given', 'withdrawn',"
                   "  'done')),"
                   " why {TEXT},"
                   " confirmed {TEXT}," VERSION ") {STRICT}",
    BY_RIDER("session", ", day"),

    /* The coach's own, by name. */
    "CREATE TABLE own_session ("
    " id {ID},"
    " name {TEXT} NOT NULL UNIQUE,"
    " kind {TEXT} NOT NULL,"
    " words {TEXT} NOT NULL,"
    " note {TEXT}," VERSION ") {STRICT}",

    /* ---- health, and who agreed to what ---- */
    "CREATE TABLE screening ("
    " id {ID}," RIDER "," DAY("day") ","
                                     " heart_condition {BOOLEAN} NOT NULL,"
                                     " chest_pain {BOOLEAN} NOT NULL,"
                                     " fainting {BOOLEAN} NOT NULL,"
                                     " sudden_death_in_family {BOOLEAN} NOT NULL,"
                                     " medicine {BOOLEAN} NOT NULL,"
                                     " pregnancy {BOOLEAN} NOT NULL,"
                                     " new_and_over_45 {BOOLEAN} NOT NULL,"
                                     " cleared_by {TEXT},"
                                     " cleared_day {TEXT} CHECK (length(cleared_day) = 10),"
                                     " note {TEXT}," VERSION ") {STRICT}",
    BY_RIDER("screening", ", day"),

    "CREATE TABLE flag ("
    " id {ID}," RIDER ","
    " kind {TEXT} NOT NULL CHECK (kind IN ('heart-medicine', 'pregnant', 'guardian-agreed')),"
    "" DAY("from_day") ","
                       " to_day {TEXT} CHECK (length(to_day) = 10),"
                       " note {TEXT}," VERSION ") {STRICT}",
    BY_RIDER("flag", ", kind, from_day"),

    "CREATE TABLE consent ("
    " id {ID}," RIDER ","
    " kind {TEXT} NOT NULL CHECK (kind IN ('letters', 'handouts', 'studies')),"
    " words {TEXT} NOT NULL," DAY(
        "given_day") ","
                     " given_by {TEXT},"
                     " withdrawn_day {TEXT} CHECK (length(withdrawn_day) = 10)," VERSION
                     ") {STRICT}",
    BY_RIDER("consent", ""),

    "CREATE TABLE contact ("
    " id {ID}," RIDER "," DAY("day") ","
                                     " how {TEXT},"
                                     " words {TEXT} NOT NULL," VERSION ") {STRICT}",
    BY_RIDER("contact", ", day"),

    "CREATE TABLE day_note ("
    " id {ID}," RIDER "," DAY("day") ","
                                     " recording {INTEGER},"
                                     " effort_0_10 {REAL} CHECK (effort_0_10 BETWEEN 0 AND 10),"
                                     " legs_1_5 {INTEGER} CHECK (legs_1_5 BETWEEN 1 AND 5),"
                                     " sleep_1_5 {INTEGER} CHECK (sleep_1_5 BETWEEN 1 AND 5),"
                                     " sleep_h {REAL} CHECK (sleep_h BETWEEN 0 AND 24),"
                                     " stress_1_5 {INTEGER} CHECK (stress_1_5 BETWEEN 1 AND 5),"
                                     " soreness_1_5 {INTEGER} CHECK (soreness_1_5 BETWEEN 1 AND"
                                     "  5),"
                                     " fan {BOOLEAN},"
                                     " hot {BOOLEAN} NOT NULL,"
                                     " temperature_c {REAL},"
                                     " dehydrated {BOOLEAN} NOT NULL,"
                                     " drink_l {REAL} CHECK (drink_l >= 0),"
                                     " caffeine {TEXT} CHECK (caffeine IN ('usual', 'more',"
                                     "  'less')),"
                                     " ill {BOOLEAN} NOT NULL,"
                                     " hard_day_before {BOOLEAN} NOT NULL,"
                                     " words {TEXT}," VERSION ") {STRICT}",
    BY_RIDER("day_note", ", day"),

    /* ---- what riders sent ---- */
    "CREATE TABLE original ("
    " id {ID},"
    " sha256 {BLOB} NOT NULL UNIQUE CHECK (length(sha256) = 32),"
    " name {TEXT} NOT NULL,"
    " size {INTEGER} NOT NULL,"
    " packing {TEXT} NOT NULL CHECK (packing IN ('none', 'zlib')),"
    " columns {TEXT},"
    " content {BLOB} NOT NULL,"
    " taken_utc_s {INTEGER} NOT NULL) {STRICT}",
    /* When files came is asked without the bytes of each, which lie before it in the row. */
    "CREATE INDEX original_by_taken ON original (taken_utc_s)",

    "CREATE TABLE recording ("
    " id {ID}," RIDER ","
    " original {INTEGER} NOT NULL REFERENCES original (id),"
    " part {INTEGER} NOT NULL,"
    " parts {INTEGER} NOT NULL,"
    " same_as {INTEGER} REFERENCES recording (id),"
    " same_by_hand {BOOLEAN} NOT NULL,"
    " format {TEXT} NOT NULL,"
    " method {TEXT} NOT NULL,"
    " sport {TEXT} NOT NULL,"
    " is_ride {BOOLEAN} NOT NULL,"
    " place {TEXT} NOT NULL CHECK (place IN ('unknown', 'indoors', 'outdoors')),"
    " start_utc_s {INTEGER},"
    " utc_offset_s {INTEGER},"
    " local_day {TEXT} CHECK (length(local_day) = 10),"
    " n_seconds {INTEGER} NOT NULL,"
    " timer_s {INTEGER} NOT NULL,"
    " work_kj {REAL},"
    " distance_m {REAL},"
    " device_maker {TEXT},"
    " device_product {TEXT},"
    " device_serial {INTEGER},"
    " effort_0_10 {REAL},"
    " feel_0_100 {REAL},"
    " weight_kg {REAL},"
    " weight_from {TEXT} CHECK (weight_from IN ('device', 'scale'))," VERSION ","
    " UNIQUE (original, part, rider)) {STRICT}",
    BY_RIDER("recording", ", local_day, start_utc_s"),

    "CREATE TABLE series ("
    " id {ID},"
    " recording {INTEGER} NOT NULL REFERENCES recording (id),"
    " channel {TEXT} NOT NULL,"
    " content {BLOB} NOT NULL,"
    " mask {BLOB},"
    " UNIQUE (recording, channel)) {STRICT}",

    "CREATE TABLE sensor ("
    " id {ID},"
    " recording {INTEGER} NOT NULL REFERENCES recording (id),"
    " place {INTEGER} NOT NULL,"
    " kind {TEXT} NOT NULL,"
    " maker {TEXT},"
    " product {TEXT},"
    " serial {INTEGER},"
    " zero_offset {INTEGER},"
    " UNIQUE (recording, place)) {STRICT}",

    "CREATE TABLE finding ("
    " id {ID},"
    " recording {INTEGER} NOT NULL REFERENCES recording (id),"
    " place {INTEGER} NOT NULL,"
    " code {TEXT} NOT NULL,"
    " channel {TEXT},"
    " from_s {INTEGER},"
    " to_s {INTEGER},"
    " effect {TEXT} NOT NULL,"
    " numbers {TEXT} NOT NULL,"
    " detail {TEXT},"
    " UNIQUE (recording, place)) {STRICT}",

    "CREATE TABLE lap ("
    " id {ID},"
    " recording {INTEGER} NOT NULL REFERENCES recording (id),"
    " place {INTEGER} NOT NULL,"
    " start_s {INTEGER} NOT NULL,"
    " end_s {INTEGER} NOT NULL,"
    " by_hand {BOOLEAN} NOT NULL,"
    " UNIQUE (recording, place)) {STRICT}",

    "CREATE TABLE asked ("
    " id {ID},"
    " recording {INTEGER} NOT NULL UNIQUE REFERENCES recording (id),"
    " kind {TEXT} NOT NULL,"
    " low_pct {REAL},"
    " high_pct {REAL},"
    " low_w {REAL},"
    " high_w {REAL},"
    " reps {INTEGER},"
    " rep_duration_s {REAL},"
    " was {TEXT} CHECK (was IN ('test', 'race')),"
    " spoiled_by {TEXT}," VERSION ") {STRICT}",

    /* two power meters on one ride: by how much the second reads above the first */
    "CREATE TABLE meter_check ("
    " id {ID}," RIDER "," DAY("day") ","
                                     " first_meter {INTEGER} NOT NULL REFERENCES equipment (id),"
                                     " second_meter {INTEGER} NOT NULL REFERENCES equipment (id),"
                                     " first_recording {INTEGER} NOT NULL,"
                                     " second_recording {INTEGER} NOT NULL,"
                                     " minutes {INTEGER} NOT NULL,"
                                     " correlation {REAL} NOT NULL,"
                                     " above_pct {REAL} NOT NULL,"
                                     " above_low_pct {REAL} NOT NULL,"
                                     " above_high_pct {REAL} NOT NULL,"
                                     " mean_w {REAL} NOT NULL,"
                                     " easy_pct {REAL},"
                                     " easy_low_pct {REAL},"
                                     " easy_high_pct {REAL},"
                                     " easy_w {REAL},"
                                     " hard_pct {REAL},"
                                     " hard_low_pct {REAL},"
                                     " hard_high_pct {REAL},"
                                     " hard_w {REAL},"
                                     " method {TEXT} NOT NULL,"
                                     " note {TEXT}," VERSION ","
                                     " CHECK (first_meter <> second_meter)) {STRICT}",
    BY_RIDER("meter_check", ", day, id"),

    "CREATE TABLE best_curve ("
    " id {ID},"
    " recording {INTEGER} NOT NULL UNIQUE REFERENCES recording (id),"
    " grid {TEXT} NOT NULL,"
    " work_j {BLOB} NOT NULL,"
    " at_least {BLOB} NOT NULL) {STRICT}",

    "CREATE TABLE best_month ("
    " id {ID}," RIDER ","
    " month {TEXT} NOT NULL CHECK (length(month) = 7),"
    " grid {TEXT} NOT NULL,"
    " work_j {BLOB} NOT NULL,"
    " recordings {BLOB} NOT NULL,"
    " UNIQUE (rider, month)) {STRICT}",

    /* ---- what the program said of it ---- */
    "CREATE TABLE reading ("
    " id {ID}," RIDER ","
    " question {TEXT} NOT NULL,"
    " subject_kind {TEXT} NOT NULL,"
    " subject {INTEGER} NOT NULL,"
    " set_number {INTEGER} NOT NULL,"
    " rep_number {INTEGER} NOT NULL,"
    " day {TEXT} CHECK (length(day) = 10),"
    " verdict {TEXT} NOT NULL,"
    " estimate {REAL},"
    " low {REAL},"
    " high {REAL},"
    " unit {TEXT},"
    " limit_value {REAL},"
    " method {TEXT} NOT NULL,"
    " basis_hash {BLOB} NOT NULL CHECK (length(basis_hash) = 32),"
    " content {TEXT} NOT NULL,"
    " made_utc_s {INTEGER} NOT NULL,"
    " UNIQUE (question, subject_kind, subject, set_number, rep_number)) {STRICT}",
    BY_RIDER("reading", ", question, day"),

    "CREATE TABLE ride_load ("
    " id {ID},"
    " recording {INTEGER} NOT NULL UNIQUE REFERENCES recording (id),"
    " hours {REAL} NOT NULL,"
    " work_kj {REAL},"
    " impulse_low {REAL},"
    " impulse_high {REAL},"
    " session_rpe {REAL},"
    " above_threshold_s {REAL},"
    " zones {TEXT} NOT NULL,"
    " heart_zones {TEXT} NOT NULL,"
    " cautions {INTEGER} NOT NULL,"
    " is_hilly {BOOLEAN} NOT NULL) {STRICT}",

    "CREATE TABLE effort ("
    " id {ID},"
    " recording {INTEGER} NOT NULL REFERENCES recording (id),"
    " duration_s {INTEGER} NOT NULL,"
    " power_w {REAL} NOT NULL,"
    " start_s {INTEGER} NOT NULL,"
    " evidence {INTEGER} NOT NULL,"
    " heart_end_bpm {REAL},"
    " fall_ratio {REAL},"
    " UNIQUE (recording, duration_s)) {STRICT}",

    /* what a rider's heart response is fitted to, ride by ride; NULL content = none */
    "CREATE TABLE heart_sums ("
    " id {ID},"
    " recording {INTEGER} NOT NULL UNIQUE REFERENCES recording (id),"
    " method {TEXT} NOT NULL,"
    " unfit {TEXT} NOT NULL,"
    " steps {INTEGER} NOT NULL,"
    " pairs {INTEGER} NOT NULL,"
    " mean_w {REAL},"
    " spread_w {REAL},"
    " content {BLOB},"
    " content_hash {BLOB} NOT NULL CHECK (length(content_hash) = 32)) {STRICT}",

    /* a ride against a response that was fitted to the rides before it */
    "CREATE TABLE heart_day ("
    " id {ID},"
    " recording {INTEGER} NOT NULL UNIQUE REFERENCES recording (id),"
    " against_bpm {REAL} NOT NULL,"
    " low_bpm {REAL} NOT NULL,"
    " high_bpm {REAL} NOT NULL,"
    " day_sd_bpm {REAL} NOT NULL,"
    " line_bpm {REAL} NOT NULL,"
    " pair_bpm {REAL},"
    " rides {INTEGER} NOT NULL) {STRICT}",

    /* the response itself, by all rides on file */
    "CREATE TABLE heart_response ("
    " id {ID},"
    " rider {INTEGER} NOT NULL UNIQUE REFERENCES rider (id)," DAY(
        "day") ","
               " outcome {TEXT} NOT NULL,"
               " rides {INTEGER} NOT NULL,"
               " threshold_w {REAL},"
               " tau_s {REAL},"
               " dead_s {REAL},"
               " gain_bpm_per_w {REAL},"
               " gain_low_bpm_per_w {REAL},"
               " gain_high_bpm_per_w {REAL},"
               " rest_bpm {REAL},"
               " drift_bpm_per_h {REAL},"
               " error_bpm {REAL},"
               " day_sd_bpm {REAL},"
               " method {TEXT} NOT NULL,"
               " basis_hash {BLOB} NOT NULL CHECK (length(basis_hash) = 32),"
               " content {TEXT} NOT NULL,"
               " made_utc_s {INTEGER} NOT NULL) {STRICT}",

    "CREATE TABLE job ("
    " id {ID},"
    " kind {TEXT} NOT NULL,"
    " subject_kind {TEXT} NOT NULL,"
    " subject {INTEGER} NOT NULL,"
    " priority {INTEGER} NOT NULL,"
    " tries {INTEGER} NOT NULL,"
    " lease_until_utc_s {INTEGER},"
    " lease_by {TEXT},"
    " last_error {TEXT},"
    " asked_utc_s {INTEGER} NOT NULL,"
    " UNIQUE (kind, subject_kind, subject)) {STRICT}",
    "CREATE INDEX job_by_priority ON job (priority, id)",

    /* ---- edits, and how they are taken back ---- */
    "CREATE TABLE change ("
    " id {ID},"
    " words {TEXT} NOT NULL,"
    " who {TEXT},"
    " made_utc_s {INTEGER} NOT NULL,"
    " undoes {INTEGER} REFERENCES change (id),"
    " undone_by {INTEGER} REFERENCES change (id)) {STRICT}",

    "CREATE TABLE change_row ("
    " id {ID},"
    " change {INTEGER} NOT NULL REFERENCES change (id),"
    " place {INTEGER} NOT NULL,"
    " kind {TEXT} NOT NULL CHECK (kind IN ('add', 'edit', 'remove')),"
    " table_name {TEXT} NOT NULL,"
    " row_id {INTEGER} NOT NULL,"
    " UNIQUE (change, place)) {STRICT}",
    "CREATE INDEX change_row_by_row ON change_row (table_name, row_id)",

    "CREATE TABLE change_value ("
    " id {ID},"
    " change_row {INTEGER} NOT NULL REFERENCES change_row (id),"
    " column_name {TEXT} NOT NULL,"
    " before_text {TEXT},"
    " after_text {TEXT},"
    " UNIQUE (change_row, column_name)) {STRICT}",

    /* ---- import ---- */
    "CREATE TABLE folder ("
    " id {ID},"
    " path {TEXT} NOT NULL UNIQUE," RIDER "," VERSION ") {STRICT}",

    /* what the coach did about a rider on the list of whom to see first */
    "CREATE TABLE attention_mark ("
    " id {ID}," RIDER ","
    " code {TEXT} NOT NULL,"
    " state {TEXT} NOT NULL CHECK (state IN ('done', 'asked', 'not-before')),"
    " evidence {INTEGER} NOT NULL,"
    " last_note {INTEGER} NOT NULL,"
    " set_day {TEXT} NOT NULL CHECK (length(set_day) = 10),"
    " not_before_day {TEXT} CHECK (length(not_before_day) = 10),"
    " line {TEXT}," VERSION ") {STRICT}",
    BY_RIDER("attention_mark", ", code"),

    /* what a coach didn't want to be asked again */
    "CREATE TABLE declined ("
    " id {ID}," RIDER ","
    " what {TEXT} NOT NULL,"
    " recording {INTEGER},"
    " day {TEXT} CHECK (length(day) = 10)," VERSION ") {STRICT}",
    BY_RIDER("declined", ""),

    /* copies that left the roster: what `forget` can't reach, it names */
    "CREATE TABLE kept_copy ("
    " id {ID},"
    " kind {TEXT} NOT NULL CHECK (kind IN ('backup', 'export', 'before-schema')),"
    " path {TEXT} NOT NULL UNIQUE,"
    " rider {INTEGER},"
    " last_rider {INTEGER} NOT NULL,"
    " made_utc_s {INTEGER} NOT NULL) {STRICT}",

    "CREATE TABLE failed_file ("
    " id {ID},"
    " path {TEXT} NOT NULL UNIQUE,"
    " sha256 {BLOB} CHECK (length(sha256) = 32),"
    " error_kind {TEXT} NOT NULL,"
    " message {TEXT} NOT NULL,"
    " tries {INTEGER} NOT NULL,"
    " seen_utc_s {INTEGER} NOT NULL) {STRICT}",
    NULL,
};
