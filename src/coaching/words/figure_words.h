/* coaching/words/figure_words.h: what figures say in words. */
#ifndef COACHING_WORDS_FIGURE_WORDS_H
#define COACHING_WORDS_FIGURE_WORDS_H

#include "base/arena.h"

#include <stdbool.h>
#include <stdint.h>

/* In place of a panel. */
const char *words_no_power(void);
const char *words_no_heart_rate(void);
const char *words_no_traces(void);
const char *words_no_reps(void);

/* What the traces are, for who can't see them; seconds is how much of the ride they show. */
char *words_traces(struct arena *arena, bool has_power, bool has_heart_rate, double seconds);

/* "Hatched in power" and "Tinted in heart rate": what a list of spans begins with. */
char *words_hatched(struct arena *arena, const char *channel);
char *words_tinted(struct arena *arena, const char *channel);

/* "spike at 12:10", "spike (3 places)". */
char *words_masked(struct arena *arena, const char *what, int32_t first_s, int places);

/* What rep rows are: "12 reps against their target range." */
char *words_rep_rows(struct arena *arena, int n_reps);
/* Above rows that stand for several reps each. */
char *words_reps_grouped(struct arena *arena, int n_reps);

/* What a ladder is, for who can't see it. */
char *words_ladder(struct arena *arena, int n_durations, bool compared);

/* The two ranges of a ladder, half open: "1 October to 11 November 2026, against 20 August to ...".
 */
char *words_ranges(struct arena *arena, int64_t from, int64_t to, int64_t before_from,
                   int64_t before_to);
/* "1 October 2026 to 11 November 2026": half open. */
char *words_days(struct arena *arena, int64_t from, int64_t to);

/* What says that a best was all-out, after its day: "2 Nov, a race"; evidence: enum
 * effort_evidence, added; 0 = the day alone. */
char *words_best_place(struct arena *arena, const char *day, bool race, unsigned evidence);
/* In place of a change; `whole` the first time. */
const char *words_not_tested(bool whole);
char *words_few_all_out(struct arena *arena, size_t before, size_t recent);
const char *words_none_so_long(void);
const char *words_no_bests(void);

/* What a bar round an estimate is, and the range in brackets after a change. */
const char *words_likely_bar(void);
const char *words_likely_change(bool with_bar);

/* ---- base tests over time ---- */

/* What the figure is, for who can't see it; and in its place. */
char *words_base_tests(struct arena *arena, size_t n, size_t judged, double line_bpm);
const char *words_no_base_tests(void);
/* Of a test without a verdict. */
const char *words_not_judged(void);
const char *words_spoiled(void);
const char *words_beats_over_the_hour(void);
/* "246 W", the first with what it is: "threshold 231 W". */
char *words_threshold(struct arena *arena, double power_w, bool is_first);

/* ---- week load ---- */

/* What the figure is, for who can't see it; and in its place. */
char *words_week_load(struct arena *arena, size_t n_weeks);
const char *words_no_rides(void);
/* What else there is to say of a week; NULL = nothing. */
char *words_week(struct arena *arena, bool is_over, size_t n_rides, size_t n_with_power);
/* Heads of columns; `whole` where there is room. */
const char *words_week_of(void);
const char *words_hard_days(bool whole);
const char *words_days_off(bool whole);
/* The side of the line beyond which a week is a jump; right: the words stand right of the line. */
const char *words_jump_side(bool right);
/* In the legend. */
const char *words_hours_scale(void);
const char *words_jump_line(void);
const char *words_no_jump_line(void);
const char *words_hollow_week(void);

/* ---- mean power against duration ---- */

char *words_power_curves(struct arena *arena, const char *days, const char *against);

#endif
