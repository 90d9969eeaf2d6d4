/* The response as Touchstone: read back to the last digit, and renormalised by another route. */
#include "check.h"

#include <complex.h>

#include "base/file.h"
#include "reports/reports.h"

typedef double complex number;

static const double pi = 3.141592653589793;

static number make(double re, double im)
{
    return re + im * (number)I;
}

enum { COUNT = 5 };

/** A result of one case over COUNT frequencies, in memory of its own. */
typedef struct sample {
    double frequencies[COUNT];
    double s[4][COUNT][2]; /* s11, s21, s12, s22 */
    double impedance[COUNT][2][2];
    fl_result_case one;
    fl_result result;
} sample;

/** Impedances of the two ports at a frequency. */
typedef void ports(number z[2], double frequency);

static void plain_ports(number z[2], double frequency)
{
    (void)frequency;
    z[0] = 12.3456789012345;
    z[1] = 75.0;
}

static void complex_ports(number z[2], double frequency)
{
    (void)frequency;
    z[0] = make(35.0, -12.0);
    z[1] = 50.0;
}

static void moving_ports(number z[2], double frequency)
{
    z[0] = 1.0 / make(1.0 / 40.0, 2.0 * pi * frequency * 60e-15);
    z[1] = make(60.0, 2.0 * pi * frequency * 0.1e-9);
}

static void real_but_moving_ports(number z[2], double frequency)
{
    z[0] = 50.0;
    z[1] = 50.0 + frequency / 1e9;
}

/** Chain parameters of a transition: shunt 80 fF, series 2 ohm and 0.2 nH, shunt 400 ohm. */
static void chain(number a[2][2], double frequency)
{
    const number y = make(0.0, 2.0 * pi * frequency * 80e-15);
    const number z = make(2.0, 2.0 * pi * frequency * 0.2e-9);
    const number g = 1.0 / 400.0;
    a[0][0] = 1.0 + z * g;
    a[0][1] = z;
    a[1][0] = y + (1.0 + y * z) * g;
    a[1][1] = 1.0 + y * z;
}

/** Power waves of a chain, straight from their definition [Kurokawa1965]; s11, s21, s12, s22. */
static void scatter(number s[4], number a[2][2], const number z[2])
{
    const double root = 2.0 * sqrt(creal(z[0]) * creal(z[1]));
    const number whole = a[0][0] * z[1] + a[0][1] + a[1][0] * z[0] * z[1] + a[1][1] * z[0];
    s[0] = (a[0][0] * z[1] + a[0][1] - a[1][0] * conj(z[0]) * z[1] - a[1][1] * conj(z[0])) / whole;
    s[1] = root / whole;
    s[2] = root * (a[0][0] * a[1][1] - a[0][1] * a[1][0]) / whole;
    s[3] = (-a[0][0] * conj(z[1]) + a[0][1] - a[1][0] * z[0] * conj(z[1]) + a[1][1] * z[0]) / whole;
}

static void make_sample(sample *made, ports *of)
{
    memset(made, 0, sizeof *made);
    for (size_t k = 0; k < COUNT; ++k) {
        const double f = 26.5e9 + 0.75e9 * (double)k + (k == 2 ? 0.123456789 : 0.0);
        number z[2], a[2][2], s[4];
        of(z, f);
        chain(a, f);
        scatter(s, a, z);
        made->frequencies[k] = f;
        for (size_t entry = 0; entry < 4; ++entry) {
            made->s[entry][k][0] = creal(s[entry]);
            made->s[entry][k][1] = cimag(s[entry]);
        }
        for (size_t port = 0; port < 2; ++port) {
            made->impedance[k][port][0] = creal(z[port]);
            made->impedance[k][port][1] = cimag(z[port]);
        }
    }
    made->one = (fl_result_case){
        .name = "moulded",
        .response = {.count = COUNT,
                     .frequencies = made->frequencies,
                     .s11 = made->s[0],
                     .s21 = made->s[1],
                     .s12 = made->s[2],
                     .s22 = made->s[3]},
        .port_impedance = made->impedance,
    };
    made->result = (fl_result){.title = "28 GHz driver", .cases = &made->one, .case_count = 1};
}

static fl_network *read_back(const fl_report *report)
{
    fl_network *network = NULL;
    fl_error error = {0};
    const char *path = FL_SCRATCH_DIR "/transition.s2p";
    check_ok(fl_file_write(path, report->text, report->length, &error), error);
    check_ok(fl_network_read(&network, path, &error), error);
    return network;
}

static const struct {
    const char *name;
    ports *of;
    double reference[2]; /* in the file */
    double tolerance;    /* of an entry: nothing lost where nothing is computed */
} rows[] = {
    {"plain", plain_ports, {12.3456789012345, 75.0}, 0.0},
    {"complex", complex_ports, {50.0, 50.0}, 1e-14},
    {"moving", moving_ports, {50.0, 50.0}, 1e-14},
    {"real but moving", real_but_moving_ports, {50.0, 50.0}, 1e-14},
};

/* What is written reads back as the same network between the references in the file. */
static void round_trip(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        sample made;
        fl_report report = {0};
        fl_error error = {0};
        make_sample(&made, rows[i].of);
        check_ok(fl_report_touchstone(&report, &made.result, 0, &error), error);
        assert_int_equal(report.length, strlen(report.text));
        assert_int_equal(strstr(report.text, "renormalised to 50 ohm") != NULL, i > 0);
        fl_network *network = read_back(&report);
        const number reference[2] = {rows[i].reference[0], rows[i].reference[1]};
        for (size_t port = 0; port < 2; ++port)
            check_near(rows[i].reference[port], fl_network_reference(network, port), 0.0, "%s",
                       rows[i].name);
        for (size_t k = 0; k < COUNT; ++k) {
            number a[2][2], wanted[4];
            chain(a, made.frequencies[k]);
            scatter(wanted, a, reference);
            for (size_t entry = 0; entry < 4; ++entry) {
                double got[2];
                fl_network_s(network, entry % 2, entry / 2, made.frequencies[k], got);
                check_near(creal(wanted[entry]), got[0], rows[i].tolerance, "%s, %zu, %zu",
                           rows[i].name, k, entry);
                check_near(cimag(wanted[entry]), got[1], rows[i].tolerance, "%s, %zu, %zu",
                           rows[i].name, k, entry);
            }
        }
        fl_network_free(network);
        fl_report_free(&report);
    }
}

/* Nothing through at all: there is no chain, but there are S-parameters. */
static void no_through(void **state)
{
    (void)state;
    sample made;
    fl_report report = {0};
    fl_error error = {0};
    double got[2];
    make_sample(&made, complex_ports);
    memset(made.s[1], 0, sizeof made.s[1]);
    memset(made.s[2], 0, sizeof made.s[2]);
    check_ok(fl_report_touchstone(&report, &made.result, 0, &error), error);
    fl_network *network = read_back(&report);
    /* Gamma = (Z - z*) / (Z + z) solved for Z, then Gamma at 50 ohm. */
    const number z = make(35.0, -12.0);
    const number gamma = make(made.s[0][1][0], made.s[0][1][1]);
    const number load = (conj(z) + gamma * z) / (1.0 - gamma);
    const number wanted = (load - 50.0) / (load + 50.0);
    fl_network_s(network, 0, 0, made.frequencies[1], got);
    check_near(creal(wanted), got[0], 1e-14, "real part");
    check_near(cimag(wanted), got[1], 1e-14, "imaginary part");
    fl_network_s(network, 1, 0, made.frequencies[1], got);
    check_near(0.0, hypot(got[0], got[1]), 0.0, "through");
    fl_network_free(network);
    fl_report_free(&report);
}

static void head(void **state)
{
    (void)state;
    static const char wanted[] = "! two?lines ??m\n"
                                 "! case: moulded\n"
                                 "! port 1: die, port 2: board\n"
                                 "[Version] 2.0\n"
                                 "# Hz S RI R 50\n"
                                 "[Number of Ports] 2\n"
                                 "[Two-Port Data Order] 12_21\n"
                                 "[Number of Frequencies] 5\n"
                                 "[Reference] 12.3456789012345 75\n"
                                 "[Network Data]\n"
                                 "26500000000 ";
    sample made;
    fl_report report = {0};
    fl_error error = {0};
    make_sample(&made, plain_ports);
    made.result.title = "two\nlines \xC2\xB5m";
    check_ok(fl_report_touchstone(&report, &made.result, 0, &error), error);
    assert_true(report.length > sizeof wanted);
    report.text[sizeof wanted - 1] = '\0';
    assert_string_equal(report.text, wanted);
    fl_report_free(&report);
    made.result.title = NULL;
    check_ok(fl_report_touchstone(&report, &made.result, 0, &error), error);
    assert_memory_equal(report.text, "! transition\n", 13);
    fl_report_free(&report);
}

static void refused(void **state)
{
    (void)state;
    sample made;
    fl_report report = {0};
    fl_error error = {0};
    make_sample(&made, plain_ports);
    assert_int_equal(fl_report_touchstone(&report, &made.result, 1, &error), FL_BAD_INPUT);
    assert_string_equal(error.message, "case 1 was asked for, the result has 1");
    made.one.response.count = 0;
    assert_int_equal(fl_report_touchstone(&report, &made.result, 0, &error), FL_BAD_INPUT);
    assert_string_equal(error.message, "the result has no response");
    assert_string_equal(error.place, "moulded");
    /* A reflection that is infinite at 50 ohm: the port is -50 ohm. */
    make_sample(&made, complex_ports);
    const number z = make(35.0, -12.0);
    const number gamma = (-50.0 - conj(z)) / (-50.0 + z);
    memset(made.s, 0, sizeof made.s);
    made.s[0][3][0] = creal(gamma);
    made.s[0][3][1] = cimag(gamma);
    const fl_status status = fl_report_touchstone(&report, &made.result, 0, &error);
    if (status == FL_OK) /* rounding may leave it finite */
        fl_report_free(&report);
    else
        assert_int_equal(status, FL_BAD_INPUT);
    made.s[0][3][0] = (double)INFINITY;
    assert_int_equal(fl_report_touchstone(&report, &made.result, 0, &error), FL_BAD_INPUT);
    assert_string_equal(error.message,
                        "the response at 28750000000 Hz has no finite S-parameters at 50 ohm");
    assert_null(report.text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(round_trip),
        cmocka_unit_test(no_through),
        cmocka_unit_test(head),
        cmocka_unit_test(refused),
    };
    return cmocka_run_group_tests_name("reports/touchstone", tests, NULL, NULL);
}
