/* Errors as answers: RFC 9457; the statuses are the table of docs/architecture.md. */
#include "check.h"

#include "server/problem.h"

#include <string.h>

static void test_problem__each_kind_has_its_status(void **state)
{
    static const struct {
        enum error_kind kind;
        int status;
    } rows[] = {
        { ERROR_USAGE, 400 },     { ERROR_INPUT, 422 },    { ERROR_TOO_LARGE, 413 },
        { ERROR_NOT_FOUND, 404 }, { ERROR_CONFLICT, 409 }, { ERROR_BUSY, 503 },
        { ERROR_STORAGE, 507 },   { ERROR_DENIED, 403 },   { ERROR_INTERNAL, 500 },
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_integer(error_kind_name(rows[i].kind), problem_status(rows[i].kind), rows[i].status);
        check(strcmp(problem_title(rows[i].status), "Error") != 0);
    }
}

static void test_problem__it_says_the_line_of_the_command_line(void **state)
{
    struct arena *arena = arena_open();
    struct text out = text_begin(arena, 4000);
    struct error err = { 0 };
    (void)state;
    error_set(&err, ERROR_NOT_FOUND, "nobody here is called \"ida\"");
    problem_write(&out, 404, &err, "/home/coach/team.plumbline");
    check_text("problem", out.bytes,
               "{\"title\":\"Not Found\",\"status\":404,\"kind\":\"not-found\","
               "\"detail\":\"nobody here is called \\\"ida\\\"\"}");
    arena_close(arena);
}

/* Messages as roster/db_sqlite.c words them, with what SQLite says in brackets. */
static void test_problem__neither_folders_nor_the_words_of_the_store_are_told(void **state)
{
    static const char place[] = "/home/coach/team.plumbline";
    static const struct {
        enum error_kind kind;
        const char *line;
        const char *told;
    } rows[] = {
        { ERROR_STORAGE,
          "/home/coach/team.plumbline: the disk does not take or give the file (disk I/O error); "
          "look at it",
          "the roster: the disk does not take or give the file; look at it" },
        { ERROR_CONFLICT,
          "/home/coach/team.plumbline: not stored, since it contradicts what is there (UNIQUE "
          "constraint failed: rider.name_folded)",
          "the roster: not stored, since it contradicts what is there" },
        { ERROR_BUSY, "/home/coach/team.plumbline: another program is writing to it",
          "the roster: another program is writing to it" },
        { ERROR_INTERNAL, "near \"SELEC\": syntax error",
          "something went wrong inside Plumbline; the terminal where it runs says more" },
        { ERROR_NOT_FOUND,
          "/home/coach/.local/fonts: the font A.ttf is not there; see /etc/x, 3 km/h",
          "fonts: the font A.ttf is not there; see x, 3 km/h" },
        { ERROR_NOT_FOUND, "ride 5: there is none; plumbline rides lists them",
          "ride 5: there is none" },
        { ERROR_CONFLICT,
          "Ada Berg is no longer coached: nothing is proposed; plumbline rider edit",
          "Ada Berg is no longer coached: nothing is proposed" },
        { ERROR_USAGE, "value_w: is no number (a nice one)", "value_w: is no number (a nice one)" },
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct error err = { 0 };
        error_set(&err, rows[i].kind, "%s", rows[i].line);
        check_text(rows[i].line, problem_detail(arena, &err, place), rows[i].told);
        arena_close(arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_problem__each_kind_has_its_status),
        cmocka_unit_test(test_problem__it_says_the_line_of_the_command_line),
        cmocka_unit_test(test_problem__neither_folders_nor_the_words_of_the_store_are_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
