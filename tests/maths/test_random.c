/* tests/maths/test_random.c: the generator is the published one, and its numbers are fair. */
#include "check.h"

#include "maths/random.h"

#include <math.h>

/* First outputs of xoshiro256** from the state 1, 2, 3, 4: the test vector that several public
 * implementations carry (made with the authors' reference code); from memory. */
static void test_random__bits_follow_the_reference_code(void **state)
{
    (void)state;
    static const uint64_t want[] = { 11520u, 0u, 1509978240u, 1215971899390074240u };
    struct random random = { .state = { 1, 2, 3, 4 } };
    for (size_t i = 0; i < COUNT(want); i++) {
        check(random_bits(&random) == want[i]);
    }
}

/* First outputs of splitmix64 from the seed 1234567: a widely published vector; from memory. */
static void test_random__the_seed_is_spread_by_splitmix64(void **state)
{
    (void)state;
    static const uint64_t want[] = { 6457827717110365317u, 3203168211198807973u,
                                     9817491932198370423u, 4593380528125082431u };
    const struct random random = random_begin(1234567);
    for (size_t i = 0; i < COUNT(want); i++) {
        check(random.state[i] == want[i]);
    }
}

static void test_random__the_same_seed_gives_the_same_numbers(void **state)
{
    (void)state;
    struct random a = random_begin(42);
    struct random b = random_begin(42);
    struct random c = random_begin(43);
    int differ = 0;
    for (int i = 0; i < 1000; i++) {
        const double x = random_normal(&a);
        check(x == random_normal(&b));
        differ += x == random_normal(&c) ? 0 : 1;
    }
    check_integer("another seed", differ, 1000);
}

/* Mean 1/2 and variance 1/12; 200,000 draws: five standard errors are 0.0033 and 0.0009. */
static void test_random__uniform_numbers_fill_the_unit(void **state)
{
    (void)state;
    struct random random = random_begin(1);
    double sum = 0;
    double square = 0;
    const int n = 200000;
    for (int i = 0; i < n; i++) {
        const double u = random_uniform(&random);
        check(u >= 0.0 && u < 1.0);
        sum += u;
        square += (u - 0.5) * (u - 0.5);
    }
    check_near("mean", sum / n, 0.5, 0.0033);
    check_near("variance", square / n, 1.0 / 12.0, 0.0009);
}

/* Moments of the normal distribution 0, 1, 0, 3, and P(|z| > 1.959964) = 0.05; the tolerances are
 * five standard errors at 200,000 draws. */
static void test_random__normal_numbers_have_normal_moments(void **state)
{
    (void)state;
    struct random random = random_begin(2);
    double moment[5] = { 0 };
    double outside = 0;
    const int n = 200000;
    for (int i = 0; i < n; i++) {
        const double z = random_normal(&random);
        double power = 1;
        for (int k = 1; k <= 4; k++) {
            power *= z;
            moment[k] += power / n;
        }
        outside += fabs(z) > 1.959964 ? 1.0 / n : 0.0;
    }
    check_near("mean", moment[1], 0, 0.0112);
    check_near("variance", moment[2], 1, 0.0158);
    check_near("third", moment[3], 0, 0.0434);
    check_near("fourth", moment[4], 3, 0.11);
    check_near("outside", outside, 0.05, 0.0025);
}

/* Chi-squared with 6 degrees of freedom: above 22.46 once in a thousand (tables). */
static void test_random__whole_numbers_are_fair(void **state)
{
    (void)state;
    struct random random = random_begin(3);
    double count[7] = { 0 };
    for (int i = 0; i < 70000; i++) {
        const uint64_t k = random_below(&random, 7);
        check(k < 7);
        count[k] += 1;
    }
    double chi = 0;
    for (size_t k = 0; k < 7; k++) {
        chi += (count[k] - 10000) * (count[k] - 10000) / 10000;
    }
    check(chi < 22.46);
    check_integer("below 1", (int64_t)random_below(&random, 1), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_random__bits_follow_the_reference_code),
        cmocka_unit_test(test_random__the_seed_is_spread_by_splitmix64),
        cmocka_unit_test(test_random__the_same_seed_gives_the_same_numbers),
        cmocka_unit_test(test_random__uniform_numbers_fill_the_unit),
        cmocka_unit_test(test_random__normal_numbers_have_normal_moments),
        cmocka_unit_test(test_random__whole_numbers_are_fair),
    };
    return cmocka_run_group_tests_name("random", tests, NULL, NULL);
}
