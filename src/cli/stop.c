/* cli/stop.c: an interrupt that is obeyed where a command next can. */
#include "cli/stop.h"

#include <signal.h>
#include <stdio.h>

/* Set by a signal, read by everybody, and what it replaced: the only things here that change. */
static volatile sig_atomic_t is_asked;
static volatile sig_atomic_t is_end;
static struct sigaction before;
static struct sigaction before_end;
static bool is_watched;
static int depth; /* of begins without their end */
static bool is_end_watched;

static void stop_soon(int signal_number)
{
    is_asked = 1;
    is_end = signal_number == SIGTERM;
}

static void watch_for(int signal_number, struct sigaction *was, bool *taken)
{
    struct sigaction action = { .sa_handler = stop_soon, .sa_flags = SA_RESTART };
    sigemptyset(&action.sa_mask);
    /* A shell that starts us in the background has interrupts ignored: leave them so. */
    *taken = sigaction(signal_number, NULL, was) == 0 && was->sa_handler != SIG_IGN;
    if (*taken) {
        sigaction(signal_number, &action, NULL);
    }
}

void stop_begin(void)
{
    if (depth++ == 0) {
        watch_for(SIGINT, &before, &is_watched);
    }
}

void stop_begin_with_end(void)
{
    stop_begin();
    watch_for(SIGTERM, &before_end, &is_end_watched);
}

bool stop_was_end(void)
{
    return is_end != 0;
}

void stop_end(void)
{
    if (--depth > 0) {
        return;
    }
    if (is_end_watched) {
        sigaction(SIGTERM, &before_end, NULL);
    }
    if (is_watched) {
        sigaction(SIGINT, &before, NULL);
    }
    is_end_watched = false;
    is_watched = false;
}

bool stop_is_asked(void *unused)
{
    (void)unused;
    return is_asked != 0;
}

int stop_tell(const char *command, const char *what)
{
    fprintf(stderr, "plumbline %s: interrupted; %s\n", command, what);
    return 128 + SIGINT;
}
