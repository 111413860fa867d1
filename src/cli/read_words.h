/* cli/read_words.h: a ride with its readings as words on 80 columns. */
#ifndef CLI_READ_WORDS_H
#define CLI_READ_WORDS_H

#include "base/text.h"
#include "coaching/reading.h"
#include "coaching/ride_json.h"

/* Lays out what coaching/words said; adds headings and tables, no sentence about a rider. */
void read_words_add(struct text *out, const struct ride_source *source,
                    const struct recording *recording, const struct rider_facts *facts,
                    const struct ride_readings *readings, const struct bests *bests);

/* A question with the verdict beside it, then its sentence, its gauge and its reasons. */
void read_words_add_reading(struct text *out, const char *heading, const struct reading *reading);

#endif
