/* Who was let in. */
#include "check.h"

#include "server/sessions.h"

#include <string.h>

static void test_sessions__a_token_lets_in_once(void **state)
{
    struct sessions *sessions = sessions_open(0);
    char token[ACCESS_KEY_SIZE];
    char key[ACCESS_KEY_SIZE];
    char wrong[ACCESS_KEY_SIZE];
    (void)state;
    sessions_token(sessions, token);
    memcpy(wrong, token, sizeof wrong);
    wrong[5] = wrong[5] == 'a' ? 'b' : 'a';
    check(!sessions_spend(sessions, wrong, 1, key));
    check(!sessions_spend(sessions, "", 1, key));
    check(sessions_spend(sessions, token, 1, key));
    check(sessions_know(sessions, key, 1));
    check(!sessions_spend(sessions, token, 1, key));
    check(!sessions_know(sessions, token, 1));
    sessions_close(sessions);
}

static void test_sessions__a_key_ends_when_it_is_ended_or_idle(void **state)
{
    struct sessions *sessions = sessions_open(100);
    char one[ACCESS_KEY_SIZE];
    char two[ACCESS_KEY_SIZE];
    (void)state;
    sessions_begin(sessions, 0, one);
    sessions_begin(sessions, 0, two);
    check(strcmp(one, two) != 0);
    check(sessions_know(sessions, one, 90));
    check(sessions_know(sessions, one, 180));
    check(!sessions_know(sessions, two, 180));
    sessions_end(sessions, one);
    check(!sessions_know(sessions, one, 181));
    sessions_begin(sessions, 200, one);
    sessions_end(sessions, NULL);
    check(!sessions_know(sessions, one, 201));
    sessions_close(sessions);
}

static void test_sessions__the_one_unused_for_longest_gives_way(void **state)
{
    struct sessions *sessions = sessions_open(0);
    char first[ACCESS_KEY_SIZE];
    char key[ACCESS_KEY_SIZE];
    (void)state;
    sessions_begin(sessions, 1, first);
    for (int i = 0; i < SESSIONS_MOST; i++) {
        sessions_begin(sessions, 2 + i, key);
    }
    check(!sessions_know(sessions, first, 1000));
    check(sessions_know(sessions, key, 1000));
    sessions_close(sessions);
}

static void test_sessions__wrong_passwords_cost_ever_longer(void **state)
{
    struct sessions *sessions = sessions_open(0);
    int64_t now_s = 0;
    int64_t last_s = 0;
    (void)state;
    for (int i = 0; i < TRIES_FREE - 1; i++) {
        sessions_tried(sessions, false, now_s);
        check_integer("free", sessions_wait_s(sessions, now_s), 0);
    }
    for (int i = 0; i < 12; i++) {
        sessions_tried(sessions, false, now_s);
        const int64_t wait_s = sessions_wait_s(sessions, now_s);
        check(wait_s > 0 && wait_s >= last_s && wait_s <= TRIES_WAIT_MOST_S);
        last_s = wait_s;
        now_s += wait_s;
    }
    check_integer("at most", last_s, TRIES_WAIT_MOST_S);
    sessions_tried(sessions, true, now_s);
    check_integer("right", sessions_wait_s(sessions, now_s), 0);
    sessions_close(sessions);
}

/* URL Standard, application/x-www-form-urlencoded. */
static void test_sessions__a_form_holds_one_password(void **state)
{
    static const struct {
        const char *body;
        const char *words; /* NULL = refused */
    } rows[] = {
        { "password=correct+horse%21", "correct horse!" },
        { "password=%C3%A9t%C3%A9", "été" },
        { "password=", NULL },
        { "", NULL },
        { "passwor=x", NULL },
        { "password=a&password=b", NULL },
        { "password=a%0", NULL },
        { "password=a%zz", NULL },
        { "password=a%00b", NULL },
        { "password=0123456789012345678901234567890123456789", NULL },
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        char words[30] = "";
        const bool taken = access_form_password(rows[i].body, words, sizeof words);
        check_integer(rows[i].body, taken, rows[i].words != NULL);
        if (taken) {
            check_text(rows[i].body, words, rows[i].words);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_sessions__a_token_lets_in_once),
        cmocka_unit_test(test_sessions__a_key_ends_when_it_is_ended_or_idle),
        cmocka_unit_test(test_sessions__the_one_unused_for_longest_gives_way),
        cmocka_unit_test(test_sessions__wrong_passwords_cost_ever_longer),
        cmocka_unit_test(test_sessions__a_form_holds_one_password),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
