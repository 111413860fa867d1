/* honesty/main.c: writes docs/honesty.md.
 *
 *     honesty-page --out FILE [--quick] [--jobs N] [--first N] [--shared FOLDER]
 *                  [--example ROSTER] [--only PART]
 *
 * --only: FILE is there; one part of it is made anew. */
#include "honesty/page.h"

#include "base/files.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int usage(const char *why)
{
    fprintf(stderr,
            "honesty-page: %s; usage: honesty-page --out FILE [--quick] [--jobs N] [--first N] "
            "[--shared FOLDER] [--example ROSTER] [--only PART]\n",
            why);
    return 2;
}

enum { LARGEST_BYTES = 4 << 20 };

/* The page, or one part of the page that is there. */
static bool write(struct page *page, const char *out, const char *only, struct error *err)
{
    const char *whole = "";
    struct bytes old = { 0 };
    if (only == NULL && !page_write(page, &whole, err)) {
        return false;
    }
    if (only != NULL &&
        (!files_read(page->arena, out, LARGEST_BYTES, &old, err) ||
         !page_write_only(page, only,
                          arena_format(page->arena, "%.*s", (int)old.size, (const char *)old.at),
                          &whole, err))) {
        return false;
    }
    const struct bytes bytes = { (const uint8_t *)whole, strlen(whole) };
    return files_write(out, bytes, err);
}

int main(int argc, char **argv)
{
    const char *out = NULL;
    const char *only = NULL;
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
        } else if (strcmp(argv[i], "--example") == 0) {
            page.example = value;
        } else if (strcmp(argv[i], "--only") == 0) {
            only = value;
        } else {
            return usage(argv[i]);
        }
        i++;
    }
    if (out == NULL) {
        return usage("no --out");
    }
    if (page.shared == NULL && !page.quick && (only == NULL || strcmp(only, "trust") == 0)) {
        return usage("the whole page needs the recordings of real rides: --shared");
    }
    page.arena = arena_open();
    struct error err = { 0 };
    const bool ok = write(&page, out, only, &err);
    if (!ok) {
        fprintf(stderr, "honesty-page: %s\n", err.message);
    }
    arena_close(page.arena);
    return ok ? 0 : 1;
}
