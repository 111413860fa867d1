/* Answers that are kept while they are true. */
#include "check.h"

#include "server/kept.h"

#include <pthread.h>
#include <sched.h>
#include <stdatomic.h>
#include <stdio.h>
#include <string.h>

static void test_kept__an_answer_is_true_in_its_generation_alone(void **state)
{
    struct kept *kept = kept_open();
    struct kept_answer *made = kept_add(kept, "day /who", 4, "[1]", 3, "application/json");
    struct kept_answer *found = kept_find(kept, "day /who", 4);
    (void)state;
    check(found == made);
    check(kept_find(kept, "day /who", 5) == NULL);
    check(kept_find(kept, "other day /who", 4) == NULL);
    kept_let_go(found);
    kept_let_go(made);
    kept_close(kept);
}

static void test_kept__an_answer_outlives_its_place(void **state)
{
    struct kept *kept = kept_open();
    struct kept_answer *held = kept_add(kept, "k", 1, "old", 3, "t");
    (void)state;
    kept_let_go(kept_add(kept, "k", 2, "new", 3, "t"));
    check(memcmp(held->bytes, "old", 3) == 0);
    kept_close(kept);
    check(memcmp(held->bytes, "old", 3) == 0);
    kept_let_go(held);
}

static void test_kept__equal_bytes_have_one_etag(void **state)
{
    struct kept *kept = kept_open();
    struct kept_answer *one = kept_add(kept, NULL, 1, "same", 4, "t");
    struct kept_answer *two = kept_add(kept, "k", 2, "same", 4, "t");
    struct kept_answer *three = kept_add(kept, "k", 3, "other", 5, "t");
    (void)state;
    /* SHA-256 of "same" begins so: sha256sum (GNU coreutils 9.1). */
    check_text("etag", one->etag, "W/\"0967115f2813a354\"");
    check_text("the same", two->etag, one->etag);
    check(strcmp(three->etag, one->etag) != 0);
    kept_let_go(one);
    kept_let_go(two);
    kept_let_go(three);
    kept_close(kept);
}

#define ASKERS 16

struct maker {
    struct kept *kept;
    atomic_int asked;
    atomic_int made;
};

/* As a worker does; who makes it isn't done before all have come to ask. */
static void *make(void *context)
{
    struct maker *maker = context;
    atomic_fetch_add(&maker->asked, 1);
    struct kept_answer *answer = kept_find_or_make(maker->kept, "day /who", 1);
    if (answer == NULL) {
        atomic_fetch_add(&maker->made, 1);
        while (atomic_load(&maker->asked) < ASKERS) {
            sched_yield();
        }
        answer = kept_add(maker->kept, "day /who", 1, "[1]", 3, "t");
        kept_made(maker->kept, "day /who");
    }
    kept_let_go(answer);
    return NULL;
}

static void test_kept__many_who_ask_at_once_cost_one_answer(void **state)
{
    struct maker maker = { .kept = kept_open() };
    pthread_t threads[ASKERS];
    (void)state;
    for (size_t i = 0; i < COUNT(threads); i++) {
        check_integer("thread", pthread_create(&threads[i], NULL, make, &maker), 0);
    }
    for (size_t i = 0; i < COUNT(threads); i++) {
        pthread_join(threads[i], NULL);
    }
    check_integer("made", atomic_load(&maker.made), 1);
    /* Who couldn't make it lets the next one try. */
    check(kept_find_or_make(maker.kept, "other", 1) == NULL);
    kept_made(maker.kept, "other");
    check(kept_find_or_make(maker.kept, "other", 1) == NULL);
    kept_made(maker.kept, "other");
    kept_close(maker.kept);
}

static void test_kept__there_is_an_end_to_how_many(void **state)
{
    struct kept *kept = kept_open();
    size_t found = 0;
    (void)state;
    for (unsigned i = 0; i < 5 * KEPT_ANSWERS_MOST; i++) {
        char key[40];
        snprintf(key, sizeof key, "day /riders/%u", i);
        kept_let_go(kept_add(kept, key, 1, key, strlen(key), "t"));
    }
    for (unsigned i = 0; i < 5 * KEPT_ANSWERS_MOST; i++) {
        char key[40];
        snprintf(key, sizeof key, "day /riders/%u", i);
        struct kept_answer *answer = kept_find(kept, key, 1);
        found += answer != NULL ? 1 : 0;
        kept_let_go(answer);
    }
    check(found > 0 && found <= KEPT_ANSWERS_MOST);
    kept_close(kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_kept__an_answer_is_true_in_its_generation_alone),
        cmocka_unit_test(test_kept__an_answer_outlives_its_place),
        cmocka_unit_test(test_kept__equal_bytes_have_one_etag),
        cmocka_unit_test(test_kept__many_who_ask_at_once_cost_one_answer),
        cmocka_unit_test(test_kept__there_is_an_end_to_how_many),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
