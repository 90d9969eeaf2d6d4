/* Plate on a slab: the square in space, strips, discs, and how it settles. */
#include "check.h"

#include <gsl/gsl_errno.h>

#include "models/cross.h"
#include "models/disc.h"
#include "models/filament.h"
#include "models/plate.h"

static const double pi = 3.14159265358979323846;

static double capacitance_of(double width, double length, double height, double permittivity)
{
    const fl_plate plate = {width, length, height, permittivity};
    double capacitance = 0.0;
    fl_error error = {0};
    gsl_set_error_handler_off();
    check_ok(fl_plate_capacitance(&capacitance, &plate, &error), error);
    return capacitance;
}

static double strip_of(double width, double height, double permittivity)
{
    const fl_cross_layer layer = {height, permittivity, 0.0};
    const fl_cross_conductor strip = {
        .left = -0.5 * width, .right = 0.5 * width, .bottom = height, .signal = 1};
    const fl_cross cross = {.layers = &layer,
                            .layer_count = 1,
                            .conductors = &strip,
                            .conductor_count = 1,
                            .ground = true};
    fl_cross_result result;
    fl_error error = {0};
    check_ok(fl_cross_solve(&result, &cross, 0.0, &error), error);
    return result.capacitance[0][0];
}

/* A square of side a in space has 0.3667874 * 4 pi eps0 a [Read1997], from memory. */
static void test_square(void **unused)
{
    (void)unused;
    check_close(0.3667874 * 4.0 * pi * fl_permittivity(), capacitance_of(1.0, 1.0, 1e5, 1.0), 1e-3,
                "square");
}

/* With seven times the patches and five times the table. */
static void test_settled(void **unused)
{
    (void)unused;
    static const struct {
        fl_plate plate;
        double capacitance, relative;
    } rows[] = {{{1, 1, 1, 1}, 4.9408545e-11, 1e-3},     {{.2, .2, 1, 3.5}, 1.9233317e-11, 1e-3},
                {{.5, 2, 1, 3.5}, 1.3077376e-10, 1e-3},  {{2, 4, 1, 3.5}, 4.9972059e-10, 1e-3},
                {{1, 8, 1, 12.9}, 1.9483146e-09, 1e-3},  {{8, 8, 1, 12.9}, 9.2292807e-09, 1e-3},
                {{20, 20, 1, 3.5}, 1.4318683e-08, 1e-3}, {{40, 40, 1, 3.5}, 5.3679663e-08, 6e-3},
                {{1, 40, 1, 3.5}, 2.7962707e-09, 3e-3},  {{.05, 1, 1, 3.5}, 3.3762976e-11, 1e-3}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const fl_plate *p = &rows[i].plate;
        check_close(rows[i].capacitance,
                    capacitance_of(p->width, p->length, p->height, p->permittivity),
                    rows[i].relative, "%g by %g", p->width, p->length);
        check_close(rows[i].capacitance,
                    capacitance_of(p->length, p->width, p->height, p->permittivity),
                    rows[i].relative, "%g by %g", p->length, p->width);
    }
}

/* What a long plate gains by length is the strip, by another solver. */
static void test_strip(void **unused)
{
    (void)unused;
    static const double permittivities[] = {1.0, 3.5, 12.9};
    for (size_t i = 0; i < 3; i++)
        for (double width = 0.3; width < 4.0; width *= 2.0) {
            const double er = permittivities[i];
            const double gained =
                capacitance_of(width, 14.0, 1.0, er) - capacitance_of(width, 10.0, 1.0, er);
            check_close(4.0 * strip_of(width, 1.0, er), gained, 5e-3, "width %g", width);
        }
}

/* A square has a little more than the disc of its area: 2.1 % in space, where charges are far from
 * the plane [0.3667874 over 2 pi^(-3/2)], less over a near one. */
static void test_disc(void **unused)
{
    (void)unused;
    for (double side = 0.2; side < 10.0; side *= 1.7) {
        const double disc = fl_disc_on_slab(side / sqrt(pi), 1.0, 3.5);
        const double square = capacitance_of(side, side, 1.0, 3.5);
        assert_true(square > disc && square < 1.03 * disc);
    }
}

static void test_scale(void **unused)
{
    (void)unused;
    check_close(1e-3 * capacitance_of(2.0, 3.0, 1.0, 3.5), capacitance_of(2e-3, 3e-3, 1e-3, 3.5),
                1e-9, "scale");
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_square),
                                       cmocka_unit_test(test_settled), cmocka_unit_test(test_strip),
                                       cmocka_unit_test(test_disc), cmocka_unit_test(test_scale)};
    return cmocka_run_group_tests_name("models/plate", tests, NULL, NULL);
}
