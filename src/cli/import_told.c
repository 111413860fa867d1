/* cli/import_told.c: what an import says meanwhile and at its end. */
#include "cli/import_told.h"

#include "server/answers/imported.h"

#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

/* Names of a kind that the words spell out; JSON has them all. */
enum { NAMES_SHOWN = 5 };

static double clock_s(void)
{
    struct timespec now = { 0 };
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

void import_told_begin(struct arena *arena, struct import_told *told)
{
    *told = (struct import_told){ .arena = arena,
                                  .lines = text_begin(arena, 50u * 1000u * 1000u),
                                  .others = { text_begin(arena, 10000), 0 },
                                  .nobodys = { text_begin(arena, 10000), 0 },
                                  .json_text = text_begin(arena, 60u * 1000u * 1000u),
                                  .has_bar = isatty(STDERR_FILENO) == 1,
                                  .begun_s = clock_s() };
    told->json = json_begin(&told->json_text);
    json_begin_array(&told->json, NULL);
}

/* ---- meanwhile ---- */

static void add_left(char *out, size_t room, double left_s)
{
    if (left_s < 90.0) {
        snprintf(out, room, ", %.0f s left", left_s);
    } else if (left_s < 90.0 * 60.0) {
        snprintf(out, room, ", %.0f min left", left_s / 60.0);
    } else {
        snprintf(out, room, ", %.1f h left", left_s / 3600.0);
    }
}

void import_told_bar(size_t done, size_t all, double seconds, char out[80])
{
    enum { WIDE = 28, LONGEST = 79 };
    const size_t full = all == 0 ? 0 : done * WIDE / all;
    char left[24] = "";
    char rate[24] = "";
    /* Under a second a rate is mostly chance. */
    if (seconds >= 1.0 && done > 0) {
        const double a_second = (double)done / seconds;
        snprintf(rate, sizeof rate, a_second < 10.0 ? ", %.1f a second" : ", %.0f a second",
                 a_second);
        if (done < all) {
            add_left(left, sizeof left, (double)(all - done) / a_second);
        }
    }
    const int written =
        snprintf(out, LONGEST + 1, "[%.*s%*s] %zu of %zu%s%s", (int)full,
                 "############################", (int)(WIDE - full), "", done, all, rate, left);
    /* What a longer line left there goes. */
    for (int i = written < 0 ? 0 : written; i < LONGEST; i++) {
        out[i] = ' ';
    }
    out[LONGEST] = '\0';
}

static void draw_bar(const struct import_told *told, const struct imported_file *file)
{
    char bar[80];
    import_told_bar(file->place + 1, file->n_files, clock_s() - told->begun_s, bar);
    fprintf(stderr, "\r%s", bar);
}

static void add_name(struct named_files *files, const char *name)
{
    if (files->count < NAMES_SHOWN) {
        text_add_format(&files->names, "%s%s", files->count > 0 ? ", " : "", name);
    }
    files->count++;
}

static void count_rides(struct import_told *told, const struct imported_file *file)
{
    struct rider_count *own = NULL;
    for (size_t i = 0; i < told->n_riders; i++) {
        own = strcmp(told->riders[i].rider, file->rider) == 0 ? &told->riders[i] : own;
    }
    if (own == NULL) {
        told->riders = arena_grow(told->arena, told->riders, told->n_riders, &told->riders_capacity,
                                  sizeof told->riders[0]);
        own = &told->riders[told->n_riders++];
        *own = (struct rider_count){ arena_string(told->arena, file->rider), 0 };
    }
    for (size_t i = 0; i < file->n_rides; i++) {
        own->n_rides += file->rides[i].is_ride && file->rides[i].same_as == 0 ? 1 : 0;
    }
}

void import_told_file(void *context, const struct imported_file *file)
{
    struct import_told *told = context;
    if (told->has_bar) {
        draw_bar(told, file);
    }
    if (file->outcome == IMPORT_OTHER_THING) {
        add_name(&told->others, file->name);
    } else if (file->outcome == IMPORT_NO_RIDER) {
        add_name(&told->nobodys, file->name);
    } else if (file->line != NULL) {
        text_add(&told->lines, "  ");
        text_add_wrapped(&told->lines,
                         arena_format(told->arena, "%s%s", file->line,
                                      file->remembered ? " (as before: not read again)" : ""),
                         2, 4, 80);
    }
    if (file->outcome == IMPORT_TAKEN) {
        count_rides(told, file);
    }
    imported_file_json(&told->json, file);
}

/* ---- at the end ---- */

void import_told_end(struct import_told *told, const struct import_sum *sum)
{
    if (told->has_bar && sum->n_listed > 0) {
        fprintf(stderr, "\r%*s\r", 79, "");
    }
    json_end_array(&told->json);
}

static void add_named(struct text *out, struct arena *arena, const struct named_files *files,
                      const char *what, const char *advice)
{
    if (files->count == 0) {
        return;
    }
    text_add(out, "  ");
    const char *more = files->count > NAMES_SHOWN
                           ? arena_format(arena, " and %zu more", files->count - NAMES_SHOWN)
                           : "";
    text_add_wrapped(out, arena_format(arena, "%s: %s%s%s", what, files->names.bytes, more, advice),
                     2, 4, 80);
}

void import_told_words(struct import_told *told, const struct import_sum *sum, struct text *out)
{
    text_add(out, imported_words(told->arena, sum));
    if (sum->rides != sum->files[IMPORT_TAKEN]) {
        text_add_format(out, " %zu recordings.", sum->rides);
    }
    if (sum->same > 0) {
        text_add_format(out, " %zu of a ride that another recording stands for.", sum->same);
    }
    text_add(out, "\n");
    text_add(out, told->lines.bytes);
    add_named(out, told->arena, &told->nobodys, "Of nobody known",
              ". Whose rides are they? Say --rider NAME; said of a folder, it is kept.");
    add_named(out, told->arena, &told->others, "Not recordings", "");
}

void import_told_json(struct import_told *told, const struct import_sum *sum, struct json *json)
{
    imported_sum_json(json, sum);
    text_add(json->out, ",\"files\":");
    text_add_bytes(json->out, told->json_text.bytes, told->json_text.length);
}
