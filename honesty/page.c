/* honesty/page.c: docs/honesty.md, made wholly from trials. */
#include "honesty/page.h"

#include "coaching/reading.h"
#include "honesty/table.h"
#include "physiology/heart_response.h"

#include <math.h>
#include <string.h>

enum { LARGEST_BYTES = 4 << 20, QUESTIONS_MOST = 7 };

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
        "from a simulator that shares no code with the estimators, and in the part *Every "
        "verdict on two simulators* from a second one too; they are rides that no test "
        "and no tuning has seen. Rides go through `reading_make`, as in `plumbline read`, what "
        "is said over weeks through `rider_progress_read`, as in `plumbline progress`, heart rate "
        "against usual through `heart_today_read`, and heart rate at base-test power through "
        "`base_trend_read`. Behind a "
        "share stands its 95 % interval (Wilson); behind a rate per 100 h its "
        "95 % Poisson limits. Simulated riders are not riders: a figure says how the method "
        "does when the world is as the simulator has it.\n\n"
        "| question | method |\n| --- | --- |\n");
    static const enum question questions[] = { QUESTION_TRUST,      QUESTION_BASE,
                                               QUESTION_EASY_WORK,  QUESTION_HARD_WORK,
                                               QUESTION_PROGRESS,   QUESTION_STALLED,
                                               QUESTION_BASE_STATE, QUESTION_TODAY,
                                               QUESTION_BASE_TREND };
    text_add_format(text, "| reading a file | %s |\n", RECORDING_METHOD);
    text_add_format(text, "| heart response | %s |\n", HEART_SUMS_METHOD);
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
    const char *range = low_pct <= 0.0 ? arena_format(page->arena, "at most %.3g", high_pct)
                        : high_pct >= 100.0
                            ? arena_format(page->arena, "at least %.0f", low_pct)
                            : arena_format(page->arena, "%.0f–%.0f", low_pct, high_pct);
    text_add_format(&page->aims, "| %s | %s | %s | %s |\n", aim, range,
                    table_share(page->arena, part, whole), whole > 0.0 ? word : "–");
}

/* ---- parts ---- */

struct part {
    const char *name; /* and the first word of its aims */
    const char *heading;
    void (*write)(struct page *page);
    bool (*write_or_fail)(struct page *page, struct error *err); /* instead of it */
    bool by_response;                                            /* the heart response has a say */
    enum question questions[QUESTIONS_MOST]; /* that it measures; 0, which is trust, stands first or
                                                ends them */
};
static const struct part parts[] = {
    { "base", "## Base test and rise of heart rate", page_base, NULL, false, { QUESTION_BASE } },
    { "efforts",
      "## Hard work: efforts found and judged",
      page_reps,
      NULL,
      false,
      { QUESTION_HARD_WORK } },
    { "easy work", "## Easy work", page_easy, NULL, false, { QUESTION_EASY_WORK } },
    { "trust", "## Trust", NULL, page_trust, false, { QUESTION_TRUST } },
    { "progress",
      "## Progress",
      page_progress,
      NULL,
      false,
      { QUESTION_PROGRESS, QUESTION_STALLED } },
    { "both",
      "## Every verdict on two simulators",
      page_both,
      NULL,
      false,
      { QUESTION_TRUST, QUESTION_BASE, QUESTION_EASY_WORK, QUESTION_HARD_WORK, QUESTION_PROGRESS,
        QUESTION_STALLED, QUESTION_BASE_STATE } },
    { "today", "## Today: heart rate against usual", page_days, NULL, true, { QUESTION_TODAY } },
    { "base trend",
      "## Base trend: heart rate at base-test power, over weeks",
      page_trend,
      NULL,
      true,
      { QUESTION_BASE_TREND } },
    { "numbers",
      "## Numbers that are fitted, against what was put in",
      page_numbers,
      NULL,
      true,
      { QUESTION_TRUST } },
    { "record",
      "## Record on the example roster",
      NULL,
      page_record,
      true,
      { QUESTION_BASE, QUESTION_HARD_WORK, QUESTION_PROGRESS, QUESTION_TODAY } },
};
enum { PARTS = sizeof parts / sizeof parts[0] };

/* ---- what a part was measured with ---- */

static const char MEASURED[] = "Measured with ";

static const char *next_line(const char *line)
{
    const char *end = strchr(line, '\n');
    return end == NULL ? line + strlen(line) : end + 1;
}

static bool begins(const char *line, const char *with)
{
    return strncmp(line, with, strlen(with)) == 0;
}

/* The method of a question in the table of `page`, as "base/1"; NULL where it has none. */
static const char *method_in(struct page *page, const char *of, const char *question)
{
    const char *row = arena_format(page->arena, "| %s | ", question);
    const char *at = strstr(of, row);
    return at == NULL ? NULL
                      : arena_format(page->arena, "%.*s", (int)strcspn(at + strlen(row), " "),
                                     at + strlen(row));
}

/* By the table of methods of `of`: this program's head, or the page that a part is kept from. */
static void write_measured(struct page *page, const struct part *part, const char *of)
{
    const char *const none = "no method known";
    text_add_format(&page->text, "\n%s", MEASURED);
    for (size_t i = 0; i < QUESTIONS_MOST && (i == 0 || part->questions[i] != QUESTION_TRUST);
         i++) {
        const char *method = method_in(page, of, question_name(part->questions[i]));
        text_add_format(&page->text, "%s%s", i == 0 ? "" : ", ", method != NULL ? method : none);
    }
    if (part->by_response) {
        const char *method = method_in(page, of, "heart response");
        text_add_format(&page->text, ", %s", method != NULL ? method : none);
    }
    const char *reading = method_in(page, of, "reading a file");
    text_add_format(&page->text, "; files by %s.\n", reading != NULL ? reading : none);
}

static const char *own_head(struct page *page)
{
    struct text head = text_begin(page->arena, LARGEST_BYTES);
    write_head(&head);
    return head.bytes;
}

static bool write_part(struct page *page, const struct part *part, struct error *err)
{
    if (part->write_or_fail != NULL && !part->write_or_fail(page, err)) {
        return false;
    }
    if (part->write_or_fail == NULL) {
        part->write(page);
    }
    write_measured(page, part, own_head(page));
    return true;
}

static bool write_whole(struct page *page, const char **whole, struct error *err)
{
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

static void begin(struct page *page)
{
    page->text = text_begin(page->arena, LARGEST_BYTES);
    page->aims = text_begin(page->arena, LARGEST_BYTES);
}

bool page_write(struct page *page, const char **whole, struct error *err)
{
    begin(page);
    for (size_t i = 0; i < PARTS; i++) {
        if (!write_part(page, &parts[i], err)) {
            return false;
        }
    }
    return write_whole(page, whole, err);
}

/* ---- one part anew ---- */

/* Its aims and its section, as the old page has them. */
static bool keep_part(struct page *page, const struct part *part, const char *old,
                      struct error *err)
{
    const char *aim = arena_format(page->arena, "| %s:", part->name);
    const char *heading = arena_format(page->arena, "%s\n", part->heading);
    bool inside = false;
    bool found = false;
    bool is_measured = false;
    for (const char *line = old; *line != '\0'; line = next_line(line)) {
        if (begins(line, aim)) {
            text_add_bytes(&page->aims, line, (size_t)(next_line(line) - line));
        }
        inside = begins(line, "## ") ? begins(line, heading) : inside;
        if (inside && begins(line, "## ")) {
            text_add(&page->text, "\n");
            found = true;
        }
        /* The empty line before the next heading is the heading's. */
        if (inside && !(line[0] == '\n' && begins(line, "\n## "))) {
            text_add_bytes(&page->text, line, (size_t)(next_line(line) - line));
            is_measured = is_measured || begins(line, MEASURED);
        }
    }
    if (found && !is_measured) { /* a page from before parts said so: its table speaks for all */
        write_measured(page, part, old);
    }
    return found || error_set(err, ERROR_NOT_FOUND, "the page has no \"%s\": write all of it",
                              part->heading);
}

/* Each question's method of this program stands in the old page, but for those made anew.  How
 * files are read may differ: each part says by what it was measured. */
static bool methods_agree(struct page *page, const char *only, const char *old, struct error *err)
{
    struct text head = text_begin(page->arena, LARGEST_BYTES);
    write_head(&head);
    for (const char *line = strstr(head.bytes, "| question |"); *line != '\0';
         line = next_line(line)) {
        const char *row = arena_format(page->arena, "%.*s", (int)(next_line(line) - line), line);
        const bool is_own = begins(row, arena_format(page->arena, "| %s", only)) ||
                            begins(row, "| reading a file") ||
                            (strcmp(only, "progress") == 0 && begins(row, "| stalled"));
        if (!is_own && strstr(old, row) == NULL) {
            return error_set(err, ERROR_CONFLICT,
                             "the page has other methods than this program: write all of it");
        }
    }
    return true;
}

bool page_write_only(struct page *page, const char *only, const char *old, const char **whole,
                     struct error *err)
{
    bool found = false;
    begin(page);
    if (!methods_agree(page, only, old, err)) {
        return false;
    }
    for (size_t i = 0; i < PARTS; i++) {
        const bool is_it = strcmp(parts[i].name, only) == 0;
        found = found || is_it;
        if (!(is_it ? write_part(page, &parts[i], err) : keep_part(page, &parts[i], old, err))) {
            return false;
        }
    }
    return found ? write_whole(page, whole, err)
                 : error_set(
                       err, ERROR_USAGE,
                       "%s: base, efforts, easy work, trust, progress, both, today, base trend, "
                       "numbers or record",
                       only);
}
