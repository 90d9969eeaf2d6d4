/* Bond wires: a flat wire is the exact line over ground, two wires, loss, and settling. */
#include "check.h"

#include "physics.h"

static const double pi = 3.14159265358979323846;
static const double eps0 = 8.8541878128e-12, mu0 = 4e-7 * 3.14159265358979323846;

enum { COUNT, DIAMETER, SPAN, LOOP, DIE, LAND, PITCH, CONDUCTIVITY, COVER, ALL };

/* A wire so flat that its height is one: a loop of a thousandth of the height. */
static void flat_wire(double *parameters, double radius, double height)
{
    const double all[ALL] = {
        1.0, 2.0 * radius, 1e-3, height * 1e-6, height - radius, height - radius, 0.0, 1e18, 1.0};
    memcpy(parameters, all, sizeof all);
}

/* Wire over a perfect ground, exact in two dimensions: L' = mu0 / 2pi acosh(h / r),
 * C' = 2 pi eps0 / acosh(h / r). Computed from the formula. */
static void test_wire_over_ground(void **unused)
{
    (void)unused;
    static const struct {
        double height, inductance, capacitance, impedance;
    } rows[] = {{50e-6, 4.126874137791122e-07, 2.6961085288856322e-11, 123.72057416250311},
                {100e-6, 5.537318766627148e-07, 2.0093660902446977e-11, 166.0046403776681},
                {150e-6, 6.352626361183312e-07, 1.751480400063012e-11, 190.44694715747409},
                {200e-6, 6.929515813351726e-07, 1.6056678215666593e-11, 207.7416578434583},
                {300e-6, 7.741533400574189e-07, 1.4372476336162205e-11, 232.08533268472343}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double p[ALL];
        const double w0 = 2.0 * pi * 28e9;
        flat_wire(p, 12.5e-6, rows[i].height);
        const double length = physics_property("bond wires", p, w0, "wire length");
        check_close(1e-3, length, 1e-9, "length");
        /* What remains is the bow of a millionth of the height; a conductor of 1e18 S/m adds
         * an internal inductance of 6e-8. */
        check_close(rows[i].inductance,
                    physics_property("bond wires", p, w0, "inductance") / length, 2e-6, "L' %g",
                    rows[i].height);
        check_close(rows[i].capacitance,
                    physics_property("bond wires", p, w0, "capacitance") / length, 2e-6, "C' %g",
                    rows[i].height);
        check_close(rows[i].impedance, physics_property("bond wires", p, w0, "impedance"), 2e-6,
                    "Z0 %g", rows[i].height);
    }
}

/* Two wires: (L + M) / 2 with M' = mu0 / 4pi ln(1 + (2h/s)^2), images of thin wires [Grover1946].
 * L' C' = mu0 eps0 in air, whatever the number. */
static void test_two_wires(void **unused)
{
    (void)unused;
    double p[ALL];
    const double w0 = 2.0 * pi * 28e9, h = 150e-6, s = 100e-6;
    flat_wire(p, 12.5e-6, h);
    p[COUNT] = 2.0;
    p[PITCH] = s;
    const double length = physics_property("bond wires", p, w0, "wire length");
    const double own = mu0 / (2.0 * pi) * acosh(h / 12.5e-6);
    const double mutual = mu0 / (4.0 * pi) * log(1.0 + 4.0 * h * h / (s * s));
    const double inductance = physics_property("bond wires", p, w0, "inductance") / length;
    check_close((own + mutual) / 2.0, inductance, 2e-6, "two wires");
    for (int count = 1; count <= 16; count++) {
        p[COUNT] = count;
        const double l = physics_property("bond wires", p, w0, "inductance") / length;
        const double c = physics_property("bond wires", p, w0, "capacitance") / length;
        check_close(mu0 * eps0, l * c, 3e-6, "L' C' of %d wires", count);
    }
}

/* Resistance of a 25 um gold wire (4.1e7 S/m) from the exact Bessel-function internal impedance;
 * the annulus is within 0.4 % at 1 GHz and 0.01 % at 30 GHz of it. */
static void test_resistance(void **unused)
{
    (void)unused;
    static const struct {
        double frequency, resistance, relative;
    } rows[] = {{1e9, 138.25480305776514, 4e-3},
                {10e9, 407.8057513837066, 3e-4},
                {30e9, 696.9099439523446, 1e-4},
                {60e9, 980.3147818401468, 1e-4},
                {77e9, 1108.8627290875338, 1e-4}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double p[ALL];
        flat_wire(p, 12.5e-6, 150e-6);
        p[CONDUCTIVITY] = 4.1e7;
        const double w0 = 2.0 * pi * rows[i].frequency;
        check_close(rows[i].resistance * 1e-3, physics_property("bond wires", p, w0, "resistance"),
                    rows[i].relative, "%g Hz", rows[i].frequency);
        p[COUNT] = 3.0;
        p[PITCH] = 100e-6;
        check_close(rows[i].resistance * 1e-3 / 3.0,
                    physics_property("bond wires", p, w0, "resistance"), rows[i].relative,
                    "%g Hz, three", rows[i].frequency);
    }
    /* At low frequency the whole section carries the current: 1 / (pi r^2 sigma) [definition]. */
    double p[ALL];
    flat_wire(p, 12.5e-6, 150e-6);
    p[CONDUCTIVITY] = 4.1e7;
    check_close(1e-3 / (pi * 12.5e-6 * 12.5e-6 * 4.1e7),
                physics_property("bond wires", p, 2.0 * pi * 1e5, "resistance"), 1e-9, "low");
}

/* Mould of permittivity er multiplies the capacitance and leaves the inductance. */
static void test_cover(void **unused)
{
    (void)unused;
    double air[ALL], mould[ALL];
    const double w0 = 2.0 * pi * 28e9;
    flat_wire(air, 12.5e-6, 150e-6);
    flat_wire(mould, 12.5e-6, 150e-6);
    mould[COVER] = 3.7;
    check_close(physics_property("bond wires", air, w0, "capacitance") * 3.7,
                physics_property("bond wires", mould, w0, "capacitance"), 1e-13, "C");
    check_close(physics_property("bond wires", air, w0, "inductance"),
                physics_property("bond wires", mould, w0, "inductance"), 1e-13, "L");
}

static const double arc[ALL] = {2.0, 25e-6, 400e-6, 120e-6, 100e-6, 60e-6, 100e-6, 4.1e7, 3.7};

/* Total inductance of the arc by fine integration of the local value along the parabola that peaks
 * `loop height` over the die: an independent route with 20 000 steps. */
static double integrated_inductance(const double *p)
{
    const int steps = 20000;
    const double drop = p[LAND] - p[DIE], top = p[LOOP];
    const double b = 2.0 * top + 2.0 * sqrt(top * (top - drop)), c = b - drop;
    double sum = 0.0;
    for (int i = 0; i < steps; i++) {
        const double u = (i + 0.5) / steps;
        const double h = p[DIE] + p[DIAMETER] / 2.0 + b * u - c * u * u;
        const double slope = b - 2.0 * c * u;
        const double own = acosh(2.0 * h / p[DIAMETER]);
        const double mutual = 0.5 * log(1.0 + pow(2.0 * h / p[PITCH], 2.0));
        sum += mu0 / (2.0 * pi) * (own + mutual) / 2.0 * sqrt(p[SPAN] * p[SPAN] + slope * slope) /
               steps;
    }
    return sum;
}

static void test_arc(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, arc, sizeof arc);
    p[CONDUCTIVITY] = 1e13; /* no internal inductance to speak of */
    check_close(integrated_inductance(p),
                physics_property("bond wires", p, 2.0 * pi * 28e9, "inductance"), 2e-3,
                "twelve pieces against twenty thousand");
}

static void test_refusals(void **unused)
{
    (void)unused;
    const fl_physics *physics = (const fl_physics *)sample_kind("bond wires");
    double p[ALL];
    memcpy(p, arc, sizeof arc);
    assert_null(physics->refuse(p));
    p[PITCH] = 0.0;
    assert_non_null(physics->refuse(p));
    p[PITCH] = 25e-6; /* wires that touch */
    assert_non_null(physics->refuse(p));
    memcpy(p, arc, sizeof arc);
    p[LAND] = 220e-6; /* as high as the top */
    assert_non_null(physics->refuse(p));
    memcpy(p, arc, sizeof arc);
    p[COUNT] = 17.0;
    assert_non_null(physics->refuse(p));
}

static void test_slopes(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, arc, sizeof arc);
    for (int count = 1; count <= 5; count++) {
        p[COUNT] = count;
        physics_check_slopes("bond wires", p, 2.0 * pi * 28e9);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_wire_over_ground),
                                       cmocka_unit_test(test_two_wires),
                                       cmocka_unit_test(test_resistance),
                                       cmocka_unit_test(test_cover),
                                       cmocka_unit_test(test_arc),
                                       cmocka_unit_test(test_refusals),
                                       cmocka_unit_test(test_slopes)};
    return cmocka_run_group_tests_name("models/wires", tests, NULL, NULL);
}
