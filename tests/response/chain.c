/* Chain matrices of elements: from both sides, and multiplied. */
#include <complex.h>

#include "check.h"

#include "response/chain.h"

static double complex number(fl_complex z)
{
    return z.re + z.im * (double complex)I;
}

static void check_chain(const double complex wanted[4], fl_chain got, const char *what)
{
    const fl_complex parts[4] = {got.a, got.b, got.c, got.d};
    for (int i = 0; i < 4; i++)
        check_near(0.0, cabs(wanted[i] - number(parts[i])), 1e-14, "%s, part %d", what, i);
}

/* One lane. */
static double lane[8];
static fl_twoport twoport = {
    {&lane[0], &lane[1]}, {&lane[2], &lane[3]}, {&lane[4], &lane[5]}, {&lane[6], &lane[7]}};

/* Textbook forms [Pozar2011, Table 4.1]: cosh^2 - sinh^2 = 1 with cosh = 1.25, sinh = 0.75. */
static void test_elements(void **unused)
{
    (void)unused;
    const double x[8] = {1.25, 0.0, 0.75, 0.0, 50.0, 0.02, 0.0, 0.0};
    memcpy(lane, x, sizeof x);
    for (int port = 0; port < FL_PORTS; port++) {
        check_chain((double complex[]){1.0, 1.25, 0.0, 1.0},
                    fl_chain_of(FL_ACT_SERIES, &twoport, port, 0), "series");
        check_chain((double complex[]){1.0, 0.0, 1.25, 1.0},
                    fl_chain_of(FL_ACT_SHUNT, &twoport, port, 0), "shunt");
        check_chain((double complex[]){1.25, 37.5, 0.015, 1.25},
                    fl_chain_of(FL_ACT_LINE, &twoport, port, 0), "line");
    }
}

static fl_chain some_data(void)
{
    const double x[8] = {1.1, 0.3, 20.0, -5.0, 0.01, 0.02, 0.7, 0.4};
    memcpy(lane, x, sizeof x);
    return fl_chain_of(FL_ACT_DATA, &twoport, FL_PORT_DIE, 0);
}

/* A state that goes through data and back, the current turned round both times, is what it was:
 * (V, -I) = turned (V', -I'). */
static void test_data_back(void **unused)
{
    (void)unused;
    const fl_chain m = some_data();
    const fl_chain back = fl_chain_of(FL_ACT_DATA, &twoport, FL_PORT_BOARD, 0);
    const double complex v = 3.0 - 1.0 * (double complex)I, i = 0.2 + 0.1 * (double complex)I;
    const double complex to_v = number(m.a) * v + number(m.b) * i;
    const double complex to_i = number(m.c) * v + number(m.d) * i;
    check_near(0.0, cabs(number(back.a) * to_v - number(back.b) * to_i - v), 1e-14, "voltage");
    check_near(0.0, cabs(number(back.d) * to_i - number(back.c) * to_v - i), 1e-14, "current");
}

/* A series impedance behind an admittance, by hand, and determinants multiply. */
static void test_product(void **unused)
{
    (void)unused;
    const fl_complex one = {1.0, 0.0}, none = {0.0, 0.0}, z = {2.0, 1.0}, y = {0.5, -0.25};
    const fl_chain series = {one, z, none, one}, shunt = {one, none, y, one};
    const double complex zy = number(z) * number(y);
    check_chain((double complex[]){1.0 + zy, number(z), number(y), 1.0},
                fl_chain_after(shunt, series), "shunt first");
    check_chain((double complex[]){1.0, number(z), number(y), 1.0 + zy},
                fl_chain_after(series, shunt), "series first");
    const fl_chain data = some_data(), both = fl_chain_after(data, fl_chain_after(shunt, data));
    const double complex det = number(fl_chain_det(data));
    check_near(0.0, cabs(det * det - number(fl_chain_det(both))), 1e-13, "determinant");
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_elements),
                                       cmocka_unit_test(test_data_back),
                                       cmocka_unit_test(test_product)};
    return cmocka_run_group_tests_name("response/chain", tests, NULL, NULL);
}
