/* Gauss rules: moments of powers, exact by definition up to twice the nodes. */
#include "check.h"

#include "models/gauss.h"

static void moments(const fl_gauss *rule)
{
    for (int power = 0; power < 4 * (int)rule->count; power += 2) {
        double sum = 0.0;
        for (size_t i = 0; i < rule->count; i++)
            sum += 2.0 * rule->weight[i] * pow(rule->node[i], power);
        check_close(2.0 / (power + 1.0), sum, 1e-14, "power %d of %zu nodes", power,
                    2 * rule->count);
    }
}

static void test_moments(void **unused)
{
    (void)unused;
    moments(&fl_gauss_eight);
    moments(&fl_gauss_sixteen);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_moments)};
    return cmocka_run_group_tests_name("models/gauss", tests, NULL, NULL);
}
