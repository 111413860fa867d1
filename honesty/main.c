/* honesty/main.c: writes docs/honesty.md.
 *
 *     honesty-page --out FILE [--quick] [--jobs N] [--first N] [--shared FOLDER] */
#include "honesty/page.h"

#include "base/files.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int usage(const char *why)
{
    fprintf(stderr,
            "honesty-page: %s; usage: honesty-page --out FILE [--quick] [--jobs N] [--first N] "
            "[--shared FOLDER]\n",
            why);
    return 2;
}

int main(int argc, char **argv)
{
    const char *out = NULL;
    struct page page = { .jobs = 2, .first = PAGE_FIRST };
    for (int i = 1; i < argc; i++) {
        const char *value = i + 1 < argc ? argv[i + 1] : NULL;
        if (strcmp(argv[i], "--quick") == 0) {
            page.quick = true;
            continue;
        }
        if (value == NULL) {
            return usage(argv[i]);
        }
        if (strcmp(argv[i], "--out") == 0) {
            out = value;
        } else if (strcmp(argv[i], "--jobs") == 0) {
            page.jobs = (int)strtol(value, NULL, 10);
        } else if (strcmp(argv[i], "--first") == 0) {
            page.first = strtoull(value, NULL, 10);
        } else if (strcmp(argv[i], "--shared") == 0) {
            page.shared = value;
        } else {
            return usage(argv[i]);
        }
        i++;
    }
    if (out == NULL) {
        return usage("no --out");
    }
    if (page.shared == NULL && !page.quick) {
        return usage("the whole page needs the recordings of real rides: --shared");
    }
    page.arena = arena_open();
    struct error err = { 0 };
    const char *whole = "";
    bool ok = page_write(&page, &whole, &err);
    const struct bytes bytes = { (const uint8_t *)whole, strlen(whole) };
    ok = ok && files_write(out, bytes, &err);
    if (!ok) {
        fprintf(stderr, "honesty-page: %s\n", err.message);
    }
    arena_close(page.arena);
    return ok ? 0 : 1;
}
