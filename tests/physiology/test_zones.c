/* tests/physiology/test_zones.c: zone tables, zone files, time in zones. */
#include "check.h"

#include "physiology/zones.h"

#include <math.h>
#include <string.h>

/* By hand from the table: at 240 W the edges are 132, 180, 216, 252, 288 and 360 W. */
static void test_zones__an_edge_belongs_to_the_lower_zone(void **state)
{
    (void)state;
    static const double edges_w[] = { 132, 180, 216, 252, 288, 360 };
    const struct zones zones = zones_default();
    check_integer("count", (int64_t)zones.count, 7);
    check_integer("nothing", (int64_t)zones_of(&zones, 0, 240), 0);
    for (size_t i = 0; i < COUNT(edges_w); i++) {
        const double above_w = nextafter(edges_w[i], 1e9);
        check_integer(zones.name[i], (int64_t)zones_of(&zones, edges_w[i], 240), (int64_t)i);
        check_integer(zones.name[i + 1], (int64_t)zones_of(&zones, above_w, 240), (int64_t)i + 1);
    }
    check_integer("a lot", (int64_t)zones_of(&zones, 2000, 240), 6);
}

/* Every whole threshold whose edges are whole watts: integer arithmetic is the judge. */
static void test_zones__edges_are_exact_at_every_threshold(void **state)
{
    (void)state;
    const struct zones zones = zones_default();
    for (int threshold_w = 100; threshold_w <= 450; threshold_w++) {
        for (int power_w = 0; power_w <= 700; power_w++) {
            int want = 0;
            while (want < 6 && power_w * 100 > (int)zones.upper_pct[want] * threshold_w) {
                want++;
            }
            if ((int)zones_of(&zones, power_w, threshold_w) != want) {
                check_integer("zone", (int64_t)zones_of(&zones, power_w, threshold_w), want);
            }
        }
    }
}

static void test_zones__three_domains_part_at_80_and_100_pct(void **state)
{
    (void)state;
    const struct zones zones = zones_three_domains();
    check_integer("moderate", (int64_t)zones_of(&zones, 200, 250), 0);
    check_integer("heavy", (int64_t)zones_of(&zones, 201, 250), 1);
    check_integer("heavy", (int64_t)zones_of(&zones, 250, 250), 1);
    check_integer("severe", (int64_t)zones_of(&zones, 251, 250), 2);
    check_text("severe", zones.name[2], "severe");
}

static void test_zones__seconds_add_up_and_gaps_are_left_out(void **state)
{
    (void)state;
    const double power_w[] = { 0, 132, 133, (double)NAN, 400, 400, (double)NAN };
    const double want[ZONES_MOST] = { 2, 1, 0, 0, 0, 0, 2 };
    const struct zones zones = zones_default();
    double seconds[ZONES_MOST];
    zones_count(&zones, power_w, COUNT(power_w), 240, seconds);
    for (size_t i = 0; i < ZONES_MOST; i++) {
        check_near("seconds", seconds[i], want[i], 0);
    }
}

static struct bytes bytes_of(const char *text)
{
    return (struct bytes){ (const uint8_t *)text, strlen(text) };
}

static void test_zones__a_zone_file_is_read(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct zones zones = { 0 };
    check(zones_parse(bytes_of("\xEF\xBB\xBF# my zones\r\n\r\neasy going\t 62.5 # all day\r\n"
                               "  hard  100\nvery hard -"),
                      "zones.txt", &zones, &err));
    check_integer("count", (int64_t)zones.count, 3);
    check_text("name", zones.name[0], "easy going");
    check_text("name", zones.name[1], "hard");
    check_text("name", zones.name[2], "very hard");
    check_near("edge", zones.upper_pct[0], 62.5, 0);
    check_near("edge", zones.upper_pct[1], 100, 0);
    check(isinf(zones.upper_pct[2]));
}

/* Each refused file beside the one line it must print. */
static void test_zones__a_bad_zone_file_names_its_line(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        const char *want;
    } rows[] = {
        { "", "z: zones found: 0; give at least 2, one a line" },
        { "all -\n", "z: zones found: 1; give at least 2, one a line" },
        { "a 50\nb 40\nc -\n", "z: line 2: the upper edge 40 isn't above the one before, 50" },
        { "a 50\nb 50\nc -\n", "z: line 2: the upper edge 50 isn't above the one before, 50" },
        { "a 50\n# x\nb 80\n", "z: line 3: the last zone needs \"-\" as its upper edge" },
        { "a 50\nb -\nc 90\n", "z: line 3: stands after the last zone (\"-\")" },
        { "a 50\na -\n", "z: line 2: a second zone named \"a\"" },
        { "a fifty\nb -\n", "z: line 1: the upper edge \"fifty\" is no number in % above 0 to 1000;"
                            " the last zone has \"-\"" },
        { "a 0\nb -\n", "z: line 1: the upper edge \"0\" is no number in % above 0 to 1000;"
                        " the last zone has \"-\"" },
        { "a inf\nb -\n", "z: line 1: the upper edge \"inf\" is no number in % above 0 to 1000;"
                          " the last zone has \"-\"" },
        { "a 1e2\nb -\n", "z: line 1: the upper edge \"1e2\" is no number in % above 0 to 1000;"
                          " the last zone has \"-\"" },
        { "a 1001\nb -\n", "z: line 1: the upper edge \"1001\" is no number in % above 0 to 1000;"
                           " the last zone has \"-\"" },
        { "a .\nb -\n", "z: line 1: the upper edge \".\" is no number in % above 0 to 1000;"
                        " the last zone has \"-\"" },
        { "a 50\n75\nc -\n", "z: line 2: give a name of 1 to 31 bytes, then its upper edge in % of "
                             "threshold" },
        { "12345678901234567890123456789012 50\nb -\n",
          "z: line 1: give a name of 1 to 31 bytes, then its upper edge in % of threshold" },
        { "a 1\nb 2\nc 3\nd 4\ne 5\nf 6\ng 7\nh 8\ni 9\nj 10\nk -\n",
          "z: line 11: more than 10 zones" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct error err = { 0 };
        struct zones zones = { .count = 99 };
        check(!zones_parse(bytes_of(rows[i].text), "z", &zones, &err));
        check_text(rows[i].text, err.message, rows[i].want);
        check_integer(rows[i].text, err.kind, ERROR_INPUT);
        check_integer("untouched", (int64_t)zones.count, 99);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_zones__an_edge_belongs_to_the_lower_zone),
        cmocka_unit_test(test_zones__edges_are_exact_at_every_threshold),
        cmocka_unit_test(test_zones__three_domains_part_at_80_and_100_pct),
        cmocka_unit_test(test_zones__seconds_add_up_and_gaps_are_left_out),
        cmocka_unit_test(test_zones__a_zone_file_is_read),
        cmocka_unit_test(test_zones__a_bad_zone_file_names_its_line),
    };
    return cmocka_run_group_tests_name("zones", tests, NULL, NULL);
}
