/* base/clock.h: the machine's clocks. */
#ifndef BASE_CLOCK_H
#define BASE_CLOCK_H

#include <stdint.h>

/* Since some moment: for waits and durations.  Nobody sets it, back or forth. */
int64_t clock_steady_ms(void);
int64_t clock_steady_s(void);

/* Today in this machine's own zone: "2026-03-14". */
void clock_local_day(char out[11]);

#endif
