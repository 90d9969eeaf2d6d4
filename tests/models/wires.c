/* Bond wires: a long flat wire is the exact line over ground, several wires and returns, loss, and
 * what the trade has published. */
#include "check.h"

#include "physics.h"

static const double pi = 3.14159265358979323846;
static const double eps0 = 8.8541878128e-12, mu0 = 4e-7 * 3.14159265358979323846;

enum { COUNT, DIAMETER, SPAN, LOOP, DIE, LAND, PITCH, CONDUCTIVITY, COVER, RETURNS, ALL };

/* A wire so flat that its height is one: a loop of a millionth of the height. It is long, as its
 * ends have less inductance and more capacitance than the line in two dimensions; what a longer
 * wire has more is the line's own. */
static void flat_wire(double *parameters, double radius, double height)
{
    const double all[ALL] = {
        1.0,  2.0 * radius, 0.1, height * 1e-6, height - radius, height - radius, 0.0,
        1e18, 1.0,          0.0};
    memcpy(parameters, all, sizeof all);
}

/* Per length, from a wire twice as long. */
static double slope(const double *parameters, double w0, const char *name)
{
    double longer[ALL];
    memcpy(longer, parameters, sizeof longer);
    longer[SPAN] *= 2.0;
    return (physics_property("bond wires", longer, w0, name) -
            physics_property("bond wires", parameters, w0, name)) /
           parameters[SPAN];
}

/* Wire over a perfect ground, exact in two dimensions: L' = mu0 / 2pi acosh(h / r),
 * C' = 2 pi eps0 / acosh(h / r). Computed from the formula. */
static void test_wire_over_ground(void **unused)
{
    (void)unused;
    static const struct {
        double height, inductance, capacitance;
    } rows[] = {{50e-6, 4.126874137791122e-07, 2.6961085288856322e-11},
                {100e-6, 5.537318766627148e-07, 2.0093660902446977e-11},
                {150e-6, 6.352626361183312e-07, 1.751480400063012e-11},
                {200e-6, 6.929515813351726e-07, 1.6056678215666593e-11},
                {300e-6, 7.741533400574189e-07, 1.4372476336162205e-11}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double p[ALL];
        const double w0 = 2.0 * pi * 28e9;
        flat_wire(p, 12.5e-6, rows[i].height);
        /* What remains is the bow of a millionth of the height; a conductor of 1e18 S/m adds
         * an internal inductance of 6e-8; the charge is a parabola over a length of its own. */
        check_close(rows[i].inductance, slope(p, w0, "inductance"), 2e-6, "L' %g", rows[i].height);
        check_close(rows[i].capacitance, slope(p, w0, "capacitance"), 2e-5, "C' %g",
                    rows[i].height);
    }
}

/* Two wires: (L + M) / 2 with M' = mu0 / 4pi ln(1 + (D/s)^2), thin wires [Grover1946], D the
 * distance of the image, 2 h but for the charge that the plane draws down. L' C' = mu0 eps0 in air,
 * whatever the number. */
static void test_several_wires(void **unused)
{
    (void)unused;
    double p[ALL];
    const double w0 = 2.0 * pi * 28e9, h = 150e-6, s = 100e-6, r = 12.5e-6;
    flat_wire(p, r, h);
    p[COUNT] = 2.0;
    p[PITCH] = s;
    const double own = mu0 / (2.0 * pi) * acosh(h / r);
    const double image = h + sqrt(h * h - r * r);
    const double mutual = mu0 / (4.0 * pi) * log(1.0 + image * image / (s * s));
    check_close((own + mutual) / 2.0, slope(p, w0, "inductance"), 2e-6, "two wires");
    for (int count = 1; count <= 16; count += 3) {
        for (int returns = 0; returns <= 2; returns++) {
            p[COUNT] = count;
            p[RETURNS] = returns;
            /* The charge shares itself among many wires anew at the ends. */
            check_close(mu0 * eps0, slope(p, w0, "inductance") * slope(p, w0, "capacitance"), 1e-3,
                        "L' C' of %d wires and %d returns", count, returns);
        }
    }
}

/* A real wire: less inductance than the line in two dimensions by the missing ends, and more
 * capacitance. The straight wire of 1 mm at 150 um: 0.582554 nH against 0.635263 nH, external
 * [computed by Rosa's form and the image 2 h away]. */
static void test_ends(void **unused)
{
    (void)unused;
    double p[ALL];
    const double w0 = 2.0 * pi * 28e9;
    flat_wire(p, 12.5e-6, 150e-6);
    p[SPAN] = 1e-3;
    check_close(0.582554e-9, physics_property("bond wires", p, w0, "inductance"), 1e-3, "L");
    const double c = physics_property("bond wires", p, w0, "capacitance");
    assert_true(c > 17.5148e-15 && c < 1.15 * 17.5148e-15);
}

/* Resistance of a 25 um gold wire (4.1e7 S/m) from the exact Bessel-function internal impedance,
 * computed by other code. */
static void test_resistance(void **unused)
{
    (void)unused;
    static const struct {
        double frequency, resistance;
    } rows[] = {{1e9, 138.25480305776514},
                {10e9, 407.8057513837066},
                {30e9, 696.9099439523446},
                {60e9, 980.3147818401468},
                {77e9, 1108.8627290875338}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double p[ALL];
        flat_wire(p, 12.5e-6, 150e-6);
        p[SPAN] = 1e-3;
        p[CONDUCTIVITY] = 4.1e7;
        const double w0 = 2.0 * pi * rows[i].frequency;
        check_close(rows[i].resistance * 1e-3, physics_property("bond wires", p, w0, "resistance"),
                    1e-9, "%g Hz", rows[i].frequency);
        p[COUNT] = 2.0;
        p[PITCH] = 100e-6;
        check_close(rows[i].resistance * 1e-3 / 2.0,
                    physics_property("bond wires", p, w0, "resistance"), 1e-9, "two");
        /* The outer ones of three carry more, in two dimensions 2.025 to 1.463 [computed from the
         * logarithms of the distances], a little less uneven in a wire of finite length. */
        p[COUNT] = 3.0;
        const double shares = (2.0 * 2.025 * 2.025 + 1.463 * 1.463) / pow(2.0 * 2.025 + 1.463, 2);
        check_close(rows[i].resistance * 1e-3 * shares,
                    physics_property("bond wires", p, w0, "resistance"), 5e-3, "three");
        /* A return adds its loss. */
        p[COUNT] = 1.0;
        p[RETURNS] = 2.0;
        const double more = physics_property("bond wires", p, w0, "resistance");
        assert_true(more > rows[i].resistance * 1e-3 && more < 1.5 * rows[i].resistance * 1e-3);
    }
    /* At low frequency the whole section carries the current: 1 / (pi r^2 sigma) [definition]. */
    double p[ALL];
    flat_wire(p, 12.5e-6, 150e-6);
    p[SPAN] = 1e-3;
    p[CONDUCTIVITY] = 4.1e7;
    check_close(1e-3 / (pi * 12.5e-6 * 12.5e-6 * 4.1e7),
                physics_property("bond wires", p, 2.0 * pi * 1e3, "resistance"), 1e-9, "low");
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

static const double arc[ALL] = {2.0, 25e-6, 400e-6, 120e-6, 100e-6, 60e-6, 100e-6, 4.1e7, 3.7, 0.0};

/* Inductance of an arc in two dimensions, place by place, 20 000 steps. */
static double integrated_inductance(const double *p)
{
    const int steps = 20000;
    const double drop = p[LAND] - p[DIE], top = p[LOOP];
    const double b = 2.0 * top + 2.0 * sqrt(top * (top - drop)), c = b - drop;
    double sum = 0.0;
    for (int i = 0; i < steps; i++) {
        const double u = (i + 0.5) / steps;
        const double h = p[DIE] + p[DIAMETER] / 2.0 + b * u - c * u * u;
        const double bend = b - 2.0 * c * u;
        const double own = acosh(2.0 * h / p[DIAMETER]);
        const double mutual = 0.5 * log(1.0 + pow(2.0 * h / p[PITCH], 2.0));
        sum +=
            mu0 / (2.0 * pi) * (own + mutual) / 2.0 * sqrt(p[SPAN] * p[SPAN] + bend * bend) / steps;
    }
    return sum;
}

/* A short arc has 5 to 20 % less than its places in two dimensions, by the ends and the bend; one
 * stretched a hundred times comes within a percent. */
static void test_arc(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, arc, sizeof arc);
    p[CONDUCTIVITY] = 1e13; /* no internal inductance to speak of */
    const double short_ratio =
        physics_property("bond wires", p, 2.0 * pi * 28e9, "inductance") / integrated_inductance(p);
    assert_true(short_ratio > 0.75 && short_ratio < 0.95);
    p[SPAN] *= 100.0;
    check_close(integrated_inductance(p),
                physics_property("bond wires", p, 2.0 * pi * 28e9, "inductance"), 1e-2, "long");
}

/* Loop inductance of a wire between two ground wires falls by 14, 19 and 37 % when loop height,
 * pitch and bond distance are halved [Ndip2015, as ranked in its abstract; his sizes are not
 * known, so within 6 points]. */
static void test_ranking(void **unused)
{
    (void)unused;
    static const struct {
        int parameter;
        double fall;
    } rows[] = {{LOOP, 14.0}, {PITCH, 19.0}, {SPAN, 37.0}};
    const double all[ALL] = {1.0, 25e-6, 500e-6, 150e-6, 100e-6, 100e-6, 150e-6, 4.1e7, 1.0, 2.0};
    const double w0 = 2.0 * pi * 10e9;
    const double whole = physics_property("bond wires", all, w0, "inductance");
    double before = 0.0;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double p[ALL];
        memcpy(p, all, sizeof p);
        p[rows[i].parameter] /= 2.0;
        const double fall =
            100.0 * (1.0 - physics_property("bond wires", p, w0, "inductance") / whole);
        check_near(rows[i].fall, fall, 6.0, "parameter %d", rows[i].parameter);
        assert_true(fall > before);
        before = fall;
    }
}

/* Ranges of the trade: two wires have 0.60 to 0.75 of one for a pitch of 75 to 150 um and heights
 * of 100 to 250 um [computed from the logarithms of the distances; wider by 0.02 for the ends];
 * two ground wires at 60 to 120 um take 10 to 40 % off [common practice, no source]; a wire of
 * 0.4 mm has 0.26 ohm at 28 GHz and 0.39 at 60 GHz [computed]. */
static void test_ranges(void **unused)
{
    (void)unused;
    double p[ALL] = {1.0, 25e-6, 400e-6, 100e-6, 100e-6, 100e-6, 75e-6, 4.1e7, 1.0, 0.0};
    const double w0 = 2.0 * pi * 28e9;
    for (p[PITCH] = 75e-6; p[PITCH] <= 150e-6; p[PITCH] += 25e-6) {
        p[COUNT] = 1.0;
        const double one = physics_property("bond wires", p, w0, "inductance");
        p[COUNT] = 2.0;
        const double two = physics_property("bond wires", p, w0, "inductance") / one;
        assert_true(two > 0.58 && two < 0.77);
        p[COUNT] = 1.0;
        p[RETURNS] = 2.0;
        const double screened = physics_property("bond wires", p, w0, "inductance") / one;
        assert_true(screened > 0.60 && screened < 0.91);
        p[RETURNS] = 1.0;
        const double half = physics_property("bond wires", p, w0, "inductance") / one;
        assert_true(half > screened && half < 1.0);
        p[RETURNS] = 0.0;
    }
    p[LOOP] = 1e-6;
    check_close(0.26, physics_property("bond wires", p, w0, "resistance"), 0.05, "28 GHz");
    check_close(0.39, physics_property("bond wires", p, w0 * 60.0 / 28.0, "resistance"), 0.02,
                "60 GHz");
}

static void test_refusals(void **unused)
{
    (void)unused;
    static const struct {
        int parameter;
        double value;
        const char *word;
    } rows[] = {{PITCH, 0.0, "pitch"},   /* of two wires */
                {PITCH, 25e-6, "pitch"}, /* wires that touch */
                {LAND, 220e-6, "land height"},
                {COUNT, 17.0, "count"},
                {RETURNS, 3.0, "returns"}};
    const fl_physics *physics = (const fl_physics *)sample_kind("bond wires");
    double p[ALL];
    assert_null(physics->refuse(arc));
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        memcpy(p, arc, sizeof arc);
        p[rows[i].parameter] = rows[i].value;
        const char *wrong = physics->refuse(p);
        assert_non_null(wrong);
        assert_non_null(strstr(wrong, rows[i].word));
    }
    memcpy(p, arc, sizeof arc);
    p[COUNT] = 1.0;
    p[PITCH] = 0.0;
    assert_null(physics->refuse(p));
    p[RETURNS] = 1.0;
    assert_non_null(physics->refuse(p));
}

static void test_cautions(void **unused)
{
    (void)unused;
    const fl_physics *physics = (const fl_physics *)sample_kind("bond wires");
    fl_setting setting;
    double p[ALL];
    fl_setting_init(&setting, 28e9, 26e9, 30e9);
    memcpy(p, arc, sizeof arc);
    assert_null(physics->caution(p, &setting));
    p[PITCH] = 45e-6;
    assert_non_null(strstr(physics->caution(p, &setting), "pitch"));
    p[COUNT] = 1.0;
    assert_null(physics->caution(p, &setting));
    p[SPAN] = 100e-6;
    assert_non_null(strstr(physics->caution(p, &setting), "loop height"));
}

/* A small step changes all values by little: no jump between the ways to the integral. */
static void test_smooth(void **unused)
{
    (void)unused;
    const fl_physics *physics = (const fl_physics *)sample_kind("bond wires");
    const fl_setting setting = {.w0 = 2.0 * pi * 28e9};
    fl_error error = {0};
    double p[ALL], values[3][FL_ELEMENTS][FL_VALUES];
    memcpy(p, arc, sizeof arc);
    for (int step = 0; step < 60; step++) {
        p[SPAN] = 300e-6 * pow(1.01, step);
        for (int k = 0; k < 3; k++) {
            p[LOOP] = 0.3 * p[SPAN] * (1.0 + (k - 1) * 1e-5);
            check_ok(physics->solve(values[k], p, &setting, &error), error);
        }
        for (size_t e = 0; e < physics->form_count; e++)
            for (size_t v = 0; v < 3; v++)
                check_near(values[1][e][v], (values[0][e][v] + values[2][e][v]) / 2.0,
                           2e-9 * values[1][e][v], "element %zu value %zu", e, v);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_wire_over_ground),
                                       cmocka_unit_test(test_several_wires),
                                       cmocka_unit_test(test_ends),
                                       cmocka_unit_test(test_resistance),
                                       cmocka_unit_test(test_cover),
                                       cmocka_unit_test(test_arc),
                                       cmocka_unit_test(test_ranking),
                                       cmocka_unit_test(test_ranges),
                                       cmocka_unit_test(test_refusals),
                                       cmocka_unit_test(test_cautions),
                                       cmocka_unit_test(test_smooth)};
    return cmocka_run_group_tests_name("models/wires", tests, NULL, NULL);
}
