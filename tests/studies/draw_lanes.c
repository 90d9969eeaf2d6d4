/* Draws of many samples at once against those of one sample, with and without a plan. */
#include "base/random.h"
#include "draws.h"

enum { SEED = 11 };

/* Many samples at once are those drawn one by one, at every width: normal ones to within rounding,
 * the others, which go by the uniform number itself, to what fl_normal_draw is off by. */
static void test_lanes(void **state)
{
    (void)state;
    enum { SHAPES = 6 };
    static const fl_spread spreads[SHAPES] = {
        {FL_NORMAL, 2.0, false, 0.0, false, FL_LEVEL_LOT, 0},
        {FL_UNIFORM, 0.1, true, 0.0, false, FL_LEVEL_LOT, 1},
        {FL_NORMAL, 0.2, true, 0.3, true, FL_LEVEL_DIE, 5},
        {FL_NORMAL, 3.0, false, 1.0, false, FL_LEVEL_WAFER, 4},
        {FL_UNIFORM, 1.0, false, 0.0, false, FL_LEVEL_LOT, 7},
        {FL_NORMAL, 0.0, false, 0.0, false, FL_LEVEL_LOT, 2},
    };
    static const fl_spread several[] = {{FL_NORMAL, 3.0, false, 0.0, false, FL_LEVEL_DIE, 6},
                                        {FL_NORMAL, 0.1, true, 0.0, false, FL_LEVEL_LOT, 3},
                                        {FL_NORMAL, 0.2, true, 0.0, false, FL_LEVEL_DIE, 8}};
    fl_quantity quantities[SHAPES + 2];
    const double nominal[SHAPES + 2] = {10.0, 30.0, -25.0, 7.0, 0.0, 1.0, -20.0, 4.0};
    static double rows[3][DRAWS][FL_LANES];
    const fl_draw_lanes lanes = {rows[0], rows[1], rows[2]};
    for (size_t i = 0; i < SHAPES; i++)
        quantities[i] = (fl_quantity){.name = "q", .spreads = &spreads[i], .spread_count = 1};
    quantities[SHAPES] = (fl_quantity){.name = "several", .spreads = several, .spread_count = 3};
    quantities[SHAPES + 1] = (fl_quantity){.name = "fixed"};
    fl_design design = with_quantity(quantities);
    design.quantity_count = SHAPES + 2;
    design.correlations = half;
    design.correlation_count = 2;
    fl_sampler *sampler = NULL;
    fl_error error;
    check_ok(fl_sampler_new(&sampler, &design, &error), error);
    for (int width = 2; width <= 8; width *= 2)
        for (uint64_t first = 0; fl_vector_of(width) != NULL && first < 6400; first += FL_LANES) {
            fl_sampler_draw_lanes(sampler, fl_vector_of(width), SEED, first, nominal, &lanes);
            for (size_t k = 0; k < FL_LANES; k++) {
                double values[SHAPES + 2], scratch[DRAWS];
                fl_sampler_draw(sampler, SEED, first + k, nominal, values, scratch);
                for (size_t i = 0; i < SHAPES + 2; i++)
                    check_near(values[i], rows[0][i][k], i == 0 || i >= SHAPES ? 1e-12 : 3e-9,
                               "quantity %zu of sample %u", i, (unsigned)(first + k));
            }
        }
    fl_sampler_free(sampler);
}

/* Draws of a lot and of a wafer are those of their number, whatever the sample; the others are the
 * sample's own. */
static void test_plan(void **state)
{
    (void)state;
    static const fl_plan plans[] = {{3, 5}, {1, 1}, {4, 16}, {25, 2000}, {7, 63}};
    static double rows[3][DRAWS][FL_LANES];
    const fl_draw_lanes lanes = {rows[0], rows[1], rows[2]};
    fl_design design = with_quantity(NULL);
    design.quantity_count = 0;
    fl_sampler *sampler = NULL;
    fl_error error;
    check_ok(fl_sampler_new(&sampler, &design, &error), error);
    for (size_t p = 0; p < sizeof plans / sizeof *plans; p++) {
        fl_sampler_follow(sampler, &plans[p]);
        for (uint64_t first = 0; first < 6400; first += FL_LANES) {
            fl_sampler_draw_lanes(sampler, fl_vector_widest(), SEED, first, NULL, &lanes);
            for (uint64_t k = 0; k < FL_LANES; k++) {
                const uint64_t wafer = (first + k) / plans[p].dice;
                double scratch[DRAWS];
                fl_sampler_draw(sampler, SEED, first + k, NULL, NULL, scratch);
                for (uint32_t i = 0; i < DRAWS; i++) {
                    const uint64_t item = draws[i].level == FL_LEVEL_LOT ? wafer / plans[p].wafers
                                          : draws[i].level == FL_LEVEL_WAFER ? wafer
                                                                             : first + k;
                    check_near(fl_random_normal(SEED, item, i), scratch[i], 0.0, "draw %u", i);
                    check_near(scratch[i], rows[1][i][k], 1e-12, "draw %u of a lane", i);
                }
            }
        }
    }
    fl_sampler_free(sampler);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_lanes), cmocka_unit_test(test_plan)};
    return cmocka_run_group_tests_name("studies/draw_lanes", tests, NULL, NULL);
}
