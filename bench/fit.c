/* bench/fit.c: reading FIT files against decoders of others and against a byte-table CRC of the
 * same bytes, the least that any checked decoder of the old kind can take. */
#include "peer.h"
#include "rides.h"

#include "maths/maths.h"
#include "recording/fit_crc.h"
#include "recording/fit_part.h"
#include "recording/fit_profile.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LISTS = 4, SUMS = 4, NUMBERS = LISTS + 2 * SUMS, BATCH = 54 };

struct run {
    struct rides_file file;
    struct limits limits;
    double answer[NUMBERS]; /* records, laps, sessions, events; then count and sum of power, heart
                               rate, cadence, distance in m */
    uint16_t checksum;
    double *values; /* [2 x bytes] every value of the file as it was decoded */
    size_t n_values;
    struct fit_walk walk;
};

/* ---- the least: a checksum, a byte a step ---- */

static uint16_t byte_table[256];

static void fill_byte_table(void)
{
    for (unsigned b = 0; b < 256; b++) {
        unsigned crc = b;
        for (int bit = 0; bit < 8; bit++) {
            crc = (crc & 1u) != 0 ? crc >> 1 ^ 0xA001u : crc >> 1;
        }
        byte_table[b] = (uint16_t)crc;
    }
}

static void by_byte_table(void *with)
{
    struct run *run = with;
    uint16_t crc = 0;
    for (size_t i = 0; i < run->file.bytes.size - 2; i++) {
        crc = (uint16_t)((crc >> 8) ^ byte_table[(crc ^ run->file.bytes.at[i]) & 0xFF]);
    }
    run->checksum = crc;
}

static void by_slices(void *with)
{
    struct run *run = with;
    run->checksum = fit_crc16(0, run->file.bytes.at, run->file.bytes.size - 2);
}

/* ---- every field of every message ---- */

struct sums {
    double count;
    double sum;
};

static void add(struct sums *sums, double value)
{
    sums->count++;
    sums->sum += value;
}

/* One message's fields as doubles, each with whether it is known; what a record says is added. */
static void take_fields(struct run *run, const struct fit_message *message, struct sums sums[SUMS])
{
    const struct fit_definition *definition = message->definition;
    const bool is_record = definition->message == FIT_RECORD;
    for (size_t f = 0; f < definition->n_fields; f++) {
        const struct fit_field *field = &definition->fields[f];
        const enum fit_base base = (enum fit_base)field->base;
        const size_t step = fit_base_size(base);
        if (base == FIT_STRING || base >= FIT_BASE_COUNT) {
            continue; /* text stays where it is, in the bytes */
        }
        double value = (double)NAN;
        for (size_t at = 0; at + step <= field->size; at += step) {
            const bool known = fit_number(base, message->data + field->offset + at,
                                          definition->big_endian, &value);
            run->values[run->n_values++] = known ? value : (double)NAN;
        }
        value = run->values[run->n_values - 1];
        if (!is_record || isnan(value)) {
            continue;
        }
        switch (field->number) {
        case FIT_RECORD_POWER: add(&sums[0], value); break;
        case FIT_RECORD_HEART_RATE: add(&sums[1], value); break;
        case FIT_RECORD_CADENCE: add(&sums[2], value); break;
        case FIT_RECORD_DISTANCE: add(&sums[3], value / 100.0); break;
        default: break;
        }
    }
    for (size_t f = 0; f < definition->n_developer; f++) {
        const struct fit_developer_field *field = &definition->developer[f];
        for (size_t at = 0; at < field->size; at++) {
            run->values[run->n_values++] = message->data[field->offset + at];
        }
    }
}

static void keep_sums(struct run *run, const struct sums sums[SUMS])
{
    for (size_t i = 0; i < SUMS; i++) {
        run->answer[LISTS + 2 * i] = sums[i].count;
        run->answer[LISTS + 2 * i + 1] = sums[i].sum;
    }
}

static void by_all_fields(void *with)
{
    struct run *run = with;
    const struct bytes bytes = run->file.bytes;
    struct fit_message message;
    struct sums sums[SUMS] = { 0 };
    memset(run->answer, 0, sizeof run->answer);
    run->n_values = 0;
    by_slices(run);
    fit_walk_begin(&run->walk, bytes.at, bytes.at[0], bytes.size - 2, bytes.size - 2, INT64_MAX,
                   false);
    while (fit_walk_next(&run->walk, &message)) {
        switch (message.definition->message) {
        case FIT_RECORD: run->answer[0]++; break;
        case FIT_LAP: run->answer[1]++; break;
        case FIT_SESSION: run->answer[2]++; break;
        case FIT_EVENT: run->answer[3]++; break;
        default: break;
        }
        take_fields(run, &message, sums);
    }
    keep_sums(run, sums);
}

/* ---- columns of a ride ---- */

static void by_columns(void *with)
{
    struct run *run = with;
    const struct bytes bytes = run->file.bytes;
    struct arena *arena = arena_open();
    struct fit_budget budget = { 1u << 20, 1u << 20, 100, 20000, 1u << 20 };
    const struct fit_extent extent = { bytes.at, bytes.at[0], bytes.size - 2, bytes.size - 2,
                                       INT64_MAX };
    struct fit_part part;
    struct sums sums[SUMS] = { 0 };
    by_slices(run);
    if (!fit_part_read(arena, &run->walk, &extent, &budget, &part)) {
        abort();
    }
    static const enum channel channels[SUMS] = { CHANNEL_POWER, CHANNEL_HEART_RATE, CHANNEL_CADENCE,
                                                 CHANNEL_DISTANCE };
    run->answer[0] = (double)part.records.count;
    run->answer[1] = (double)part.n_laps;
    run->answer[2] = (double)part.n_sessions;
    for (size_t c = 0; c < SUMS; c++) {
        const int32_t *column = part.records.column[channels[c]];
        int64_t count = 0;
        int64_t sum = 0;
        for (size_t i = 0; column != NULL && i < part.records.count; i++) {
            count += column[i] != RECORDING_MISSING;
            sum += column[i] != RECORDING_MISSING ? column[i] : 0;
        }
        sums[c] = (struct sums){ (double)count, c == 3 ? (double)sum / 100.0 : (double)sum };
    }
    keep_sums(run, sums);
    arena_close(arena);
}

static void by_reader(void *with)
{
    struct run *run = with;
    struct arena *arena = arena_open();
    struct recordings out = { 0 };
    struct error err = { 0 };
    const struct read_options options = { .file = run->file.name };
    if (!recording_read(arena, run->file.bytes, &options, &run->limits, &out, &err)) {
        abort();
    }
    arena_close(arena);
}

/* ---- rows ---- */

static struct run *make_run(struct arena *arena, struct rides_file file)
{
    struct run *run = ARENA_ARRAY(arena, struct run, 1);
    run->file = file;
    run->limits = limits_default();
    run->values = ARENA_RAW(arena, double, 2 * file.bytes.size);
    return run;
}

static void print_file(const char *letter, struct run *run)
{
    char what[80];
    const struct bench_way table = { by_byte_table, run };
    struct arena *arena = arena_open();
    struct bench_peer *sdk =
        bench_peer_open(arena, "fit.mjs", (const char *const[]){ "fitsdk", run->file.path, NULL });
    struct bench_peer *parser = bench_peer_open(
        arena, "fit.mjs", (const char *const[]){ "fit-file-parser", run->file.path, NULL });
    struct bench_with_peer row = { .goal = "1",
                                   .what = what,
                                   .ours = { by_all_fields, run },
                                   .answer = run->answer,
                                   .n = NUMBERS,
                                   .tolerance = 1e-9,
                                   .floor = 1,
                                   .wanted = 40 };
    bench_note("%s: %s, %.0f kB", letter, run->file.name, (double)run->file.bytes.size / 1e3);
    snprintf(what, sizeof what, "%s, every field of every message", letter);
    bench_against(&row, sdk, "fitsdk");
    row.wanted = 25;
    bench_against(&row, parser, "fit-file-parser");
    bench_within("1", what, "byte-table CRC",
                 bench_pair((struct bench_way){ by_all_fields, run }, table), 1.5);
    snprintf(what, sizeof what, "%s, ride columns", letter);
    bench_within("2", what, "byte-table CRC",
                 bench_pair((struct bench_way){ by_columns, run }, table), 0.6);
    snprintf(what, sizeof what, "%s, checksum alone", letter);
    bench_within("", what, "byte-table CRC",
                 bench_pair((struct bench_way){ by_slices, run }, table), (double)NAN);
    snprintf(what, sizeof what, "%s, whole reader with grid and trust", letter);
    bench_within("", what, "byte-table CRC",
                 bench_pair((struct bench_way){ by_reader, run }, table), (double)NAN);
    bench_peer_close(sdk);
    bench_peer_close(parser);
    arena_close(arena);
}

/* Processor time of whole processes that decode a batch of files. */
static void print_batch(void)
{
    struct arena *arena = arena_open();
    size_t count = 0;
    const char *what = NULL;
    const char **paths = rides_batch(arena, BATCH, &count, &what);
    bench_note("batch: %zu %s files", count, what);
    const char **ours = ARENA_ARRAY(arena, const char *, count + 3);
    const char **peer = ARENA_ARRAY(arena, const char *, count + 5);
    ours[0] = bench_self();
    ours[1] = "batch";
    peer[0] = "node";
    peer[1] = PLUMBLINE_SOURCE "/bench/peers/fit.mjs";
    peer[2] = "fitsdk";
    peer[3] = "batch";
    memcpy(ours + 2, paths, count * sizeof paths[0]);
    memcpy(peer + 4, paths, count * sizeof paths[0]);
    double ours_s[5];
    double peer_s[5];
    double ratio[5];
    for (size_t i = 0; i < COUNT(ratio); i++) {
        const struct bench_usage us = bench_usage(ours);
        const struct bench_usage them = bench_usage(peer);
        if (!us.ended_well || !them.ended_well) {
            bench_absent("1", "whole process, batch, every field",
                         us.ended_well ? "fitsdk" : "batch");
            arena_close(arena);
            return;
        }
        ours_s[i] = us.cpu_s;
        peer_s[i] = them.cpu_s;
        ratio[i] = peer_s[i] / ours_s[i];
    }
    const struct bench_pair pair = { bench_spread_of(ours_s, COUNT(ratio)).middle,
                                     bench_spread_of(peer_s, COUNT(ratio)).middle,
                                     bench_spread_of(ratio, COUNT(ratio)) };
    bench_faster("1", "whole process, batch, every field", "node with fitsdk", pair, 40);
    arena_close(arena);
}

static int decode_batch(char **paths)
{
    for (; *paths != NULL; paths++) {
        struct arena *arena = arena_open();
        struct rides_file file = { *paths, *paths, { 0 } };
        struct error err = { 0 };
        if (!files_read(arena, *paths, (size_t)64 << 20, &file.bytes, &err)) {
            fprintf(stderr, "%s\n", err.message);
            return 1;
        }
        by_all_fields(make_run(arena, file));
        arena_close(arena);
    }
    return 0;
}

static const struct {
    const char *name;
    void (*call)(void *with);
} ways[] = { { "all", by_all_fields },
             { "columns", by_columns },
             { "crc", by_slices },
             { "byte-table", by_byte_table } };

static int run_once(const char *way, double hours)
{
    struct arena *arena = arena_open();
    struct run *run = make_run(arena, rides_simulated(arena, hours));
    for (size_t i = 0; i < COUNT(ways); i++) {
        if (strcmp(ways[i].name, way) == 0) {
            ways[i].call(run);
        }
    }
    arena_close(arena);
    return 0;
}

static void print_growth(void)
{
    static const struct {
        const char *way;
        const char *what;
    } rows[] = {
        { "all", "every field, 12 h / 3 h of bytes" },
        { "columns", "ride columns, 12 h / 3 h of bytes" },
        { "crc", "checksum, 12 h / 3 h of bytes" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        bench_counts("law", rows[i].what, "3 h", bench_instructions(rows[i].way, 12),
                     bench_instructions(rows[i].way, 3), "instructions", BENCH_AT_MOST, 4.3);
    }
    bench_counts("", "ride columns, 3 h", "byte-table CRC", bench_instructions("columns", 3),
                 bench_instructions("byte-table", 3), "instructions", BENCH_AT_MOST, (double)NAN);
}

int main(int argc, char **argv)
{
    maths_begin();
    bench_begin();
    fill_byte_table();
    if (argc == 4 && strcmp(argv[1], "once") == 0) {
        return run_once(argv[2], strtod(argv[3], NULL));
    }
    if (argc > 2 && strcmp(argv[1], "batch") == 0) {
        return decode_batch(argv + 2);
    }
    bench_title("FIT files (fit_message, fit_part, fit_crc)");
    struct arena *arena = arena_open();
    struct run *a = make_run(arena, rides_fit(arena, "long-ride-6h-power-hr-balance-b.fit", 6.5));
    struct run *c = make_run(arena, rides_fit(arena, "ride-road-88min-power-hr.fit", 1.5));
    print_batch();
    print_file("A", a);
    print_file("C", c);
    print_growth();
    arena_close(arena);
    return 0;
}
