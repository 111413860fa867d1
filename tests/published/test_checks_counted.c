/* tests/published/test_checks_counted.c: no row of the shared checks is forgotten.  Every row whose
 * prefix stands here is checked by a program of the tests, or named as left out with its reason;
 * the program's source must name the row. */
#include "check.h"

#include <stdio.h>
#include <string.h>

static const char *const PREFIXES[] = { "ST-", "GL-", "RB-", "AG-", "LM-", "CP-", "LB-", "PH-" };

static const struct {
    const char *id;
    const char *program; /* in tests/published, or room/program; NULL: left out */
} rows[] = {
    { "ST-01", "test_summary_nist" },
    { "ST-02", "test_summary_nist" },
    { "ST-03", "test_summary_nist" },
    { "ST-04", "test_summary_nist" },
    { "ST-05", "test_regression_nist" },
    { "ST-06", "test_regression_nist" },
    { "ST-07", "test_least_squares_nist" },
    { "ST-08", "test_least_squares_nist" },
    { "ST-09", "test_least_squares_nist" },
    { "ST-10", "test_least_squares_nist" },
    { "GL-01", "test_gls_published" },
    { "GL-02", "test_gls_published" },
    { "GL-03", "test_gls_published" },
    { "GL-04", "test_gls_published" },
    { "GL-05", "test_gls_published" },
    { "RB-01", "test_robust_published" },
    { "RB-02", "test_robust_published" },
    { "RB-03", "test_robust_published" },
    { "AG-01", "test_agreement_flow_meters" },
    { "AG-02", "test_agreement_flow_meters" },
    { "LM-01", "test_mixed_published" },
    { "LM-02", "test_mixed_published" },
    { "LM-03", "test_mixed_published" },
    { "LM-04", "test_mixed_published" },
    { "LM-05", "test_mixed_published" },
    { "LM-06", "test_mixed_published" },
    { "LB-01", "test_lab_published" },
    /* Lactate is read nowhere in this program. */
    { "LB-02", NULL },
    { "LB-03", "test_lab_published" },
    { "CP-01", "test_change_points_nile" },
    { "CP-02", "test_change_points_nile" },
    { "PH-01", "test_power_duration_published" },
    { "PH-02", "test_power_duration_published" },
    { "PH-03", "test_power_duration_published" },
    { "PH-04", "test_power_duration_published" },
    { "PH-05", "test_power_duration_published" },
    { "PH-06", "test_all_out" },
    { "PH-07", "test_power_duration_published" },
    { "PH-08", "test_power_duration_published" },
    { "PH-09", "test_power_duration_published" },
    { "PH-10", "test_power_duration_published" },
    { "PH-11", "physiology/test_load" },
    /* No score of fitness and fatigue is computed: such scores predict no rider's form. */
    { "PH-12", NULL },
    { "PH-13", "physiology/test_load" },
    { "PH-14", "physiology/test_load" },
    /* No formula of age stands for a maximal heart rate: they are off by ten beats and more. */
    { "PH-15", NULL },
    /* Oxygen uptake is computed nowhere. */
    { "PH-16", NULL },
    { "PH-17", "physiology/test_heart_response" },
    /* A slope of minutes 5 to 9, which must never be drawn on to an hour. */
    { "PH-18", NULL },
    { "PH-19", "test_agreement_flow_meters" },
    { "PH-20", "test_bests_power" },
    { "PH-21", "physiology/test_drift" },
};

static bool is_ours(const char *id)
{
    for (size_t i = 0; i < COUNT(PREFIXES); i++) {
        if (strncmp(id, PREFIXES[i], strlen(PREFIXES[i])) == 0) {
            return true;
        }
    }
    return false;
}

static size_t place_of(const char *id)
{
    for (size_t i = 0; i < COUNT(rows); i++) {
        if (strcmp(rows[i].id, id) == 0) {
            return i;
        }
    }
    print_error("# %s is checked nowhere\n", id);
    fail();
    return 0;
}

static void test_checks__every_row_has_its_program(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct table table = check_table(arena, "checks/checks.csv");
    size_t met = 0;
    size_t left_out = 0;
    for (size_t i = 0; i < table.rows; i++) {
        const char *id = check_cell(&table, i, "id");
        if (is_ours(id)) {
            left_out += rows[place_of(id)].program == NULL ? 1 : 0;
            met++;
        }
    }
    /* As many rows as are listed, so that the list names none that isn't there. */
    check_integer("rows met", (int64_t)met, (int64_t)COUNT(rows));
    printf("# note: %zu rows of the shared checks, %zu left out\n", met, left_out);
    arena_close(arena);
}

/* "ST-01" may stand as "st_01" in the name of a test. */
static bool names_row(const char *source, const char *id)
{
    const char as_name[] = { (char)(id[0] + 32), (char)(id[1] + 32), '_', id[3], id[4], '\0' };
    return strstr(source, id) != NULL || strstr(source, as_name) != NULL;
}

static void test_checks__every_program_names_its_rows(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        if (rows[i].program != NULL) {
            struct arena *arena = arena_open();
            struct bytes bytes = { 0 };
            struct error err = { 0 };
            const char *path = arena_format(
                arena, "%s/tests/%s%s.c", PLUMBLINE_SOURCE,
                strchr(rows[i].program, '/') == NULL ? "published/" : "", rows[i].program);
            check(files_read(arena, path, 1000u * 1000u, &bytes, &err));
            char *source = arena_alloc(arena, bytes.size + 1, 1);
            memcpy(source, bytes.at, bytes.size);
            if (!names_row(source, rows[i].id)) {
                print_error("# %s doesn't name %s\n", path, rows[i].id);
                fail();
            }
            arena_close(arena);
        }
    }
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_checks__every_row_has_its_program),
        cmocka_unit_test(test_checks__every_program_names_its_rows),
    };
    return cmocka_run_group_tests_name("checks_counted", tests, NULL, NULL);
}
