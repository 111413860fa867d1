/* Addresses taken apart, and routes found.  What an address may be: RFC 3986; encodings that reach
 * out of a folder are those of its section 7.3 and of UTF-8's forbidden forms (RFC 3629, 10). */
#include "check.h"

#include "server/router.h"

#include <string.h>

static bool unused(struct api_call *call, struct error *err)
{
    (void)call;
    (void)err;
    return true;
}

static const struct api_route routes[] = {
    { "GET", "riders", API_READ, 0, unused, "all", NULL, "riders" },
    { "POST", "riders", API_WRITE, 0, unused, NULL, "rider_wish", "done" },
    { "GET", "riders/{rider}", API_READ, 0, unused, NULL, NULL, "rider" },
    { "GET", "riders/new", API_READ, 0, unused, NULL, NULL, "rider" },
    { "PUT", "riders/{rider}/notes/{note}", API_WRITE, 0, unused, NULL, "note_wish", "done" },
};

static void test_router__an_address_is_taken_apart_before_it_is_decoded(void **state)
{
    struct arena *arena = arena_open();
    struct router_address got;
    struct error err = { 0 };
    (void)state;
    check(router_read(arena, "/api/1/riders/ada%20berg%2Fx/rides?from=2026-01-01&q=a+b%2Bc&flag",
                      &got, &err));
    check_integer("parts", (int64_t)got.n_parts, 5);
    check_text("part", got.parts[3], "ada berg/x");
    check_integer("query", (int64_t)got.query.n, 3);
    check_text("from", got.query.items[0].value, "2026-01-01");
    check_text("plus", got.query.items[1].value, "a b+c");
    check_text("flag", got.query.items[2].value, "");
    check(router_read(arena, "/", &got, &err));
    check_integer("root", (int64_t)got.n_parts, 0);
    arena_close(arena);
}

static void test_router__what_leads_elsewhere_or_is_no_text_is_refused(void **state)
{
    static const struct {
        const char *name;
        const char *address;
    } rows[] = {
        { "dots", "/assets/../../etc/passwd" },
        { "one dot", "/./riders" },
        { "encoded dots", "/assets/%2e%2e/x" },
        { "half encoded dots", "/assets/.%2E/x" },
        { "empty part", "/api//1" },
        { "ends with a slash", "/riders/" },
        { "no slash", "riders" },
        { "whole address", "http://evil.example/" },
        { "cut escape", "/riders/%4" },
        { "cut escape at the end", "/riders/%" },
        { "no hex", "/riders/%zz" },
        { "zero byte", "/riders/%00" },
        { "line end", "/riders/a%0d%0aSet-Cookie:x" },
        { "overlong slash", "/riders/%c0%af" },
        { "lone continuation", "/riders/%80" },
        { "surrogate", "/riders/%ed%a0%80" },
        { "twice in the query", "/riders?a=1&a=2" },
        { "twice, one encoded", "/riders?a=1&%61=2" },
        { "control in the query", "/riders?a=%1b" },
        { "delete", "/riders/%7f" },
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct router_address got;
        struct error err = { 0 };
        const bool taken = router_read(arena, rows[i].address, &got, &err);
        check_integer(rows[i].name, taken, false);
        check_integer(rows[i].name, err.kind, ERROR_USAGE);
        arena_close(arena);
    }
}

static void test_router__sizes_are_capped(void **state)
{
    struct arena *arena = arena_open();
    struct router_address got;
    struct error err = { 0 };
    struct text parts = text_begin(arena, 9000);
    struct text query = text_begin(arena, 9000);
    struct text letters = text_begin(arena, 9000);
    (void)state;
    for (unsigned i = 0; i <= ROUTER_PARTS_MOST; i++) {
        text_add(&parts, "/a");
    }
    text_add(&query, "/a?");
    for (unsigned i = 0; i <= ROUTER_QUERY_MOST; i++) {
        text_add_format(&query, "%sn%u=1", i > 0 ? "&" : "", i);
    }
    text_add(&letters, "/");
    while (letters.length <= ROUTER_BYTES_MOST) {
        text_add(&letters, "abcdefgh");
    }
    check(!router_read(arena, parts.bytes, &got, &err));
    check_integer("parts", err.kind, ERROR_TOO_LARGE);
    check(!router_read(arena, query.bytes, &got, &err));
    check_integer("query", err.kind, ERROR_TOO_LARGE);
    check(!router_read(arena, letters.bytes, &got, &err));
    check_integer("bytes", err.kind, ERROR_TOO_LARGE);
    arena_close(arena);
}

static void test_router__a_route_is_found_by_method_and_path(void **state)
{
    static const struct {
        const char *method;
        const char *path;
        enum router_found found;
        const char *pattern;
    } rows[] = {
        { "GET", "/riders", ROUTER_ROUTE, "riders" },
        { "POST", "/riders", ROUTER_ROUTE, "riders" },
        { "GET", "/riders/3", ROUTER_ROUTE, "riders/{rider}" },
        { "GET", "/riders/new", ROUTER_ROUTE, "riders/new" },
        { "PUT", "/riders/3/notes/7", ROUTER_ROUTE, "riders/{rider}/notes/{note}" },
        { "DELETE", "/riders", ROUTER_OTHER_METHOD, NULL },
        { "get", "/riders", ROUTER_OTHER_METHOD, NULL },
        { "PUT", "/riders/3/notes", ROUTER_NONE, NULL },
        { "GET", "/riders/3/notes/7/8", ROUTER_NONE, NULL },
        { "GET", "/rider", ROUTER_NONE, NULL },
        { "GET", "/riders2", ROUTER_NONE, NULL },
        { "GET", "/", ROUTER_NONE, NULL },
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct router_address address;
        struct error err = { 0 };
        const struct api_route *route = NULL;
        struct api_words path = { 0 };
        check(router_read(arena, rows[i].path, &address, &err));
        const enum router_found found = router_find(arena, routes, COUNT(routes), rows[i].method,
                                                    address.parts, address.n_parts, &route, &path);
        check_integer(rows[i].path, found, rows[i].found);
        check_text(rows[i].path, route == NULL ? "" : route->pattern,
                   rows[i].pattern == NULL ? "" : rows[i].pattern);
        arena_close(arena);
    }
}

static void test_router__parts_have_the_names_of_the_pattern(void **state)
{
    struct arena *arena = arena_open();
    static const char *const parts[] = { "riders", "3", "notes", "seven" };
    const struct api_route *route = NULL;
    struct api_call call = { 0 };
    struct error err = { 0 };
    int64_t id = 0;
    (void)state;
    check(router_find(arena, routes, COUNT(routes), "PUT", parts, 4, &route, &call.path) ==
          ROUTER_ROUTE);
    check(api_path_id(&call, "rider", &id, &err));
    check_integer("rider", id, 3);
    check(!api_path_id(&call, "note", &id, &err));
    check_integer("kind", err.kind, ERROR_NOT_FOUND);
    check_text("allowed", router_allowed(arena, routes, COUNT(routes), parts, 1), "GET, POST");
    arena_close(arena);
}

static void test_router__a_query_that_the_route_does_not_know_is_refused(void **state)
{
    const struct api_word known[] = { { "all", "1" } };
    const struct api_word unknown[] = { { "al", "1" } };
    const struct api_words good = { known, 1 };
    const struct api_words bad = { unknown, 1 };
    struct error err = { 0 };
    (void)state;
    check(router_query_is_known(&routes[0], &good, &err));
    check(!router_query_is_known(&routes[0], &bad, &err));
    check(!router_query_is_known(&routes[1], &good, &err));
}

static void test_router__every_route_of_the_program_is_sound(void **state)
{
    (void)state;
    for (size_t i = 0; i < api_route_count; i++) {
        const struct api_route *route = &api_routes[i];
        check((route->handler == NULL) == (route->kind == API_EVENTS));
        /* What reads changes nothing, and says so by its method; or it reads what is sent, at
         * once (server/api.h). */
        const bool is_get = strcmp(route->method, "GET") == 0;
        const bool reads_body = strcmp(route->method, "POST") == 0 && route->request != NULL &&
                                (route->flags & API_AT_ONCE) != 0;
        check(is_get || route->kind != API_EVENTS);
        check(is_get || route->kind != API_READ || reads_body);
        check(!is_get || (route->kind != API_WRITE && route->kind != API_JOB));
        for (size_t other = 0; other < i; other++) {
            check(strcmp(route->method, api_routes[other].method) != 0 ||
                  strcmp(route->pattern, api_routes[other].pattern) != 0);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_router__an_address_is_taken_apart_before_it_is_decoded),
        cmocka_unit_test(test_router__what_leads_elsewhere_or_is_no_text_is_refused),
        cmocka_unit_test(test_router__sizes_are_capped),
        cmocka_unit_test(test_router__a_route_is_found_by_method_and_path),
        cmocka_unit_test(test_router__parts_have_the_names_of_the_pattern),
        cmocka_unit_test(test_router__a_query_that_the_route_does_not_know_is_refused),
        cmocka_unit_test(test_router__every_route_of_the_program_is_sound),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
