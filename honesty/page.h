/* honesty/page.h: docs/honesty.md, made wholly from trials.
 *
 * The page holds no date, no commit and no time taken: the same methods, recordings and compiler
 * give the same bytes.  The short form makes every heading and every row with few trials: its
 * figures mean nothing, its shape is that of the page. */
#ifndef HONESTY_PAGE_H
#define HONESTY_PAGE_H

#include "base/error.h"
#include "base/text.h"

#include <stdbool.h>
#include <stdint.h>

struct page {
    struct arena *arena;
    struct text text;    /* the sections */
    struct text aims;    /* rows of the table of aims, which stands before them */
    int jobs;            /* processes */
    bool quick;          /* the short form */
    uint64_t first;      /* trials are numbered from here: rides no test and no tuning has seen */
    const char *shared;  /* folder of the real recordings; NULL = their figures are left out */
    const char *example; /* the example roster's file; NULL = its record is left out */
};

/* The trials of docs/honesty.md; no test and no development run draws from here on. */
#define PAGE_FIRST 9000000000u

/* The whole page, in the page's arena; false when a real recording can't be read.  The caller sets
 * arena, jobs, quick, first and shared. */
MUST_USE bool page_write(struct page *page, const char **whole, struct error *err);

/* The page `old` with one part made anew ("base", "efforts", "easy work", "trust", "progress",
 * "both", "today", "base trend", "numbers", "record") and the rest as it stands; false also when
 * another part's method isn't the one it was made by. */
MUST_USE bool page_write_only(struct page *page, const char *only, const char *old,
                              const char **whole, struct error *err);

/* Its parts. */
void page_base(struct page *page);
void page_reps(struct page *page);
void page_easy(struct page *page);
void page_progress(struct page *page);
void page_both(struct page *page);
void page_days(struct page *page);
void page_trend(struct page *page);
void page_numbers(struct page *page);
MUST_USE bool page_trust(struct page *page, struct error *err);
MUST_USE bool page_record(struct page *page, struct error *err);

/* A row of the table of aims: the share part of whole is to lie in low .. high %.  Says "missed,
 * within chance" when the share's 95 % interval touches the aim. */
void page_aim(struct page *page, const char *aim, double low_pct, double high_pct, double part,
              double whole);

/* Trials in the long and in the short form. */
size_t page_count(const struct page *page, size_t in_full, size_t in_short);

#endif
