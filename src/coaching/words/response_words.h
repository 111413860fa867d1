/* coaching/words/response_words.h: what the figures say in words that show the heart's response,
 * critical power, and a session ridden in two ways. */
#ifndef COACHING_WORDS_RESPONSE_WORDS_H
#define COACHING_WORDS_RESPONSE_WORDS_H

#include "base/arena.h"
#include "coaching/ride_balance.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* "12", "-4", "4.2"; a dash for what isn't known. */
char *words_cell(struct arena *arena, double value, int decimals);
/* "+12", "-4", "0". */
char *words_signed(struct arena *arena, double value);

/* ---- heart rate over a ride against what the power usually brings ---- */

char *words_heart_figure(struct arena *arena, double seconds);
const char *words_heart_band(void);
const char *words_heart_nothing_expected(void);

/* ---- rides against usual over weeks ---- */

char *words_usual_days(struct arena *arena, size_t n, size_t n_beyond, double line_bpm);
const char *words_usual_nothing(void);
const char *words_usual_above(void);
const char *words_usual_below(void);
/* with_line: likely ranges are to be seen beside the dots. */
const char *words_usual_dot(bool with_line);
const char *words_usual_hatched(void);
/* Over a hatching: "ill", "no rides". */
const char *words_day_ill(void);
const char *words_day_injured(void);
const char *words_day_break(void);

/* ---- power and duration ---- */

char *words_durations_figure(struct arena *arena, size_t n_efforts, bool is_known);
char *words_form(struct arena *arena, const char *form, double cp_w, double w_prime_j,
                 bool decides);
char *words_critical_mark(struct arena *arena, double cp_w, double low_w, double high_w);
const char *words_forms_band(void);
const char *words_effort_dot(void);

/* ---- W' left ---- */

char *words_left_figure(struct arena *arena, double least_j, double low_j, double high_j,
                        double at_s);
const char *words_left_band(void);
/* Of a range that goes below nought even at its highest. */
const char *words_left_wrong(void);
const char *words_left_nothing(void);
const char *words_left_why(enum balance_end end); /* NULL = it is known */
char *words_critical_target(struct arena *arena, double cp_w);

/* ---- the same session twice ---- */

const char *words_ridden_to(bool heart);
char *words_teaching_ride(struct arena *arena, double mean_w, double in_target_s, double at_90_s,
                          double least_j);
char *words_teaching_target(struct arena *arena, double value, bool heart);
/* Of the watts, where heart rate was asked. */
char *words_teaching_beside(struct arena *arena, double value_w);
const char *words_teaching_simulated(void);
const char *words_teaching_nothing(void);

#endif
