/* Server-sent events: HTML Standard, section 9.2. */
#include "check.h"

#include "server/events.h"

#include <string.h>

struct bed {
    int slept;
    int woken;
    bool is_gone;
};

static void go_to_sleep(void *context)
{
    ((struct bed *)context)->slept++;
}

static void wake(void *context)
{
    ((struct bed *)context)->woken++;
}

static bool is_gone(void *context)
{
    return ((struct bed *)context)->is_gone;
}

static const struct listener_calls calls = { go_to_sleep, wake, is_gone };

static void test_events__a_listener_sleeps_until_something_is_told(void **state)
{
    struct events *events = events_open();
    struct bed bed = { 0 };
    char out[200] = "";
    struct listener *listener = events_listen(events, 0, &calls, &bed);
    (void)state;
    check(listener != NULL);
    check_integer("nothing yet", events_take(listener, out, sizeof out), 0);
    check_integer("asleep", bed.slept, 1);
    events_tell(events, 7, "job", "{\"id\":7}");
    events_tell(events, 7, "job", "{\"id\":7,\"done\":1}");
    check_integer("woken once", bed.woken, 1);
    const ssize_t n = events_take(listener, out, sizeof out - 1);
    check(n > 0);
    out[n] = '\0';
    check_text("events", out,
               "event: job\ndata: {\"id\":7}\n\nevent: job\ndata: {\"id\":7,\"done\":1}\n\n");
    events_leave(listener);
    events_close(events);
}

static void test_events__a_topic_hears_its_own_and_ends_with_it(void **state)
{
    struct events *events = events_open();
    struct bed bed = { 0 };
    char out[200] = "";
    struct listener *one = events_listen(events, 1, &calls, &bed);
    struct listener *all = events_listen(events, 0, &calls, &bed);
    (void)state;
    events_tell(events, 2, "job", "{}");
    check_integer("not its own", events_take(one, out, sizeof out), 0);
    check(events_take(all, out, sizeof out) > 0);
    events_greet(one, "job", "{\"last\":true}");
    events_end(events, 1);
    check(events_take(one, out, sizeof out) > 0);
    check_integer("then the end", events_take(one, out, sizeof out), -1);
    check_integer("the others stay", events_take(all, out, sizeof out), 0);
    events_leave(one);
    events_leave(all);
    events_close(events);
}

static void test_events__eight_may_listen(void **state)
{
    struct events *events = events_open();
    struct bed bed = { 0 };
    struct listener *listeners[EVENTS_LISTENERS_MOST];
    (void)state;
    for (size_t i = 0; i < EVENTS_LISTENERS_MOST; i++) {
        listeners[i] = events_listen(events, 0, &calls, &bed);
        check(listeners[i] != NULL);
    }
    check(events_listen(events, 0, &calls, &bed) == NULL);
    events_leave(listeners[3]);
    listeners[3] = events_listen(events, 0, &calls, &bed);
    check(listeners[3] != NULL);
    for (size_t i = 0; i < EVENTS_LISTENERS_MOST; i++) {
        events_leave(listeners[i]);
    }
    check_integer("nobody", (int64_t)events_listeners(events), 0);
    events_close(events);
}

static void test_events__who_does_not_take_them_is_let_go_with_whole_events(void **state)
{
    struct events *events = events_open();
    struct bed bed = { 0 };
    char out[EVENTS_BUFFER_BYTES + 1];
    struct listener *listener = events_listen(events, 0, &calls, &bed);
    (void)state;
    check_integer("asleep", events_take(listener, out, sizeof out), 0);
    for (int i = 0; i < 10000; i++) {
        events_tell(events, 0, "changed", "{\"generation\":123456789}");
    }
    const ssize_t n = events_take(listener, out, sizeof out - 1);
    check(n > 0);
    out[n] = '\0';
    check_text("the last is whole", out + n - 2, "\n\n");
    check_integer("then the end", events_take(listener, out, sizeof out), -1);
    events_leave(listener);
    events_close(events);
}

static void test_events__who_is_gone_gives_its_place_up(void **state)
{
    struct events *events = events_open();
    struct bed beds[EVENTS_LISTENERS_MOST + 1] = { 0 };
    struct listener *listeners[EVENTS_LISTENERS_MOST + 1] = { 0 };
    char out[20];
    (void)state;
    for (size_t i = 0; i < EVENTS_LISTENERS_MOST; i++) {
        listeners[i] = events_listen(events, 0, &calls, &beds[i]);
        check_integer("asleep", events_take(listeners[i], out, sizeof out), 0);
    }
    check(events_listen(events, 0, &calls, &beds[EVENTS_LISTENERS_MOST]) == NULL);
    beds[2].is_gone = true;
    listeners[EVENTS_LISTENERS_MOST] =
        events_listen(events, 0, &calls, &beds[EVENTS_LISTENERS_MOST]);
    check(listeners[EVENTS_LISTENERS_MOST] != NULL);
    check_integer("woken, to leave", beds[2].woken, 1);
    check_integer("no more for it", events_take(listeners[2], out, sizeof out), -1);
    for (size_t i = 0; i <= EVENTS_LISTENERS_MOST; i++) {
        events_leave(listeners[i]);
    }
    check_integer("all have left", (int64_t)events_listeners(events), 0);
    events_close(events);
}

static void test_events__after_the_end_nobody_may_listen(void **state)
{
    struct events *events = events_open();
    struct bed bed = { 0 };
    (void)state;
    events_end(events, 0);
    check(events_listen(events, 0, &calls, &bed) == NULL);
    events_close(events);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_events__a_listener_sleeps_until_something_is_told),
        cmocka_unit_test(test_events__a_topic_hears_its_own_and_ends_with_it),
        cmocka_unit_test(test_events__eight_may_listen),
        cmocka_unit_test(test_events__who_does_not_take_them_is_let_go_with_whole_events),
        cmocka_unit_test(test_events__who_is_gone_gives_its_place_up),
        cmocka_unit_test(test_events__after_the_end_nobody_may_listen),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
