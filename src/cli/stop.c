/* cli/stop.c: an interrupt that is obeyed where a command next can. */
#include "cli/stop.h"

#include <signal.h>
#include <stdio.h>

/* Set by a signal, read by everybody, and what it replaced: the only things here that change. */
static volatile sig_atomic_t is_asked;
static struct sigaction before;
static bool is_watched;

static void stop_soon(int signal_number)
{
    (void)signal_number;
    is_asked = 1;
}

void stop_begin(void)
{
    struct sigaction action = { .sa_handler = stop_soon, .sa_flags = SA_RESTART };
    sigemptyset(&action.sa_mask);
    /* A shell that starts us in the background has interrupts ignored: leave them so. */
    is_watched = sigaction(SIGINT, NULL, &before) == 0 && before.sa_handler != SIG_IGN;
    if (is_watched) {
        sigaction(SIGINT, &action, NULL);
    }
}

void stop_end(void)
{
    if (is_watched) {
        sigaction(SIGINT, &before, NULL);
    }
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
