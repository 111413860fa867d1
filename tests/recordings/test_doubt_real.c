/* tests/recordings/test_doubt_real.c: what doubts are raised on real rides.
 *
 * The table (honesty/real_doubts.c) holds the findings of each recording as they stand after
 * someone looked at every one beside its data; a change of any of them fails here and must be
 * looked at again. */
#include "check.h"

#include "honesty/real_doubts.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *codes_of(struct arena *arena, const struct real_doubt_outcome *out)
{
    const char *codes = "";
    for (size_t i = out->n_before; i < out->recording->n_findings; i++) {
        codes = arena_format(arena, "%s%s%s", codes, i > out->n_before ? " " : "",
                             out->recording->findings[i].code);
    }
    return codes;
}

static int count_words(const char *words)
{
    int count = 0;
    for (size_t i = 0; words[i] != '\0'; i++) {
        count += words[i] != ' ' && (i == 0 || words[i - 1] == ' ');
    }
    return count;
}

static void note(const struct real_doubt *row, const struct real_doubt_outcome *out)
{
    printf("# note: %s, rider %d, by %zu %s:", row->file, row->rider, out->n_rides,
           out->by_others ? "other rides" : "quarters of rides");
    for (size_t i = out->n_before; i < out->recording->n_findings; i++) {
        const struct finding *finding = &out->recording->findings[i];
        printf(" %s %d to %d s", finding->code, finding->span.from_s, finding->span.to_s);
        for (size_t k = 0; k < finding->n_numbers; k++) {
            printf(" %s=%.1f", finding->numbers[k].name, finding->numbers[k].value);
        }
        printf(";");
    }
    printf(" %s\n", out->is_looked_at ? "looked at" : "not looked at");
}

static void test_doubt_real__findings_are_those_that_were_looked_at(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    size_t n_rows = 0;
    const struct real_doubt *rows = real_doubts(&n_rows);
    double hours = 0.0;
    int n_looked_at = 0;
    int n_found = 0;
    int n_false = 0;
    int n_unknown = 0; /* rides whose findings nobody has looked at */
    for (size_t i = 0; i < n_rows; i++) {
        struct arena *arena = arena_open();
        struct real_doubt_outcome out;
        struct error err = { 0 };
        if (!real_doubt_look(arena, check_shared(), i, &limits, &out, &err)) {
            print_error("# %s\n", err.message);
            fail();
        }
        note(&rows[i], &out);
        const bool is_known = strcmp(codes_of(arena, &out), rows[i].codes) == 0;
        if (!is_known) {
            print_error("# %s: got \"%s\", wanted \"%s\"\n", rows[i].file, codes_of(arena, &out),
                        rows[i].codes);
        }
        n_unknown += is_known ? 0 : 1;
        hours += out.is_looked_at ? out.hours : 0.0;
        n_looked_at += out.is_looked_at ? 1 : 0;
        n_found += count_words(rows[i].codes);
        n_false += count_words(rows[i].false_codes);
        arena_close(arena);
    }
    printf("# note: %d of %zu rides, %.1f h: %d doubts, %d of them false\n", n_looked_at, n_rows,
           hours, n_found, n_false);
    check_integer("rides with findings that nobody has looked at", n_unknown, 0);
    check(n_looked_at + 3 >= (int)n_rows);
    check(n_false * 20.0 <= hours); /* fewer than one in 20 h, all kinds together */
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_doubt_real__findings_are_those_that_were_looked_at),
    };
    return cmocka_run_group_tests_name("doubts on real rides", tests, NULL, NULL);
}
