/* Decibel, margins and the smooth figure. */
#include "check.h"

#include "sample.h"

/* Return loss, reflection, VSWR and mismatch loss: printed in public conversion tables to three
 * digits, here recomputed: VSWR = (1 + g) / (1 - g), mismatch loss -10 log10(1 - g^2). */
static void test_conversions(void **unused)
{
    (void)unused;
    static const struct {
        double loss_db, vswr, mismatch_db;
    } rows[] = {{1.0, 17.39096324766194, 6.868253243801156},
                {3.0, 5.848043592805362, 3.0206243992830037},
                {6.0, 3.00952047507449, 1.2562757749181508},
                {10.0, 1.924950591148529, 0.4575749056067512},
                {15.0, 1.4325808425575168, 0.13955433882055845},
                {20.0, 1.2222222222222223, 0.04364805402450088},
                {25.0, 1.1191696679370937, 0.013755357992172791},
                {30.0, 1.0653108640674351, 0.004345117740176917}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const double g = (rows[i].vswr - 1.0) / (rows[i].vswr + 1.0);
        check_near(rows[i].loss_db, fl_loss_db(g * g), 1e-9, "row %zu", i);
        check_near(rows[i].mismatch_db, fl_loss_db(1.0 - g * g), 1e-10, "row %zu", i);
    }
}

static void test_ceiling(void **unused)
{
    (void)unused;
    check_near(FL_CEILING_DB, fl_loss_db(0.0), 0.0, "perfect match");
    check_near(FL_CEILING_DB, fl_loss_db(1e-300), 0.0, "nearly perfect");
    check_near(0.0, fl_loss_db(1.0), 0.0, "total reflection");
}

/* The figure is 10^(-margin / 10), and its slope is its derivative. */
static void test_figure(void **unused)
{
    (void)unused;
    uint64_t state = 5;
    for (int trial = 0; trial < 200; trial++) {
        const double power = pow(10.0, sample_between(&state, -6.0, 0.0)), step = 1e-6 * power;
        const fl_requirement asked = {.asked = FL_RETURN_LOSS,
                                      .at_least = sample_random(&state) < 0.5,
                                      .limit_db = sample_between(&state, 0.1, 30.0),
                                      .weight = sample_between(&state, 0.2, 3.0)};
        double slope = 0.0;
        const double figure = fl_margin_figure(&asked, power, &slope);
        const double over = -10.0 * log10(power) - asked.limit_db;
        const double margin = asked.weight * (asked.at_least ? over : -over);
        check_near(margin, fl_margin_db(&asked, power), 1e-12 * (1.0 + fabs(margin)), "%d", trial);
        check_close(pow(10.0, -margin / 10.0), figure, 1e-11, "trial %d", trial);
        const double difference = (fl_margin_figure(&asked, power + step, NULL) -
                                   fl_margin_figure(&asked, power - step, NULL)) /
                                  (2.0 * step);
        check_close(difference, slope, 1e-8, "trial %d slope", trial);
    }
}

/* Of many powers at once, at weights that take products and at those that take logarithms, by the
 * margin in dB: a relative error of 1e-16 there is one of weight * 1e-14 here. Powers below that of
 * FL_CEILING_DB stand still. */
static void test_figures(void **unused)
{
    (void)unused;
    static const double weights[] = {1.0, 2.0, 3.0, 7.0, 10.0, 64.0, 65.0, 0.5, 1.5, 9.999, 1e-3};
    uint64_t state = 6;
    for (size_t w = 0; w < sizeof weights / sizeof *weights; w++)
        for (int trial = 0; trial < 50; trial++) {
            enum { COUNT = 9 };
            double power[COUNT] = {0.0, 1e-21, 1e-20}, figures[COUNT], slopes[COUNT];
            const fl_requirement asked = {.at_least = sample_random(&state) < 0.5,
                                          .limit_db = sample_between(&state, 0.1, 30.0),
                                          .weight = weights[w]};
            for (size_t i = 3; i < COUNT; i++)
                power[i] = pow(10.0, sample_between(&state, -3.0, 0.5));
            fl_margin_figures(&asked, power, COUNT, figures, slopes);
            for (size_t i = 0; i < COUNT; i++) {
                const double margin = fl_margin_db(&asked, power[i]);
                const double wanted = pow(10.0, -0.1 * margin);
                const double error = 1e-13 * (1.0 + asked.weight);
                if (wanted > 1e300 || wanted < 1e-300)
                    continue;
                check_close(wanted, figures[i], error, "weight %g, power %g", weights[w], power[i]);
                const double sign = asked.at_least ? 1.0 : -1.0;
                const double slope = power[i] > 1e-20 ? sign * asked.weight * wanted / power[i] : 0;
                check_close(slope, slopes[i], error, "weight %g, power %g", weights[w], power[i]);
                double alone = 0.0;
                assert_true(fl_margin_figure(&asked, power[i], &alone) == figures[i]);
                assert_true(alone == slopes[i]);
            }
        }
}

static void test_worst(void **unused)
{
    (void)unused;
    const double frequencies[] = {1.0, 2.0, 3.0}, power[] = {9.0, 0.1, 0.4, 0.2};
    const fl_run run = {.first = 1, .count = 3, .frequencies = frequencies};
    const fl_requirement least = {.at_least = true, .limit_db = 3.0, .weight = 2.0};
    const fl_requirement most = {.at_least = false, .limit_db = 3.0, .weight = 1.0};
    const fl_worst low = fl_run_worst(&run, &least, power);
    assert_int_equal(low.entry, 2);
    assert_int_equal(fl_run_worst_entry(&run, &least, power), 2);
    check_near(2.0, low.frequency, 0.0, "frequency");
    check_near(-10.0 * log10(0.4), low.value_db, 1e-12, "value");
    check_near(2.0 * (-10.0 * log10(0.4) - 3.0), low.margin_db, 1e-12, "margin");
    assert_int_equal(fl_run_worst(&run, &most, power).entry, 1);
}

static void test_grid(void **unused)
{
    (void)unused;
    double grid[61];
    const fl_band band = {26.5e9, 29.5e9};
    fl_band_grid(grid, &band, 61);
    check_near(26.5e9, grid[0], 0.0, "low");
    check_near(29.5e9, grid[60], 0.0, "high");
    check_near(28e9, grid[30], 1e-3, "middle");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_conversions), cmocka_unit_test(test_ceiling),
        cmocka_unit_test(test_figure),      cmocka_unit_test(test_figures),
        cmocka_unit_test(test_worst),       cmocka_unit_test(test_grid)};
    return cmocka_run_group_tests_name("response/figure", tests, NULL, NULL);
}
