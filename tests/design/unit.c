/* Numbers with units: what is read, what is refused, and back bit for bit. */
#include "check.h"

#include <stdbool.h>
#include <stdlib.h>

#include "design/design.h"

static bool same_bits(double a, double b)
{
    return memcmp(&a, &b, sizeof a) == 0;
}

static void test_read(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        fl_dimension dimension;
        double wanted; /* SI by definition, rounded once by the compiler */
    } rows[] = {
        {"62 fF", FL_CAPACITANCE, 62e-15},
        {"62fF", FL_CAPACITANCE, 62e-15},
        {"62   fF", FL_CAPACITANCE, 62e-15},
        {"0.42 nH", FL_INDUCTANCE, 0.42e-9},
        {"420 pH", FL_INDUCTANCE, 420e-12},
        {"25 um", FL_LENGTH, 25e-6},
        {"25 \xC2\xB5m", FL_LENGTH, 25e-6},
        {"25\xCE\xBCm", FL_LENGTH, 25e-6},
        {"1.1 mm", FL_LENGTH, 1.1e-3},
        {"2 m", FL_LENGTH, 2.0},
        {"1 cm", FL_LENGTH, 0.01},
        {"700 nm", FL_LENGTH, 700e-9},
        {"28 GHz", FL_FREQUENCY, 28e9},
        {"0.11 THz", FL_FREQUENCY, 0.11e12},
        {"3 Hz", FL_FREQUENCY, 3.0},
        {"50 ohm", FL_RESISTANCE, 50.0},
        {"50 \xCE\xA9", FL_RESISTANCE, 50.0},
        {"50\xE2\x84\xA6", FL_RESISTANCE, 50.0},
        {"1 kohm", FL_RESISTANCE, 1000.0},
        {"1.5 M\xCE\xA9", FL_RESISTANCE, 1.5e6},
        {"3 mohm", FL_RESISTANCE, 3e-3},
        {"-12 ohm", FL_RESISTANCE, -12.0},
        {"15 dB", FL_DECIBEL, 15.0},
        {"4 %", FL_PERCENT, 0.04},
        {"0.7%", FL_PERCENT, 0.007},
        {"1.2 dB/mm", FL_LOSS, 1200.0},
        {"1.2 dB/cm", FL_LOSS, 120.0},
        {"1.2 dB/m", FL_LOSS, 1.2},
        {"41 MS/m", FL_CONDUCTIVITY, 41e6},
        {"4.1e7 S/m", FL_CONDUCTIVITY, 4.1e7},
        {"3.9", FL_NUMBER, 3.9},
        {"30 deg", FL_ANGLE, 30.0},
        {"+1E1 pF", FL_CAPACITANCE, 10e-12},
        {"1e-400 F", FL_CAPACITANCE, 0.0},
        {"1e310 fF", FL_CAPACITANCE, 1e295},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_error error;
        double got = 0.5;
        check_ok(fl_unit_read(&got, rows[i].text, rows[i].dimension, &error), error);
        if (!same_bits(rows[i].wanted, got))
            fail_msg("'%s': wanted %.17g, got %.17g", rows[i].text, rows[i].wanted, got);
        fl_dimension dimension;
        assert_true(fl_unit_dimension(&dimension, rows[i].text));
        assert_int_equal(rows[i].dimension, dimension);
    }
}

static void test_refuse(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        fl_dimension dimension;
        const char *message;
    } rows[] = {
        {"62 fH", FL_CAPACITANCE, "expected a capacitance such as '62 fF', found '62 fH'"},
        {"62", FL_CAPACITANCE, "expected a capacitance such as '62 fF', found '62'"},
        {"", FL_CAPACITANCE, "expected a capacitance such as '62 fF', found ''"},
        {"fF", FL_CAPACITANCE, "expected a capacitance such as '62 fF', found 'fF'"},
        {"62 f", FL_CAPACITANCE, "expected a capacitance such as '62 fF', found '62 f'"},
        {"62 ff", FL_CAPACITANCE, "expected a capacitance such as '62 fF', found '62 ff'"},
        {"62 fFx", FL_CAPACITANCE, "expected a capacitance such as '62 fF', found '62 fFx'"},
        {"62 fF ", FL_CAPACITANCE, "expected a capacitance such as '62 fF', found '62 fF '"},
        {" 62 fF", FL_CAPACITANCE, "expected a capacitance such as '62 fF', found ' 62 fF'"},
        {"62\tfF", FL_CAPACITANCE, "expected a capacitance such as '62 fF', found '62?fF'"},
        {"6 2 fF", FL_CAPACITANCE, "expected a capacitance such as '62 fF', found '6 2 fF'"},
        {"6,2 fF", FL_CAPACITANCE, "expected a capacitance such as '62 fF', found '6,2 fF'"},
        {"NaN fF", FL_CAPACITANCE, "expected a capacitance such as '62 fF', found 'NaN fF'"},
        {"1e400 F", FL_CAPACITANCE,
         "expected a capacitance such as '62 fF', found a number too large, '1e400 F'"},
        {"1 uu", FL_LENGTH, "expected a length such as '25 um', found '1 uu'"},
        {"1 \xC2m", FL_LENGTH, "expected a length such as '25 um', found '1 ?m'"},
        {"1 mil", FL_LENGTH, "expected a length such as '25 um', found '1 mil'"},
        {"5 nH", FL_RESISTANCE, "expected a resistance such as '50 ohm', found '5 nH'"},
        {"5 Ohm", FL_RESISTANCE, "expected a resistance such as '50 ohm', found '5 Ohm'"},
        {"5 \xA9", FL_RESISTANCE, "expected a resistance such as '50 ohm', found '5 ?'"},
        {"5 m", FL_INDUCTANCE, "expected an inductance such as '0.42 nH', found '5 m'"},
        {"5 KHz", FL_FREQUENCY, "expected a frequency such as '28 GHz', found '5 KHz'"},
        {"5 cHz", FL_FREQUENCY, "expected a frequency such as '28 GHz', found '5 cHz'"},
        {"5 mdB", FL_DECIBEL, "expected a number of decibel such as '15 dB', found '5 mdB'"},
        {"5 m%", FL_PERCENT, "expected a percentage such as '4 %', found '5 m%'"},
        {"5 dB", FL_LOSS, "expected a loss per length such as '1.2 dB/mm', found '5 dB'"},
        {"5 dB/", FL_LOSS, "expected a loss per length such as '1.2 dB/mm', found '5 dB/'"},
        {"5 S", FL_CONDUCTIVITY, "expected a conductivity such as '41 MS/m', found '5 S'"},
        {"5 k", FL_NUMBER, "expected a bare number such as '3.9', found '5 k'"},
        {"5 rad", FL_ANGLE, "expected an angle such as '30 deg', found '5 rad'"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_error error;
        double got = 0.5;
        assert_int_equal(FL_BAD_INPUT, fl_unit_read(&got, rows[i].text, rows[i].dimension, &error));
        assert_string_equal(rows[i].message, error.message);
        assert_string_equal("", error.place);
        check_near(0.5, got, 0.0, "'%s': value unchanged", rows[i].text);
        assert_int_equal(FL_BAD_INPUT, fl_unit_read(&got, rows[i].text, rows[i].dimension, NULL));
    }
}

static void test_no_dimension(void **state)
{
    (void)state;
    static const char *const rows[] = {"", "x", "5 x", "5 k", "@gap", "Hz", "5 Hz/m", "5 dB/", "%"};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_dimension dimension = FL_LOSS;
        if (fl_unit_dimension(&dimension, rows[i]))
            fail_msg("'%s' has dimension %d", rows[i], (int)dimension);
        assert_int_equal(FL_LOSS, dimension);
    }
}

static void test_text(void **state)
{
    (void)state;
    static const struct {
        double value;
        fl_dimension dimension;
        int digits;
        const char *wanted; /* by hand */
    } rows[] = {
        {62e-15, FL_CAPACITANCE, 0, "62 fF"},
        {62e-15, FL_CAPACITANCE, 4, "62 fF"},
        {1.5e-13, FL_CAPACITANCE, 3, "150 fF"},
        {0.42e-9, FL_INDUCTANCE, 0, "420 pH"},
        {1.0 / 3.0 * 1e-9, FL_INDUCTANCE, 4, "333.3 pH"},
        {250e-6, FL_LENGTH, 0, "250 um"},
        {999.96e-6, FL_LENGTH, 4, "1 mm"},
        {999.94e-6, FL_LENGTH, 4, "999.9 um"},
        {28e9, FL_FREQUENCY, 0, "28 GHz"},
        {26.5e9, FL_FREQUENCY, 0, "26.5 GHz"},
        {50.0, FL_RESISTANCE, 0, "50 ohm"},
        {-12.0, FL_RESISTANCE, 3, "-12 ohm"},
        {1000.0, FL_RESISTANCE, 3, "1 kohm"},
        {0.0, FL_RESISTANCE, 3, "0 ohm"},
        {-0.0, FL_RESISTANCE, 3, "0 ohm"},
        {-0.0, FL_RESISTANCE, 0, "-0 ohm"},
        {15.0, FL_DECIBEL, 0, "15 dB"},
        {18.4213, FL_DECIBEL, 4, "18.42 dB"},
        {0.04, FL_PERCENT, 0, "4 %"},
        {0.005, FL_PERCENT, 0, "0.5 %"},
        {1200.0, FL_LOSS, 0, "1.2 dB/mm"},
        {120.0, FL_LOSS, 0, "120 dB/m"},
        {41e6, FL_CONDUCTIVITY, 0, "41 MS/m"},
        {3.9, FL_NUMBER, 0, "3.9"},
        {90.0, FL_ANGLE, 0, "90 deg"},
        {1e-18, FL_CAPACITANCE, 0, "0.001 fF"},
        {1e-25, FL_CAPACITANCE, 0, "1e-10 fF"},
        {1e20, FL_RESISTANCE, 0, "100000000 Tohm"},
        {0.1, FL_NUMBER, 99, "0.10000000000000001"},
        {HUGE_VAL, FL_LENGTH, 0, "-"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[FL_UNIT_ROOM];
        fl_unit_text(text, rows[i].value, rows[i].dimension, rows[i].digits);
        assert_string_equal(rows[i].wanted, text);
    }
}

/* Values of every exponent in every dimension come back bit for bit, as texts of a few digits
 * and as texts of many. */
static void test_round_trip(void **state)
{
    (void)state;
    uint64_t random = 12345;
    for (int i = 0; i < 40000; i++) {
        random = random * 6364136223846793005U + 1442695040888963407U;
        double share = (double)(random >> 11) * 0x1p-53;
        double value = i % 3 == 0 ? floor(share * 1000.0) / 8.0 : share;
        value = ldexp(i % 2 == 0 ? value : -value,
                      i % 2000 < 200 ? i % 2000 * 10 - 1070 : i % 100 - 60);
        for (int d = 0; d <= FL_ANGLE; d++) {
            if (i % (FL_ANGLE + 1) != d)
                continue;
            char text[FL_UNIT_ROOM];
            double got = 0.5;
            fl_error error;
            fl_unit_text(text, value, (fl_dimension)d, 0);
            check_ok(fl_unit_read(&got, text, (fl_dimension)d, &error), error);
            if (!same_bits(value, got))
                fail_msg("%a became '%s', read back as %a", value, text, got);
        }
    }
}

static void test_long_text(void **state)
{
    (void)state;
    fl_error error;
    double got = 0.5;
    char *text = malloc(1000001);
    assert_non_null(text);
    memset(text, '9', 1000000);
    text[1000000] = '\0';
    assert_int_equal(FL_BAD_INPUT, fl_unit_read(&got, text, FL_NUMBER, &error));
    assert_true(strlen(error.message) < sizeof error.message);
    assert_int_equal(FL_BAD_INPUT, fl_unit_read(&got, text, FL_LENGTH, &error));
    free(text);
}

static void test_names(void **state)
{
    (void)state;
    static const char *const wanted[] = {"",   "Hz", "ohm",  "F",   "H",  "m",
                                         "dB", "%",  "dB/m", "S/m", "deg"};
    for (int d = 0; d <= FL_ANGLE; d++)
        assert_string_equal(wanted[d], fl_unit_name((fl_dimension)d));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_read),         cmocka_unit_test(test_refuse),
        cmocka_unit_test(test_no_dimension), cmocka_unit_test(test_text),
        cmocka_unit_test(test_round_trip),   cmocka_unit_test(test_long_text),
        cmocka_unit_test(test_names),
    };
    return cmocka_run_group_tests_name("design/unit", tests, NULL, NULL);
}
