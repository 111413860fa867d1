/* base/clock.c: the machine's clocks. */
#include "base/clock.h"

#include "base/dates.h"

#include <time.h>

int64_t clock_steady_ms(void)
{
    struct timespec now = { 0 };
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

int64_t clock_steady_s(void)
{
    return clock_steady_ms() / 1000;
}

void clock_local_day(char out[11])
{
    const time_t now = time(NULL);
    struct tm local = { 0 };
    localtime_r(&now, &local);
    dates_format_day(dates_days_from_civil(local.tm_year + 1900, local.tm_mon + 1, local.tm_mday),
                     out);
}
