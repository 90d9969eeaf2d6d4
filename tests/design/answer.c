/* What a finished design answers. */
#include "check.h"

#include "design/design.h"

static void test_terms(void **state)
{
    (void)state;
    const double quantities[] = {3.0, 5.0};
    check_near(13.0, fl_term_value(&(fl_term){1, 2.0, 3.0, true}, quantities), 0.0, "2 q + 3");
    check_near(3.0, fl_term_value(&(fl_term){FL_NONE, 2.0, 3.0, true}, NULL), 0.0, "constant");
}

static void test_start(void **state)
{
    (void)state;
    const fl_quantity quantities[] = {{.value = 1.5}, {.value = -2.0}};
    const fl_design design = {.quantities = quantities, .quantity_count = 2};
    double values[2];
    fl_design_start(&design, values);
    check_near(1.5, values[0], 0.0, "first");
    check_near(-2.0, values[1], 0.0, "second");
}

/* Variances add: of a uniform h^2 / 3; of a normal cut at 1 sigma 0.2911251 of the whole, the
 * integral of x^2 f over -1 to 1 by that of f [Johnson1994]. */
static void test_sigma(void **state)
{
    (void)state;
    const fl_spread spreads[] = {
        {.shape = FL_NORMAL, .amount = 0.02, .relative = true},
        {.shape = FL_UNIFORM, .amount = 3.0},
        {.shape = FL_NORMAL, .amount = 2.0, .within = 2.0},
    };
    const double variances[] = {4.0, 3.0, 4.0 * 0.29112509};
    double sum = 0.0;
    for (size_t i = 0; i < 3; i++) {
        const fl_quantity quantity = {.spreads = &spreads[i], .spread_count = 1};
        check_close(sqrt(variances[i]), fl_quantity_sigma(&quantity, -100.0), 1e-7, "sigma %zu", i);
        sum += variances[i];
    }
    const fl_quantity all = {.spreads = spreads, .spread_count = 3};
    check_close(sqrt(sum), fl_quantity_sigma(&all, 100.0), 1e-7, "all");
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_terms), cmocka_unit_test(test_start),
                                       cmocka_unit_test(test_sigma)};
    return cmocka_run_group_tests_name("design/answer", tests, NULL, NULL);
}
