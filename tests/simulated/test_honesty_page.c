/* tests/simulated/test_honesty_page.c: docs/honesty.md is what the program writes.
 *
 * The short form makes every heading and every row with few trials.  Its figures mean nothing; its
 * shape must be that of the page in docs/, and its methods those of this very program: a page that
 * was edited by hand, or made before a method changed, fails here. */
#include "check.h"

#include "honesty/page.h"
#include "honesty/table.h"

#include <stdio.h>
#include <string.h>

static const char *write_short(struct arena *arena)
{
    struct page page = { .arena = arena, .jobs = 2, .quick = true, .first = PAGE_FIRST };
    struct error err = { 0 };
    const char *whole = NULL;
    if (!page_write(&page, &whole, &err)) {
        print_error("# %s\n", err.message);
        fail();
    }
    return whole;
}

static bool is_figure(char c)
{
    return (c >= '0' && c <= '9') || c == '.' || c == '(' || c == ')';
}

/* A line without its figures: a row keeps its first cell and its number of cells (all of it in the
 * table of methods, whose cells hold no figure), a line of the picture its label. */
static void add_shape(struct text *out, const char *line, size_t length, bool in_methods)
{
    if (length > 0 && line[0] == '|' && !in_methods) {
        const char *second = memchr(line + 1, '|', length - 1);
        size_t cells = 0;
        for (size_t i = 0; i < length; i++) {
            cells += line[i] == '|';
        }
        text_add_bytes(out, line, (size_t)(second - line));
        text_add_format(out, " (%zu)\n", cells);
        return;
    }
    const bool picture = length > 7 && memchr("p-n", line[7], 3) != NULL && line[6] == '|';
    for (size_t i = 0; i < (picture ? 7 : length); i++) {
        if (picture || in_methods || !is_figure(line[i])) {
            text_add_bytes(out, line + i, 1);
        } else if (i == 0 || !is_figure(line[i - 1])) {
            text_add(out, "#");
        }
    }
    text_add(out, "\n");
}

static const char *shape_of(struct arena *arena, const char *page)
{
    struct text out = text_begin(arena, 4 << 20);
    bool in_methods = false;
    for (const char *line = page; *line != '\0';) {
        const char *end = strchr(line, '\n');
        const size_t length = end != NULL ? (size_t)(end - line) : strlen(line);
        in_methods = (in_methods && line[0] == '|') || strncmp(line, "| question |", 12) == 0;
        add_shape(&out, line, length, in_methods);
        line += length + (end != NULL);
    }
    check(!out.cut);
    return out.bytes;
}

static void test_honesty_page__docs_have_the_shape_that_the_program_gives(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct bytes bytes = { 0 };
    struct error err = { 0 };
    check(files_read(arena, PLUMBLINE_SOURCE "/docs/honesty.md", 4 << 20, &bytes, &err));
    char *docs = ARENA_ARRAY(arena, char, bytes.size + 1);
    memcpy(docs, bytes.at, bytes.size);
    const char *want = shape_of(arena, write_short(arena));
    const char *got = shape_of(arena, docs);
    /* The first line that differs tells more than two whole pages. */
    int number = 1;
    while (*got != '\0' && *want != '\0') {
        const size_t g = strcspn(got, "\n");
        const size_t w = strcspn(want, "\n");
        const char *row = arena_format(arena, "docs/honesty.md, line %d", number++);
        check_text(row, arena_format(arena, "%.*s", (int)g, got),
                   arena_format(arena, "%.*s", (int)w, want));
        got += g + (got[g] == '\n');
        want += w + (want[w] == '\n');
    }
    check_text("docs/honesty.md, its end", got, want);
    arena_close(arena);
}

/* One part of the page; all go through the same pool. */
static const char *write_easy(struct arena *arena, int jobs)
{
    struct page page = { .arena = arena, .jobs = jobs, .quick = true, .first = PAGE_FIRST };
    page.text = text_begin(arena, 1 << 20);
    page.aims = text_begin(arena, 1 << 20);
    page_easy(&page);
    return page.text.bytes;
}

static void test_honesty_page__is_the_same_from_one_process_and_from_three(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    check_text("easy work", write_easy(arena, 3), write_easy(arena, 1));
    arena_close(arena);
}

/* Newcombe 1998, Stat. Med. 17:857-872, table I, method 3 (from memory). */
static void test_honesty_table__wilson_intervals_follow_published_values(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double part;
        double whole;
        double low_pct;
        double high_pct;
    } rows[] = {
        { "81 of 263", 81, 263, 25.53, 36.62 },
        { "15 of 148", 15, 148, 6.24, 16.05 },
        { "0 of 20", 0, 20, 0.0, 16.11 },
        { "1 of 29", 1, 29, 0.61, 17.18 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        double low = 0.0;
        double high = 0.0;
        table_wilson(rows[i].part, rows[i].whole, &low, &high);
        check_near(rows[i].name, low, rows[i].low_pct, 0.006);
        check_near(rows[i].name, high, rows[i].high_pct, 0.006);
    }
}

/* Garwood 1936, Biometrika 28:437-442: exact limits of 0, 5 and 10 events are 0 and 3.689, 1.623
 * and 11.668, 4.795 and 18.390 (from memory); in 100 h. */
static void test_honesty_table__rates_have_poisson_limits(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    static const struct {
        const char *name;
        double events;
        double low;
        double high;
    } rows[] = {
        { "none", 0, 0.0, 3.689 },
        { "five", 5, 1.623, 11.668 },
        { "ten", 10, 4.795, 18.390 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        double rate = 0.0;
        double low = 0.0;
        double high = 0.0;
        const char *cell = table_rate(arena, rows[i].events, 100.0);
        check(sscanf(cell, "%lf (%lf–%lf)", &rate, &low, &high) == 3);
        check_near(rows[i].name, rate, rows[i].events, 0.001);
        check_near(rows[i].name, low, rows[i].low, 0.02);
        check_near(rows[i].name, high, rows[i].high, 0.05);
    }
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_honesty_page__docs_have_the_shape_that_the_program_gives),
        cmocka_unit_test(test_honesty_page__is_the_same_from_one_process_and_from_three),
        cmocka_unit_test(test_honesty_table__wilson_intervals_follow_published_values),
        cmocka_unit_test(test_honesty_table__rates_have_poisson_limits),
    };
    return cmocka_run_group_tests_name("honesty page", tests, NULL, NULL);
}
