/* The march against nodal analysis, worked examples and identities. */
#include "check.h"

#include "nodal.h"
#include "random.h"

static double asked_power(const fl_requirement *asked, double complex scatter[2][2])
{
    const double complex s = asked->asked != FL_RETURN_LOSS ? scatter[1][0]
                             : asked->port == FL_PORT_BOARD ? scatter[1][1]
                                                            : scatter[0][0];
    return creal(s * conj(s));
}

/* Route two: nodal admittances by GSL's complex LU. Both routes are exact; what is left is
 * rounding, which the stubs near their poles enlarge. */
static void test_power_is_nodal(void **unused)
{
    (void)unused;
    uint64_t state = 1;
    for (int trial = 0; trial < 300; trial++) {
        sample s;
        bench b;
        random_sample(&s, &state);
        bench_open(&b, &s);
        assert_true(fl_margins_power(b.margins, b.work, s.values, b.power));
        for (size_t r = 0; r < b.run_count; r++)
            for (size_t i = 0; i < b.runs[r].count; i++) {
                double complex scatter[2][2];
                nodal_sample(&s, b.runs[r].frequencies[i], scatter);
                check_near(asked_power(&s.design.requirements[b.runs[r].requirement], scatter),
                           b.power[b.runs[r].first + i], 1e-10, "trial %d run %zu lane %zu", trial,
                           r, i);
            }
        bench_close(&b);
    }
}

/* Published and computed two-ports, one frequency each: the powers of the three waves. */
static double single(sample *s, fl_asked asked, int port, double frequency)
{
    bench b;
    s->band = (fl_band){frequency * 0.5, frequency * 1.5}; /* 11 points: the sixth is the middle */
    s->design.requirement_count = 0;
    sample_require(s, asked, port, true, 0.0);
    bench_open(&b, s);
    assert_true(fl_margins_power(b.margins, b.work, s->values, b.power));
    const double power = b.power[5];
    bench_close(&b);
    return power;
}

/* Kurokawa 1965: the reflection of a load at a complex source. The path is empty but for a line of
 * no length; values computed from s = (ZL - Zs*) / (ZL + Zs). */
static void test_power_waves(void **unused)
{
    (void)unused;
    static const struct {
        double load[2], source[2], magnitude;
    } rows[] = {{{100.0, 50.0}, {50.0, 25.0}, 0.5374838498865699},
                {{20.0, -30.0}, {50.0, 0.0}, 0.5570860145311556},
                {{75.0, 10.0}, {30.0, -40.0}, 0.4952605565436486},
                {{30.0, 40.0}, {30.0, -40.0}, 0.0}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        sample s;
        sample_init(&s, 20e9, 40e9);
        sample_add(&s, "series resistor");
        sample_set(&s, "resistance", 0.0);
        s.design.ports[FL_PORT_DIE].resistance = rows[i].load[0];
        s.design.ports[FL_PORT_DIE].reactance = rows[i].load[1];
        s.design.ports[FL_PORT_BOARD].resistance = rows[i].source[0];
        s.design.ports[FL_PORT_BOARD].reactance = rows[i].source[1];
        const double reflected = single(&s, FL_RETURN_LOSS, FL_PORT_BOARD, 30e9);
        check_near(rows[i].magnitude, sqrt(reflected), 1e-12, "row %zu", i);
        /* What is not reflected is delivered. */
        check_near(1.0 - reflected, single(&s, FL_INSERTION_LOSS, 0, 30e9), 1e-12, "row %zu", i);
    }
}

/* Stepped impedance low-pass filter, Pozar, Microwave Engineering, example 8.6: six lines of 20 and
 * 120 ohm; insertion losses computed from the cascade of ideal lines. */
static void test_stepped_impedance(void **unused)
{
    (void)unused;
    static const double degrees[] = {11.848767203305423, 33.75676342979101, 44.27817840771002,
                                     46.123102508031266, 32.40649289259936, 12.342465836776482};
    static const struct {
        double frequency, loss_db;
    } rows[] = {
        {1e9, 0.00030573429109342426}, {2.5e9, 3.8171476023195168}, {4e9, 20.983713163802502}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        sample s;
        sample_init(&s, 1e9, 4e9);
        for (size_t k = 0; k < 6; k++) {
            sample_add(&s, "line");
            sample_set(&s, "impedance", k % 2 == 0 ? 20.0 : 120.0);
            sample_set(&s, "length", degrees[k] / 360.0 * 299792458.0 / 2.5e9);
            sample_set(&s, "permittivity", 1.0);
        }
        check_near(rows[i].loss_db,
                   fl_loss_db(single(&s, FL_INSERTION_LOSS, FL_PORT_BOARD, rows[i].frequency)),
                   1e-6, "%g Hz", rows[i].frequency);
    }
}

/* Shunt stub match of 60 - j80 ohm to 50 ohm, Pozar example 5.2, with the exact lengths; printed:
 * 0.110 and 0.260 wavelengths to the stub, 0.095 and 0.405 shorted. The load at 2 GHz. */
static void test_shunt_stub_match(void **unused)
{
    (void)unused;
    static const double rows[][2] = {{0.11042321863830025, 0.0949746216358915},
                                     {0.2594445306228258, 0.4050253783641085}};
    for (size_t i = 0; i < 2; i++) {
        sample s;
        const double wavelength = 299792458.0 / 2e9;
        sample_init(&s, 1e9, 3e9);
        sample_add(&s, "line");
        sample_set(&s, "impedance", 50.0);
        sample_set(&s, "length", rows[i][0] * wavelength);
        sample_set(&s, "permittivity", 1.0);
        sample_add(&s, "shorted stub");
        sample_set(&s, "impedance", 50.0);
        sample_set(&s, "length", rows[i][1] * wavelength);
        sample_set(&s, "permittivity", 1.0);
        s.design.ports[FL_PORT_DIE].resistance = 60.0;
        s.design.ports[FL_PORT_DIE].reactance = -80.0;
        check_near(0.0, sqrt(single(&s, FL_RETURN_LOSS, FL_PORT_BOARD, 2e9)), 1e-9, "solution %zu",
                   i);
    }
}

/* Series inductance between 50 ohm: |S11| = X / sqrt(X^2 + 4 Z0^2); 0.2 nH at 30 GHz. */
static void test_bare_inductor(void **unused)
{
    (void)unused;
    sample s;
    sample_init(&s, 20e9, 40e9);
    sample_add(&s, "series inductor");
    sample_set(&s, "inductance", 0.2e-9);
    const double power = single(&s, FL_RETURN_LOSS, FL_PORT_DIE, 30e9);
    check_near(0.3527563, sqrt(power), 5e-8, "reflection");
    check_near(9.0505, fl_loss_db(power), 5e-5, "return loss");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_power_is_nodal), cmocka_unit_test(test_power_waves),
        cmocka_unit_test(test_stepped_impedance), cmocka_unit_test(test_shunt_stub_match),
        cmocka_unit_test(test_bare_inductor)};
    return cmocka_run_group_tests_name("response/march", tests, NULL, NULL);
}
