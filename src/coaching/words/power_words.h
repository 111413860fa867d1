/* coaching/words/power_words.h: what is said of critical power and of the heart's response. */
#ifndef COACHING_WORDS_POWER_WORDS_H
#define COACHING_WORDS_POWER_WORDS_H

#include "coaching/ride_balance.h"
#include "coaching/rider_power.h"
#include "physiology/heart_response.h"

/* The answer: what it is with its doubt, or why it can't be told and what would tell. */
char *words_critical_power(struct arena *arena, const struct rider_power *power,
                           const struct limits *limits);

/* Why a form of a critical power that is known has no numbers; NULL where it has. */
char *words_form_lack(struct arena *arena, enum duration_form form, const struct duration_fit *fit,
                      const struct limits *limits);

/* How it stands to threshold: both are shown, neither converted.  threshold_w may be NAN. */
char *words_critical_and_threshold(struct arena *arena, double threshold_w);

/* What was left of W' in a ride at the least; or why it isn't told. */
char *words_ride_balance(struct arena *arena, const struct ride_balance *balance);

/* The heart's response: its numbers with their doubt, or why there are none. */
char *words_heart_response(struct arena *arena, const struct heart_response *response,
                           const struct limits *limits);

/* Why nothing is said: a medicine, or pregnancy. */
const char *words_heart_withheld(void);

#endif
