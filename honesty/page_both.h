/* honesty/page_both.h: parts of page_both.c. */
#ifndef HONESTY_PAGE_BOTH_H
#define HONESTY_PAGE_BOTH_H

#include "honesty/page.h"
#include "honesty/second_trial.h"

/* Trials are numbered from page->first + PAGE_BOTH, each kind so far apart. */
enum { PAGE_SIMULATORS = 2, PAGE_BOTH = 0xd000000, PAGE_BOTH_APART = 0x100000 };

const char *page_both_simulator(bool second); /* "first", "second" */

/* The first simulator's place that is most like the second's. */
enum reps_place page_both_place(enum second_place place);

/* Findings of clean rides, and known faults. */
void page_both_trust(struct page *page, const struct limits *limits);

#endif
