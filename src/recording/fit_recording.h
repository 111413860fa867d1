/* recording/fit_recording.h: one recording cut out of a part, whole but for the grid's trust. */
#ifndef RECORDING_FIT_RECORDING_H
#define RECORDING_FIT_RECORDING_H

#include "recording/fit_session.h"

/* The recording of ranges->items[i].  NULL: it is longer than LIMIT_CAP_RECORDING_S or than what
 * the budget has left (err filled), or none of its records has a time (err->kind ERROR_NONE). */
struct recording *fit_recording_make(struct arena *arena, struct fit_part *part,
                                     const struct fit_windows *windows,
                                     const struct fit_ranges *ranges, size_t i, const char *file,
                                     const struct limits *limits, struct fit_budget *budget,
                                     struct error *err);

#endif
