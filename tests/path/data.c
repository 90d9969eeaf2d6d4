/* Chain parameters from network data: back to the S-parameters they came from. */
#include "check.h"

#include <complex.h>

#include "sample.h"

#define J ((double complex)I)

static const char three_port[] = FL_SOURCE_DIR "/tests/data/network/three-port.s3p";

static double complex at(const fl_complex_lanes *lanes, size_t i)
{
    return lanes->re[i] + J * lanes->im[i];
}

/* S from the chain parameters between references z1 and z2 [Pozar2011, Table 4.2, extended to
 * unequal references], the other way round than the code goes. */
static void test_round_trip(void **unused)
{
    (void)unused;
    fl_network *network = NULL;
    fl_error error = {0};
    double part[8][3];
    const double frequencies[3] = {15e9, 29.123e9, 45e9};
    fl_twoport m = {{part[0], part[1]}, {part[2], part[3]}, {part[4], part[5]}, {part[6], part[7]}};
    check_ok(fl_network_read(&network, three_port, &error), error);
    for (size_t d = 0; d < 3; d++)
        for (size_t b = 0; b < 3; b++) {
            if (d == b)
                continue;
            const fl_element element = {FL_FORM_DATA, 0, network, d, b};
            check_ok(fl_twoport_data(&m, &element, frequencies, 3, &error), error);
            const double z1 = fl_network_reference(network, d);
            const double z2 = fl_network_reference(network, b);
            for (size_t i = 0; i < 3; i++) {
                const double complex A = at(&m.x, i), B = at(&m.y, i), C = at(&m.z, i);
                const double complex D = at(&m.t, i);
                const double complex q = A * z2 + B + C * z1 * z2 + D * z1;
                const double complex s[2][2] = {
                    {(A * z2 + B - C * z1 * z2 - D * z1) / q,
                     2.0 * (A * D - B * C) * sqrt(z1 * z2) / q},
                    {2.0 * sqrt(z1 * z2) / q, (-A * z2 + B - C * z1 * z2 + D * z1) / q}};
                const size_t port[2] = {d, b};
                for (size_t row = 0; row < 2; row++)
                    for (size_t column = 0; column < 2; column++) {
                        double wanted[2];
                        fl_network_s(network, port[row], port[column], frequencies[i], wanted);
                        check_near(wanted[0], creal(s[row][column]), 1e-13, "%zu-%zu", d, b);
                        check_near(wanted[1], cimag(s[row][column]), 1e-13, "%zu-%zu", d, b);
                    }
            }
        }
    fl_network_free(network);
}

static void test_nothing_through(void **unused)
{
    (void)unused;
    fl_network *network = NULL;
    fl_error error = {0};
    double part[8][1];
    const double frequency = 2e9;
    fl_twoport m = {{part[0], part[1]}, {part[2], part[3]}, {part[4], part[5]}, {part[6], part[7]}};
    const char *file = FL_SCRATCH_DIR "/blocked.s2p";
    FILE *out = fopen(file, "w");
    assert_non_null(out);
    fputs("# GHz S RI R 50\n1 0 0 0 0 0 0 0 0\n2 0 0 0 0 0 0 0 0\n3 0 0 0 0 0 0 0 0\n", out);
    fclose(out);
    check_ok(fl_network_read(&network, file, &error), error);
    const fl_element element = {FL_FORM_DATA, 0, network, 0, 1};
    assert_int_equal(fl_twoport_data(&m, &element, &frequency, 1, &error), FL_BAD_INPUT);
    assert_non_null(strstr(error.message, "2 GHz"));
    fl_network_free(network);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_round_trip),
                                       cmocka_unit_test(test_nothing_through)};
    return cmocka_run_group_tests_name("path/data", tests, NULL, NULL);
}
