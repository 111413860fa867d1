/* recording/calendar_write.c: an iCalendar file (RFC 5545). */
#include "recording/calendar_write.h"

#include "base/dates.h"

#include <string.h>

enum { LINE_OCTETS = 75 };

static bool is_inside_letter(char c)
{
    return ((unsigned char)c & 0xC0) == 0x80;
}

/* Section 3.1: at most 75 octets a line without its end; the next begins with a blank. */
static void add_line(struct text *out, const char *line)
{
    size_t room = LINE_OCTETS;
    size_t left = strlen(line);
    while (left > room) {
        size_t n = room;
        while (n > 1 && is_inside_letter(line[n])) {
            n--;
        }
        text_add_bytes(out, line, n);
        text_add(out, "\r\n ");
        line += n;
        left -= n;
        room = LINE_OCTETS - 1;
    }
    text_add(out, line);
    text_add(out, "\r\n");
}

/* Section 3.3.11. */
static void add_text(struct text *out, const char *property, const char *words)
{
    struct text line = text_begin(out->arena, 8 * strlen(words) + 100);
    text_add_format(&line, "%s:", property);
    for (const char *at = words; *at != '\0'; at++) {
        if (*at == '\n') {
            text_add(&line, "\\n");
        } else if (*at == '\\' || *at == ';' || *at == ',') {
            text_add_format(&line, "\\%c", *at);
        } else if ((unsigned char)*at >= 0x20 || *at == '\t') {
            text_add_bytes(&line, at, 1);
        }
    }
    add_line(out, line.bytes);
}

/* "20260314" */
static const char *day_of(struct arena *arena, int64_t day)
{
    char iso[11];
    dates_format_day(day, iso);
    return arena_format(arena, "%.4s%.2s%.2s", iso, iso + 5, iso + 8);
}

static const char *instant_of(struct arena *arena, int64_t utc_s)
{
    const struct civil at = dates_civil_from_utc(utc_s);
    return arena_format(arena, "%04lld%02d%02dT%02d%02d%02dZ", (long long)at.year, at.month, at.day,
                        at.hour, at.minute, at.second);
}

static void add_head(struct text *out, const char *method, const char *name)
{
    add_line(out, "BEGIN:VCALENDAR");
    add_line(out, "VERSION:2.0");
    add_line(out, "PRODID:-//Plumbline//Sessions//EN");
    add_line(out, arena_format(out->arena, "METHOD:%s", method));
    if (name != NULL) {
        add_text(out, "NAME", name); /* RFC 7986 */
    }
}

static void add_entry(struct text *out, const struct calendar_entry *entry, int64_t made_utc_s)
{
    struct arena *arena = out->arena;
    add_line(out, "BEGIN:VEVENT");
    add_text(out, "UID", entry->uid);
    add_line(out, arena_format(arena, "DTSTAMP:%s", instant_of(arena, made_utc_s)));
    add_line(out, arena_format(arena, "SEQUENCE:%lld", (long long)entry->sequence));
    add_line(out, "ORGANIZER;CN=Coach:mailto:coach@plumbline.invalid");
    add_line(out, arena_format(arena, "DTSTART;VALUE=DATE:%s", day_of(arena, entry->day)));
    add_line(out, arena_format(arena, "DTEND;VALUE=DATE:%s", day_of(arena, entry->day + 1)));
    add_text(out, "SUMMARY", entry->summary);
    if (entry->description != NULL) {
        add_text(out, "DESCRIPTION", entry->description);
    }
    add_line(out, entry->is_cancelled ? "STATUS:CANCELLED" : "STATUS:CONFIRMED");
    add_line(out, "TRANSP:TRANSPARENT");
    add_line(out, "END:VEVENT");
}

void calendar_write(struct text *out, const char *name, const struct calendar_entry entries[],
                    size_t n, int64_t made_utc_s)
{
    add_head(out, "PUBLISH", name);
    for (size_t i = 0; i < n; i++) {
        add_entry(out, &entries[i], made_utc_s);
    }
    add_line(out, "END:VCALENDAR");
}

void calendar_write_entry(struct text *out, const struct calendar_entry *entry, int64_t made_utc_s)
{
    add_head(out, entry->is_cancelled ? "CANCEL" : "PUBLISH", NULL);
    add_entry(out, entry, made_utc_s);
    add_line(out, "END:VCALENDAR");
}
