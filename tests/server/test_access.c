/* Whether a request may be answered, by its headers.  The rows are the ways in which another site's
 * page can make a browser ask (Fetch Standard: simple requests; Fetch Metadata; DNS rebinding). */
#include "check.h"

#include "server/access.h"

#include <string.h>

#define OURS "127.0.0.1:8177"

static const struct access_rules rules = {
    .hosts = { OURS, "localhost:8177" },
    .n_hosts = 2,
    .origins = { "http://" OURS, "http://localhost:8177" },
    .n_origins = 2,
};

static void test_access__only_our_own_page_may_ask(void **state)
{
    static const struct {
        const char *name;
        enum access_kind kind;
        struct access_headers headers;
        int status;
    } rows[] = {
        { "a page typed", ACCESS_PAGE, { OURS, 1, NULL, "none", NULL, false }, 0 },
        { "a page by its other name",
          ACCESS_PAGE,
          { "LOCALHOST:8177", 1, NULL, NULL, NULL, false },
          0 },
        { "a page by another site's link",
          ACCESS_PAGE,
          { OURS, 1, NULL, "cross-site", NULL, false },
          0 },
        { "no host", ACCESS_PAGE, { NULL, 0, NULL, NULL, NULL, false }, 400 },
        { "two hosts", ACCESS_PAGE, { OURS, 2, NULL, NULL, NULL, false }, 400 },
        { "another name for us",
          ACCESS_PAGE,
          { "evil.example:8177", 1, NULL, NULL, NULL, false },
          421 },
        { "our name within another",
          ACCESS_PAGE,
          { OURS ".evil.example", 1, NULL, NULL, NULL, false },
          421 },
        { "another port", ACCESS_READ, { "127.0.0.1:80", 1, NULL, NULL, NULL, false }, 421 },
        { "no port", ACCESS_READ, { "127.0.0.1", 1, NULL, NULL, NULL, false }, 421 },
        { "a read by our page", ACCESS_READ, { OURS, 1, NULL, "same-origin", NULL, false }, 0 },
        { "a read by no browser", ACCESS_READ, { OURS, 1, NULL, NULL, NULL, false }, 0 },
        { "a read by another site",
          ACCESS_READ,
          { OURS, 1, NULL, "cross-site", NULL, false },
          403 },
        { "a read by another port", ACCESS_READ, { OURS, 1, NULL, "same-site", NULL, false }, 403 },
        { "a read with another origin",
          ACCESS_READ,
          { OURS, 1, "http://evil.example", NULL, NULL, false },
          403 },
        { "a write by our page",
          ACCESS_WRITE,
          { OURS, 1, "http://" OURS, "same-origin", "application/json", true },
          0 },
        { "a write with a charset",
          ACCESS_WRITE,
          { OURS, 1, "http://" OURS, NULL, "application/json; charset=utf-8", true },
          0 },
        { "a write without a body",
          ACCESS_WRITE,
          { OURS, 1, "http://" OURS, NULL, NULL, false },
          0 },
        { "a write without an origin",
          ACCESS_WRITE,
          { OURS, 1, NULL, NULL, "application/json", true },
          403 },
        { "a write from a sandbox",
          ACCESS_WRITE,
          { OURS, 1, "null", NULL, "application/json", true },
          403 },
        { "a write by another site",
          ACCESS_WRITE,
          { OURS, 1, "http://evil.example", "cross-site", "application/json", true },
          403 },
        { "a write by another scheme",
          ACCESS_WRITE,
          { OURS, 1, "https://" OURS, NULL, "application/json", true },
          403 },
        { "a write typed",
          ACCESS_WRITE,
          { OURS, 1, "http://" OURS, "none", "application/json", true },
          403 },
        { "a form as a write",
          ACCESS_WRITE,
          { OURS, 1, "http://" OURS, NULL, "application/x-www-form-urlencoded", true },
          415 },
        { "text as a write",
          ACCESS_WRITE,
          { OURS, 1, "http://" OURS, NULL, "text/plain", true },
          415 },
        { "a write of no type", ACCESS_WRITE, { OURS, 1, "http://" OURS, NULL, NULL, true }, 415 },
        { "nearly JSON",
          ACCESS_WRITE,
          { OURS, 1, "http://" OURS, NULL, "application/jsonp", true },
          415 },
        { "a file",
          ACCESS_FILE,
          { OURS, 1, "http://" OURS, NULL, "application/octet-stream", true },
          0 },
        { "a file in a form",
          ACCESS_FILE,
          { OURS, 1, "http://" OURS, NULL, "multipart/form-data; boundary=x", true },
          415 },
        { "the password",
          ACCESS_FORM,
          { OURS, 1, "http://" OURS, "same-origin", "application/x-www-form-urlencoded", true },
          0 },
        { "a password by another site",
          ACCESS_FORM,
          { OURS, 1, "http://evil.example", NULL, "application/x-www-form-urlencoded", true },
          403 },
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        const char *why = NULL;
        check_integer(rows[i].name, access_check(&rules, rows[i].kind, &rows[i].headers, &why),
                      rows[i].status);
        check((why != NULL) == (rows[i].status != 0));
    }
}

#define KEY "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef"

/* RFC 6265, section 4.2.1. */
static void test_access__a_cookie_is_there_once_or_not_at_all(void **state)
{
    static const struct {
        const char *header;
        bool is_there;
    } rows[] = {
        { "plumbline-8177=" KEY, true },
        { "a=b; plumbline-8177=" KEY "; c=d", true },
        { "a=b;plumbline-8177=" KEY " ", true },
        { NULL, false },
        { "", false },
        { "plumbline-8177", false },
        { "plumbline-8177=", false },
        { "plumbline-8177=" KEY "0", false },
        { "plumbline-8177=0123", false },
        { "plumbline-8177=" KEY "; plumbline-8177=" KEY, false },
        { "xplumbline-8177=" KEY, false },
        { "plumbline-81=" KEY, false },
        { "plumbline-8177=\"" KEY "\"", false },
        { "plumbline-8177=0123456789ABCDEF0123456789abcdef0123456789abcdef0123456789abcdef",
          false },
        { ";;;==;; ;", false },
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        char key[ACCESS_KEY_SIZE] = "";
        check_integer(rows[i].header == NULL ? "none" : rows[i].header,
                      access_cookie(rows[i].header, "plumbline-8177", key), rows[i].is_there);
        check(!rows[i].is_there || strcmp(key, KEY) == 0);
    }
}

/* RFC 9110, sections 8.8.3 and 13.1.2. */
static void test_access__etags_compare_weakly(void **state)
{
    static const struct {
        const char *header;
        bool matches;
    } rows[] = {
        { "W/\"abc\"", true },
        { "\"abc\"", true },
        { "\"x\", W/\"abc\"", true },
        { "*", true },
        { "\"abcd\"", false },
        { "abc", false },
        { "\"x\",\"y\"", false },
        { "", false },
        { NULL, false },
        { "W/\"ab\", \"c\"", false },
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_integer(rows[i].header == NULL ? "none" : rows[i].header,
                      access_etag_matches(rows[i].header, "W/\"abc\""), rows[i].matches);
    }
}

static void test_access__a_version_is_a_number_in_quotes(void **state)
{
    static const struct {
        const char *header;
        long long version;
    } rows[] = {
        { NULL, 0 },        { "\"12\"", 12 },
        { "12", -1 },       { "\"\"", -1 },
        { "\"0\"", -1 },    { "*", -1 },
        { "W/\"12\"", -1 }, { "\"1\", \"2\"", -1 },
        { "\"-3\"", -1 },   { "\"99999999999999999999\"", -1 },
        { "\"", -1 },
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_integer(rows[i].header == NULL ? "none" : rows[i].header,
                      access_version(rows[i].header), rows[i].version);
    }
}

static void test_access__who_waits_says_how_long(void **state)
{
    /* RFC 7240, section 4.3 and its examples. */
    static const struct {
        const char *header;
        long long wait_s;
    } rows[] = {
        { NULL, -1 },          { "", -1 },
        { "wait=10", 10 },     { "respond-async, wait=5", 5 },
        { "Wait=0", 0 },       { "wait", -1 },
        { "wait=-3", -1 },     { "await=4", -1 },
        { "wait=ten, ,", -1 }, { "return=minimal; foo=\"some parameter\", wait=7", 7 },
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_integer(rows[i].header == NULL ? "none" : rows[i].header,
                      access_wait_s(rows[i].header), rows[i].wait_s);
    }
}

static void test_access__gzip_is_sent_to_who_takes_it(void **state)
{
    (void)state;
    check(access_takes_gzip("gzip, deflate, br"));
    check(access_takes_gzip("br;q=1, GZIP;q=0.5"));
    check(!access_takes_gzip("gzip;q=0"));
    check(!access_takes_gzip("identity"));
    check(!access_takes_gzip("gzipped"));
    check(!access_takes_gzip(NULL));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_access__only_our_own_page_may_ask),
        cmocka_unit_test(test_access__a_cookie_is_there_once_or_not_at_all),
        cmocka_unit_test(test_access__etags_compare_weakly),
        cmocka_unit_test(test_access__a_version_is_a_number_in_quotes),
        cmocka_unit_test(test_access__who_waits_says_how_long),
        cmocka_unit_test(test_access__gzip_is_sent_to_who_takes_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
