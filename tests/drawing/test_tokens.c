/* The colours: every pair of words and ground that is used, in both themes. */
#include "check.h"

#include "drawing/tokens.h"

#include <stdio.h>

/* WCAG 2.2, definition of contrast ratio: black on white is 21:1, a colour on itself 1:1; and the
 * working group's example of a grey at the edge (technique G18): #767676 on white just passes AA,
 * #777777 just fails. */
static void test_contrast__known_pairs(void **state)
{
    (void)state;
    check_near("black on white", colour_contrast(0x000000, 0xffffff), 21.0, 1e-9);
    check_near("white on white", colour_contrast(0xffffff, 0xffffff), 1.0, 1e-12);
    check(colour_contrast(0x767676, 0xffffff) >= 4.5);
    check(colour_contrast(0x777777, 0xffffff) < 4.5);
}

static void test_tokens__every_pair_has_its_contrast_in_both_themes(void **state)
{
    (void)state;
    size_t n = 0;
    const struct contrast_pair *pairs = contrast_pairs(&n);
    int missed = 0;
    for (size_t i = 0; i < n; i++) {
        for (int theme = THEME_LIGHT; theme <= THEME_DARK; theme++) {
            const double contrast =
                colour_contrast(colour_value(pairs[i].text, (enum theme)theme),
                                colour_value(pairs[i].ground, (enum theme)theme));
            if (contrast < pairs[i].least) {
                missed++;
                printf("# %s on %s, %s: %.2f, wanted %.1f\n", colour_name(pairs[i].text),
                       colour_name(pairs[i].ground), theme == THEME_LIGHT ? "light" : "dark",
                       contrast, pairs[i].least);
            }
        }
    }
    check_integer("pairs short of contrast", missed, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_contrast__known_pairs),
        cmocka_unit_test(test_tokens__every_pair_has_its_contrast_in_both_themes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
