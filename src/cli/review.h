/* cli/review.h: what a rider's rides let propose, shown and answered: plumbline import --review. */
#ifndef CLI_REVIEW_H
#define CLI_REVIEW_H

#include "base/json.h"
#include "cli/roster_call.h"

struct review_values {
    bool shows;          /* --review */
    const char *mark;    /* --page */
    const char *accept;  /* --accept: "1,3" or "all" */
    const char *decline; /* --decline */
};

/* What goes together, and what numbers look like; before the roster is opened. */
MUST_USE bool review_check(const struct review_values *values, const char *rider, size_t n_words,
                           struct error *err);

/* The page into call->out: words, or JSON as an object of that key (NULL at the top). */
MUST_USE bool review_show(struct roster_call *call, const struct rider *rider, struct json *json,
                          const char *key, struct error *err);

/* Accepts or declines, and says what was done. */
MUST_USE bool review_answer(struct roster_call *call, const struct review_values *values,
                            const struct rider *rider, struct error *err);

#endif
