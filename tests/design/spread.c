/* Spreads as written, and their standard deviation. */
#include <gsl/gsl_integration.h>

#include "reading.h"

#define SPREAD(json) SAMPLE_CAPACITANCE("{\"value\": \"100 fF\", \"spread\": " json "}")

static const struct {
    const char *text, *place, *message;
} bad[] = {
    {SPREAD("\"4 %\""), "spread", "expected a spread"},
    {SPREAD("{}"), "spread", "expected a spread"},
    {SPREAD("{\"normal\": \"1 fF\", \"uniform\": \"1 fF\"}"), "spread", "found both in one"},
    {SPREAD("{\"normal\": \"-1 fF\"}"), "spread.normal", "must not be negative, found -1 fF"},
    {SPREAD("{\"normal\": \"-1 %\"}"), "spread.normal", "must not be negative"},
    {SPREAD("{\"uniform\": \"-1 fF\"}"), "spread.uniform", "must not be negative"},
    {SPREAD("{\"normal\": \"1 um\"}"), "spread.normal", "expected a capacitance"},
    {SPREAD("{\"normal\": 1}"), "spread.normal", "with its unit"},
    {SPREAD("{\"normal\": \"1 fF\", \"within\": \"0 fF\"}"), "spread.within", "must be positive"},
    {SPREAD("{\"uniform\": \"1 fF\", \"within\": \"1 fF\"}"), "spread.within", "'within'"},
    {SPREAD("{\"normal\": \"1 fF\", \"level\": \"wafr\"}"), "spread.level",
     "the nearest is 'wafer'"},
    {SPREAD("{\"normal\": \"1 fF\", \"group\": \"\"}"), "spread.group", "may not be empty"},
    {SPREAD("{\"normal\": \"1 fF\", \"groups\": \"a\"}"), "spread.groups", "'group'"},
    {SPREAD("[{\"normal\": \"1 fF\"}, 3]"), "spread[1]", "expected a spread"},
};

static void bad_spreads(void **state)
{
    (void)state;
    char place[100];
    for (size_t i = 0; i < COUNT_OF(bad); i++) {
        snprintf(place, sizeof place, "path[0].capacitance.%s", bad[i].place);
        sample_bad(bad[i].text, place, bad[i].message);
    }
}

/* Standard deviations about 100 fF. */
static const struct {
    const char *text;
    double sigma, relative_tolerance;
} good[] = {
    {SPREAD("{\"normal\": \"4 fF\"}"), 4e-15, 1e-15},                          /* definition */
    {SPREAD("{\"normal\": \"4 %\"}"), 4e-15, 1e-15},                           /* definition */
    {SPREAD("{\"uniform\": \"3 fF\"}"), 1.7320508075688773e-15, 1e-15},        /* 3/sqrt(3) */
    {SPREAD("[{\"normal\": \"3 fF\"}, {\"normal\": \"4 %\"}]"), 5e-15, 1e-15}, /* 3, 4, 5 */
    {SPREAD("[]"), 0.0, 0.0},
    {SPREAD("{\"normal\": \"0 fF\", \"within\": \"1 fF\"}"), 0.0, 0.0},
    /* sqrt(1 - 2 phi(1) / (2 Phi(1) - 1)), the variance of a normal cut at one sigma */
    {SPREAD("{\"normal\": \"1 fF\", \"within\": \"1 fF\"}"), 0.5395600937548969e-15, 1e-14},
    /* Cut so close that it is uniform: 0.001/sqrt(3). */
    {SPREAD("{\"normal\": \"1 fF\", \"within\": \"0.001 %\"}"), 5.7735027e-19, 1e-6},
};

static void deviations(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(good); i++) {
        fl_design *design = sample_good(good[i].text);
        const fl_quantity *quantity = &design->quantities[0];
        check_close(good[i].sigma, fl_quantity_sigma(quantity, quantity->value),
                    good[i].relative_tolerance, "%s", good[i].text);
        fl_design_release(design);
    }
}

static double weight(double x, void *power)
{
    return pow(x, *(const double *)power) * exp(-0.5 * x * x);
}

/* Second route: both integrals by quadrature. */
static void truncated_by_quadrature(void **state)
{
    (void)state;
    for (double cut = 0.01; cut < 9.0; cut *= 1.23) {
        fl_spread spread = {.shape = FL_NORMAL, .amount = 2.0, .within = 2.0 * cut};
        const fl_quantity quantity = {.spreads = &spread, .spread_count = 1};
        double integrals[2], error;
        size_t calls;
        for (int i = 0; i < 2; i++) {
            double power = 2.0 * i;
            const gsl_function function = {weight, &power};
            gsl_integration_qng(&function, 0.0, cut, 0.0, 1e-12, &integrals[i], &error, &calls);
        }
        check_close(2.0 * sqrt(integrals[1] / integrals[0]), fl_quantity_sigma(&quantity, 5.0),
                    1e-11, "cut %g", cut); /* quadrature's own error */
    }
}

static void relative_follows_the_nominal(void **state)
{
    (void)state;
    const fl_spread spread = {
        .amount = 0.04, .relative = true, .within = 0.08, .within_relative = true};
    const fl_quantity quantity = {.spreads = &spread, .spread_count = 1};
    const double one = fl_quantity_sigma(&quantity, 1.0);
    check_close(7.0 * one, fl_quantity_sigma(&quantity, -7.0), 1e-14, "nominal -7");
    check_near(0.0, fl_quantity_sigma(&quantity, 0.0), 0.0, "nominal 0");
}

static void at_most_20_components(void **state)
{
    (void)state;
    char list[2000], text[4000];
    for (int count = 20; count <= 21; count++) {
        size_t used = 0;
        for (int i = 0; i < count; i++)
            used += (size_t)snprintf(list + used, sizeof list - used, "%s{\"normal\": \"1 %%\"}",
                                     i ? ", " : "");
        snprintf(text, sizeof text, SAMPLE_CAPACITANCE("{\"value\": \"1 fF\", \"spread\": [%s]}"),
                 list);
        if (count == 20)
            fl_design_release(sample_good(text));
        else
            sample_bad(text, "spread", "at most 20 components");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bad_spreads),
        cmocka_unit_test(deviations),
        cmocka_unit_test(truncated_by_quadrature),
        cmocka_unit_test(relative_follows_the_nominal),
        cmocka_unit_test(at_most_20_components),
    };
    return cmocka_run_group_tests_name("design/spread", tests, NULL, NULL);
}
