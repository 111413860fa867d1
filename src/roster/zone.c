/* roster/zone.c: time zones, by GLib. */
#include "roster/zone.h"

#include "base/dates.h"

#include <stdlib.h>
#include <string.h>

#include <glib.h>

struct zone {
    GTimeZone *of_glib;
};

/* GLib also takes offsets, POSIX rules and paths; a name is none of them. */
static bool is_name(const char *name)
{
    static const char allowed[] =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz/_+-0123456789";
    const size_t length = strlen(name);
    return length >= 2 && length < 64 && strspn(name, allowed) == length &&
           strspn(name, "/_+-0123456789") == 0 && strstr(name, "//") == NULL;
}

bool zone_open(const char *name, struct zone **out, struct error *err)
{
    GTimeZone *zone = is_name(name) ? g_time_zone_new_identifier(name) : NULL;
    if (zone == NULL) {
        return error_set(err, ERROR_USAGE,
                         "%s: no such time zone on this machine; a zone is a name such as "
                         "Europe/Berlin",
                         name);
    }
    *out = malloc(sizeof **out);
    if (*out == NULL) {
        abort();
    }
    (*out)->of_glib = zone;
    return true;
}

void zone_close(struct zone *zone)
{
    if (zone != NULL) {
        g_time_zone_unref(zone->of_glib);
        free(zone);
    }
}

int32_t zone_offset_s(const struct zone *zone, int64_t utc_s)
{
    const gint span = g_time_zone_find_interval(zone->of_glib, G_TIME_TYPE_UNIVERSAL, utc_s);
    return span < 0 ? 0 : g_time_zone_get_offset(zone->of_glib, span);
}

void zone_day(const struct zone *zone, int64_t utc_s, char out[11])
{
    const int64_t local_s = utc_s + zone_offset_s(zone, utc_s);
    const int64_t rest = (local_s % 86400 + 86400) % 86400;
    dates_format_day((local_s - rest) / 86400, out);
}
