/* Sessions as a calendar.
 *
 * Expected values: RFC 5545 (folding 3.1, escapes 3.3.11), and libical, a general-purpose library,
 * reading back what was written. */
#include "check.h"

#include "base/dates.h"
#include "maths/random.h"
#include "recording/calendar_write.h"

#include <libical/ical.h>
#include <string.h>

static struct arena *arena;

static int begin(void **state)
{
    (void)state;
    arena = arena_open();
    return 0;
}

static int end(void **state)
{
    (void)state;
    arena_close(arena);
    return 0;
}

static const char *written(const struct calendar_entry entries[], size_t n)
{
    struct text out = text_begin(arena, 1 << 20);
    calendar_write(&out, "Training of Zo\xc3\xab, in spring", entries, n, 1773480413);
    check(!out.cut);
    return out.bytes;
}

static const char *const hard_words[] = {
    "plain",
    "commas, semicolons; back\\slashes\nand lines: \"so\"",
    ("\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3"
     "\xa9"
     "\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3"
     "\xa9"
     "\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3"
     "\xa9"),
    ("15 min at 50-65 %, then 5 times (4 min at 106-112 %, 4 min at 50 %), 10 min at 45 %\nplan B "
     "over 26 C: 60 min at 50-60 %\nnote: drink early, \xf0\x9f\x9a\xb4\xf0\x9f\x9a\xb4 then "
     "often"),
};

/* Lines of at most 75 octets, ended by CR LF, each whole UTF-8. */
static void check_lines(const char *bytes)
{
    size_t lines = 0;
    for (const char *at = bytes; *at != '\0'; lines++) {
        const char *line_end = strstr(at, "\r\n");
        check(line_end != NULL);
        check(line_end - at <= 75 && line_end > at);
        check(memchr(at, '\n', (size_t)(line_end - at)) == NULL);
        check(text_is_utf8(at, (size_t)(line_end - at)));
        at = line_end + 2;
    }
    check(lines > 5);
}

static void check_event(icalcomponent *event, const struct calendar_entry *want)
{
    check_text("uid", icalcomponent_get_uid(event), want->uid);
    check_text("summary", icalcomponent_get_summary(event), want->summary);
    check_text("description", icalcomponent_get_description(event), want->description);
    check_integer("sequence", icalcomponent_get_sequence(event), want->sequence);
    check_integer("status", icalcomponent_get_status(event),
                  want->is_cancelled ? ICAL_STATUS_CANCELLED : ICAL_STATUS_CONFIRMED);
    const struct icaltimetype day = icalcomponent_get_dtstart(event);
    const struct icaltimetype after = icalcomponent_get_dtend(event);
    check(day.is_date && after.is_date);
    check_integer("day", dates_days_from_civil(day.year, day.month, day.day), want->day);
    check_integer("day after", dates_days_from_civil(after.year, after.month, after.day),
                  want->day + 1);
    const struct icaltimetype stamp = icalcomponent_get_dtstamp(event);
    check_integer("stamp", (int64_t)icaltime_as_timet(stamp), 1773480413);
    check(icaltime_is_utc(stamp));
}

static void test_calendar__another_reader_gets_back_what_was_written(void **state)
{
    (void)state;
    enum { ENTRIES = 60 };
    struct random dice = random_begin(3);
    struct calendar_entry entries[ENTRIES];
    for (size_t i = 0; i < ENTRIES; i++) {
        entries[i] = (struct calendar_entry){
            .uid = arena_format(arena, "session-%zu-1773480413@plumbline.invalid", i),
            .sequence = (int64_t)random_below(&dice, 1000),
            .day = 20000 + (int64_t)random_below(&dice, 2000),
            .summary = hard_words[i % 2],
            .description = hard_words[i % COUNT(hard_words)],
            .is_cancelled = i % 3 == 0,
        };
    }
    const char *bytes = written(entries, ENTRIES);
    check_lines(bytes);
    icalcomponent *calendar = icalparser_parse_string(bytes);
    check(calendar != NULL);
    check_integer("errors", icalcomponent_count_errors(calendar), 0);
    check(icalrestriction_check(calendar) != 0);
    check_integer("errors", icalcomponent_count_errors(calendar), 0);
    check_integer("method", icalcomponent_get_method(calendar), ICAL_METHOD_PUBLISH);
    size_t n = 0;
    for (icalcomponent *event = icalcomponent_get_first_component(calendar, ICAL_VEVENT_COMPONENT);
         event != NULL; event = icalcomponent_get_next_component(calendar, ICAL_VEVENT_COMPONENT)) {
        check(n < ENTRIES);
        check_event(event, &entries[n++]);
    }
    check_integer("entries", (int64_t)n, ENTRIES);
    icalcomponent_free(calendar);
}

static void test_calendar__lines_of_every_length_are_folded_whole(void **state)
{
    (void)state;
    for (size_t length = 0; length < 260; length++) {
        struct text words = text_begin(arena, 4000);
        for (size_t i = 0; i < length; i++) {
            text_add(&words, i % 3 == 0 ? "\xe2\x82\xac" : i % 7 == 0 ? "," : "a");
        }
        const struct calendar_entry entry = {
            .uid = "one", .day = 20526, .summary = "x", .description = words.bytes
        };
        const char *bytes = written(&entry, 1);
        check_lines(bytes);
        icalcomponent *calendar = icalparser_parse_string(bytes);
        icalcomponent *event = icalcomponent_get_first_component(calendar, ICAL_VEVENT_COMPONENT);
        const char *got = icalcomponent_get_description(event);
        check_text("description", got == NULL ? "" : got, words.bytes);
        icalcomponent_free(calendar);
    }
}

static void test_calendar__an_empty_one_is_a_calendar(void **state)
{
    (void)state;
    const char *bytes = written(NULL, 0);
    check_text("empty", bytes,
               "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Plumbline//Sessions//EN\r\n"
               "METHOD:PUBLISH\r\nNAME:Training of Zo\xc3\xab\\, in spring\r\nEND:VCALENDAR\r\n");
}

/* RFC 5546: 3.2.1 PUBLISH, 3.2.5 CANCEL; libical's table of its restrictions finds nothing. */
static void test_calendar__one_entry_is_published_then_cancelled(void **state)
{
    (void)state;
    struct calendar_entry entry = { .uid = "session-7-1773480413@plumbline.invalid",
                                    .sequence = 3,
                                    .day = 20526,
                                    .summary = hard_words[1],
                                    .description = hard_words[3] };
    for (int cancelled = 0; cancelled < 2; cancelled++) {
        struct text out = text_begin(arena, 1 << 20);
        entry.is_cancelled = cancelled == 1;
        entry.sequence += cancelled;
        calendar_write_entry(&out, &entry, 1773480413);
        check_lines(out.bytes);
        icalcomponent *calendar = icalparser_parse_string(out.bytes);
        check(calendar != NULL && icalrestriction_check(calendar) != 0);
        check_integer("errors", icalcomponent_count_errors(calendar), 0);
        check_integer("method", icalcomponent_get_method(calendar),
                      cancelled == 1 ? ICAL_METHOD_CANCEL : ICAL_METHOD_PUBLISH);
        check_integer("entries", icalcomponent_count_components(calendar, ICAL_VEVENT_COMPONENT),
                      1);
        check_event(icalcomponent_get_first_component(calendar, ICAL_VEVENT_COMPONENT), &entry);
        icalcomponent_free(calendar);
    }
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, begin, end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(test_calendar__another_reader_gets_back_what_was_written),
        TEST(test_calendar__lines_of_every_length_are_folded_whole),
        TEST(test_calendar__an_empty_one_is_a_calendar),
        TEST(test_calendar__one_entry_is_published_then_cancelled),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
