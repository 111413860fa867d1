/* honesty/page.c: docs/honesty.md, made wholly from trials. */
#include "honesty/page.h"

#include "coaching/reading.h"
#include "honesty/table.h"

#include <math.h>

enum { LARGEST_BYTES = 4 << 20 };

size_t page_count(const struct page *page, size_t in_full, size_t in_short)
{
    return page->quick ? in_short : in_full;
}

static void write_head(struct text *text)
{
    text_add(
        text,
        "# Honesty, measured\n\n"
        "How often the readings are right, on rides whose truth is known. This page is "
        "written by a program and never edited; the command is\n\n"
        "```sh\n./do long\n```\n\n"
        "with the recordings of real rides at hand (`PLUMBLINE_SHARED`). Simulated rides come "
        "from a simulator that shares no code with the estimators; they are rides that no test "
        "and no tuning has seen. Everything goes through `reading_make`, as `plumbline read` "
        "does. Behind a share stands its 95 % interval (Wilson); behind a rate per 100 h its "
        "95 % Poisson limits. Simulated riders are not riders: a figure says how the method "
        "does when the world is as the simulator has it.\n\n"
        "| question | method |\n| --- | --- |\n");
    static const enum question questions[] = { QUESTION_TRUST, QUESTION_BASE, QUESTION_EASY_WORK,
                                               QUESTION_HARD_WORK };
    text_add_format(text, "| reading a file | %s |\n", RECORDING_METHOD);
    for (size_t i = 0; i < sizeof questions / sizeof questions[0]; i++) {
        text_add_format(text, "| %s | %s |\n", question_name(questions[i]),
                        question_method(questions[i]));
    }
}

void page_aim(struct page *page, const char *aim, double low_pct, double high_pct, double part,
              double whole)
{
    double low = 0.0;
    double high = 0.0;
    table_wilson(part, whole, &low, &high);
    const double share = whole > 0.0 ? 100.0 * part / whole : (double)NAN;
    const bool met = share >= low_pct && share <= high_pct;
    const bool by_chance = high >= low_pct && low <= high_pct;
    const char *word = met ? "met" : (by_chance ? "missed, within chance" : "**missed**");
    const char *range = low_pct <= 0.0 ? arena_format(page->arena, "at most %.0f", high_pct)
                        : high_pct >= 100.0
                            ? arena_format(page->arena, "at least %.0f", low_pct)
                            : arena_format(page->arena, "%.0f–%.0f", low_pct, high_pct);
    text_add_format(&page->aims, "| %s | %s | %s | %s |\n", aim, range,
                    table_share(page->arena, part, whole), whole > 0.0 ? word : "–");
}

bool page_write(struct page *page, const char **whole, struct error *err)
{
    page->text = text_begin(page->arena, LARGEST_BYTES);
    page->aims = text_begin(page->arena, LARGEST_BYTES);
    page_base(page);
    page_reps(page);
    page_easy(page);
    if (!page_trust(page, err)) {
        return false;
    }
    struct text out = text_begin(page->arena, LARGEST_BYTES);
    write_head(&out);
    text_add(&out, "\n## Aims\n\n| aim | wanted, % | reached, % | |\n| --- | --- | --- | --- |\n");
    text_add(&out, page->aims.bytes);
    text_add(&out, page->text.bytes);
    if (out.cut || page->text.cut || page->aims.cut) {
        return error_set(err, ERROR_INTERNAL, "the page of honesty is longer than it may be");
    }
    *whole = out.bytes;
    return true;
}
