/* Ribbon: the long one against conformal mapping and microstrip, the wide against the narrow. */
#include "check.h"

#include "models/conductor.h"
#include "models/filament.h"
#include "physics.h"

static const double pi = 3.14159265358979323846;

enum { WIDTH, THICKNESS, SPAN, LOOP, DIE, LAND, CONDUCTIVITY, COVER, ALL };

/* Flat, its middle at a height; a long one twice as long less itself is the line alone. */
static double slope(double width, double thickness, double height, const char *name)
{
    const double low = height - thickness / 2.0, length = 1000.0 * height, w0 = 2.0 * pi * 28e9;
    const double p[ALL] = {width, thickness, length, height * 1e-6, low, low, 1e18, 1.0};
    double longer[ALL];
    memcpy(longer, p, sizeof p);
    longer[SPAN] *= 2.0;
    return (physics_property("ribbon", longer, w0, name) -
            physics_property("ribbon", p, w0, name)) /
           length;
}

/* High over the plane a bar is the round wire of its outer radius: mu0 / 2 pi ln(2 h / a)
 * [Polya1951]; of a thin tape a is w / 4, of a square 0.59017 of its side. */
static void test_high(void **unused)
{
    (void)unused;
    static const struct {
        double thickness, radius;
    } rows[] = {{1e-4, 0.25}, {0.01, 0.2565}, {0.1, 0.2976}, {0.25, 0.3539}, {1.0, 0.59017}};
    const double width = 75e-6, height = 20.0 * width;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const double wanted = 2e-7 * log(2.0 * height / (rows[i].radius * width));
        check_close(wanted, slope(width, rows[i].thickness * width, height, "inductance"), 1e-3,
                    "L' of thickness %g", rows[i].thickness);
        check_close(1.0 / (299792458.0 * 299792458.0 * wanted),
                    slope(width, rows[i].thickness * width, height, "capacitance"), 1e-3, "C'");
    }
}

/* Low over the plane a thin one is microstrip in air: its impedance over that of free space is
 * ln(8 h / w + w / 4 h) / 2 pi, for w up to h, and 1 / (w / h + 1.393 + 0.667 ln(w / h + 1.444))
 * beyond [Pozar2011, sec. 3.8], each within 1 %. */
static void test_low(void **unused)
{
    (void)unused;
    static const double widths[] = {0.2, 0.5, 1.0, 2.0, 3.0};
    const double h = 100e-6;
    for (size_t i = 0; i < sizeof widths / sizeof *widths; i++) {
        const double u = widths[i];
        const double shape = u <= 1.0 ? log(8.0 / u + u / 4.0) / (2.0 * pi)
                                      : 1.0 / (u + 1.393 + 0.667 * log(u + 1.444));
        check_close(fl_permeability() * shape, slope(u * h, 1e-4 * h, h, "inductance"), 1.5e-2,
                    "L' of w/h %g", u);
        check_close(fl_permittivity() / shape, slope(u * h, 1e-4 * h, h, "capacitance"), 1.5e-2,
                    "C' of w/h %g", u);
    }
}

/* 75 um by 12.5 um has 10 to 40 % less inductance than a wire of 25 um [tutorials of the trade: 30
 * to 50 %, for wider ones]; a square bar is within 5 % of the wire with as much girth. */
static void test_against_wire(void **unused)
{
    (void)unused;
    const double w0 = 2.0 * pi * 28e9;
    const double wire[] = {1.0, 25e-6, 500e-6, 150e-6, 100e-6, 100e-6, 0.0, 1e15, 1.0, 0.0};
    double ribbon[ALL] = {75e-6, 12.5e-6, 500e-6, 150e-6, 100e-6, 100e-6, 1e15, 1.0};
    const double one = physics_property("bond wires", wire, w0, "inductance");
    const double wide = physics_property("ribbon", ribbon, w0, "inductance") / one;
    assert_true(wide > 0.6 && wide < 0.9);
    ribbon[WIDTH] = 250e-6;
    const double wider = physics_property("ribbon", ribbon, w0, "inductance") / one;
    assert_true(wider > 0.4 && wider < 0.65);
    ribbon[WIDTH] = ribbon[THICKNESS] = 25e-6 * pi / 4.0;
    check_close(one, physics_property("ribbon", ribbon, w0, "inductance"), 0.05, "square");
}

/* Free of the plane the inductance is near the tape's with its current spread evenly, a bound from
 * below to that at the edges: 0.7616 nH for 1 mm by 75 um [Ruehli1972]. With the plane's image far
 * down, M = mu0 l^2 / (4 pi 2 h). */
static void test_far_plane(void **unused)
{
    (void)unused;
    const double l = 1e-3, h = 0.1;
    const double p[ALL] = {75e-6, 75e-9, l, 1e-9, h, h, 1e18, 1.0};
    const double got = physics_property("ribbon", p, 2.0 * pi * 28e9, "inductance");
    const double image = 1e-7 * l * l / (2.0 * h);
    const double even = fl_tape_inductance(l, 75e-6);
    check_close(0.761636e-9, even, 1e-6, "tape");
    assert_true(got + image < even && got + image > 0.96 * even);
}

/* Both faces carry the current: 1 / (2 w sigma depth) per length at high frequency. */
static void test_resistance(void **unused)
{
    (void)unused;
    const double w0 = 2.0 * pi * 60e9;
    const double p[ALL] = {75e-6, 12.5e-6, 1e-3, 1e-9, 100e-6, 100e-6, 4.1e7, 1.0};
    check_close(1e-3 / (2.0 * 75e-6 * 4.1e7 * fl_skin_depth(4.1e7, w0)),
                physics_property("ribbon", p, w0, "resistance"), 1e-6, "resistance");
}

static void test_cover(void **unused)
{
    (void)unused;
    double p[ALL] = {75e-6, 12.5e-6, 400e-6, 120e-6, 100e-6, 60e-6, 4.1e7, 1.0};
    const double w0 = 2.0 * pi * 28e9;
    const double air = physics_property("ribbon", p, w0, "capacitance");
    p[COVER] = 3.7;
    check_close(3.7 * air, physics_property("ribbon", p, w0, "capacitance"), 1e-13, "C");
}

static void test_ranges(void **unused)
{
    (void)unused;
    const fl_physics *physics = (const fl_physics *)sample_kind("ribbon");
    double p[ALL] = {75e-6, 12.5e-6, 400e-6, 120e-6, 100e-6, 60e-6, 4.1e7, 1.0};
    fl_setting setting;
    fl_setting_init(&setting, 28e9, 26e9, 30e9);
    assert_null(physics->refuse(p));
    assert_null(physics->caution(p, &setting));
    p[WIDTH] = 150e-6;
    assert_non_null(strstr(physics->caution(p, &setting), "width"));
    p[WIDTH] = 10e-6;
    assert_non_null(strstr(physics->refuse(p), "thickness"));
    p[WIDTH] = 75e-6;
    p[LAND] = 220e-6;
    assert_non_null(strstr(physics->refuse(p), "land height"));
}

/* Random ribbons within the range solve, with positive values. */
static void test_random(void **unused)
{
    (void)unused;
    const fl_physics *physics = (const fl_physics *)sample_kind("ribbon");
    const fl_setting setting = {.w0 = 2.0 * pi * 28e9};
    uint64_t state = 7;
    for (int i = 0; i < 100; i++) {
        fl_error error = {0};
        double values[FL_ELEMENTS][FL_VALUES], p[ALL];
        p[DIE] = sample_between(&state, 50e-6, 300e-6);
        p[LAND] = sample_between(&state, 50e-6, 150e-6);
        p[WIDTH] = sample_between(&state, 0.1, 2.0) * fmin(p[DIE], p[LAND]);
        p[THICKNESS] = p[WIDTH] * sample_between(&state, 0.02, 0.3);
        p[SPAN] = sample_between(&state, 3.0 * p[WIDTH], 2e-3);
        p[LOOP] = p[SPAN] * sample_between(&state, 0.1, 0.8) + fmax(0.0, p[LAND] - p[DIE]);
        p[CONDUCTIVITY] = 4.1e7;
        p[COVER] = sample_between(&state, 1.0, 5.0);
        check_ok(physics->solve(values, p, &setting, &error), error);
        for (size_t e = 0; e < physics->form_count; e++)
            for (size_t v = 0; v < 3; v++)
                assert_true(values[e][v] > 0.0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_high),         cmocka_unit_test(test_low),
        cmocka_unit_test(test_against_wire), cmocka_unit_test(test_far_plane),
        cmocka_unit_test(test_resistance),   cmocka_unit_test(test_cover),
        cmocka_unit_test(test_ranges),       cmocka_unit_test(test_random)};
    return cmocka_run_group_tests_name("models/ribbon", tests, NULL, NULL);
}
