/* cli/ask.c: questions before, a bar meanwhile. */
#include "cli/ask.h"

#include "base/arena.h"
#include "base/dates.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

bool ask_first(bool given, const char *question, const char *wanted, struct error *err)
{
    char answer[512] = { 0 };
    if (given) {
        return true;
    }
    if (isatty(STDIN_FILENO) != 1 || isatty(STDERR_FILENO) != 1) {
        return error_set(err, ERROR_USAGE, "%s Without a terminal say --yes; nothing was changed",
                         question);
    }
    fprintf(stderr, "%s\nType %s to go on: ", question, wanted);
    if (fgets(answer, sizeof answer, stdin) == NULL) {
        answer[0] = '\0';
    }
    answer[strcspn(answer, "\n")] = '\0';
    return strcmp(answer, wanted) == 0 ||
           error_set(err, ERROR_CONFLICT, "not confirmed; nothing was changed");
}

void bar_draw(const char *what, size_t done, size_t of)
{
    enum { WIDE = 30 };
    static const char full[] = "##############################";
    if (of == 0 || isatty(STDERR_FILENO) != 1) {
        return;
    }
    /* At most so many lines as a bar of 200 steps has. */
    const size_t step = of / 200 + 1;
    if (done % step != 0 && done != of) {
        return;
    }
    const size_t filled = done * WIDE / of;
    fprintf(stderr, "\r[%.*s%*s] %-10.10s %zu of %zu ", (int)filled, full, (int)(WIDE - filled), "",
            what, done, of);
}

void bar_clear(void)
{
    if (isatty(STDERR_FILENO) == 1) {
        fprintf(stderr, "\r%*s\r", 79, "");
    }
}

void bar_tell(void *context, enum audit_step step, size_t done, size_t of)
{
    (void)context;
    bar_draw(audit_step_name(step), done, of);
}

const char *size_words(struct arena *arena, int64_t bytes)
{
    const double size = (double)bytes;
    return size < 1e6   ? arena_format(arena, "%.0f kB", size / 1e3)
           : size < 1e9 ? arena_format(arena, "%.1f MB", size / 1e6)
                        : arena_format(arena, "%.1f GB", size / 1e9);
}

const char *moment_words(struct arena *arena, int64_t utc_s)
{
    char iso[32];
    dates_format_utc(utc_s, iso);
    return arena_format(arena, "%.10s %.5s UTC", iso, iso + 11);
}
