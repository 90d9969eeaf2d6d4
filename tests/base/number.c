/* Numbers to and from text: bit for bit, and the fewest digits. */
#include "check.h"

#include <float.h>
#include <stdbool.h>
#include <stdlib.h>

#include "base/decimal.h"
#include "base/text.h"

/* Any double from a counter; every exponent is equally likely. */
static double any_double(uint64_t counter)
{
    uint64_t bits = counter * 0x9E3779B97F4A7C15U;
    bits = (bits ^ (bits >> 30)) * 0xBF58476D1CE4E5B9U;
    bits = (bits ^ (bits >> 27)) * 0x94D049BB133111EBU;
    bits ^= bits >> 31;
    double value;
    memcpy(&value, &bits, sizeof value);
    return value;
}

static bool same_bits(double a, double b)
{
    return memcmp(&a, &b, sizeof a) == 0;
}

static void test_read(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int exponent;
        double wanted; /* rounded by the compiler */
        size_t used;
    } rows[] = {
        {"62", -15, 62e-15, 2},
        {"0.42", -9, 0.42e-9, 4},
        {"1.2", 3, 1200.0, 3},
        {"4", -2, 0.04, 1},
        {"33.3", -6, 33.3e-6, 4},
        {"-12.5e-3 ohm", 0, -0.0125, 8},
        {"+1E+2", 0, 100.0, 5},
        {"0", 0, 0.0, 1},
        {"-0", 0, -0.0, 2},
        {"0.000", 5, 0.0, 5},
        {"0e999999999999999999999", 0, 0.0, 23},
        {"01", 0, 0.0, 1},
        {"1.", 0, 1.0, 1},
        {"1.e5", 0, 1.0, 1},
        {"1e", 0, 1.0, 1},
        {"1e+", 0, 1.0, 1},
        {"1 eV", 0, 1.0, 1},
        {"1..5", 0, 1.0, 1},
        {"0x10", 0, 0.0, 1},
        {"1e308", 1, HUGE_VAL, 5},
        {"-1e999", 0, -HUGE_VAL, 6},
        {"1e99999999999999999999999", 0, HUGE_VAL, 25},
        {"1e-99999999999999999999999", 0, 0.0, 26},
        {"1e-400", 300, 1e-100, 6},
        {"1797693134862315700000000", 284, DBL_MAX, 25},
        /* ties go to the even neighbour; the last digit decides */
        {"9007199254740993", 0, 9007199254740992.0, 16},
        {"9007199254740995", 0, 9007199254740996.0, 16},
        {"9007199254740993.0000000000000000000001", 0, 9007199254740994.0, 39},
        /* beside the smallest normal double */
        {"2.2250738585072011e-308", 0, 2.2250738585072011e-308, 23},
        {"2.2250738585072012", -308, 2.2250738585072014e-308, 18},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double got = 7.0;
        const char *end = fl_number_read(&got, rows[i].text, rows[i].exponent);
        assert_non_null(end);
        if (!same_bits(rows[i].wanted, got))
            fail_msg("'%s' e%d: wanted %a, got %a", rows[i].text, rows[i].exponent, rows[i].wanted,
                     got);
        check_near((double)rows[i].used, (double)(end - rows[i].text), 0.0, "'%s'", rows[i].text);
    }
}

static void test_read_nothing(void **state)
{
    (void)state;
    static const char *const rows[] = {"",    "-",   "+",   ".5",  "e5",        "abc", " 1",
                                       "--1", "+-1", "NaN", "inf", "-Infinity", "µ"};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double value = 7.0;
        if (fl_number_read(&value, rows[i], 0) != NULL)
            fail_msg("'%s' read as a number, %g", rows[i], value);
        check_near(7.0, value, 0.0, "'%s': value unchanged", rows[i]);
    }
}

/* The mean of two numbers written with as many digits, "0.25" and "0.75", to a digit more. */
static void write_mean(char *mean, const char *a, const char *b)
{
    size_t length = strlen(a);
    int sum[1200], carry = 0, rest = 0;
    for (size_t i = length; i-- > 0;) {
        if (a[i] == '.')
            continue;
        sum[i] = a[i] - '0' + b[i] - '0' + carry;
        carry = sum[i] / 10;
        sum[i] %= 10;
    }
    for (size_t i = 0; i < length; i++) {
        if (a[i] == '.') {
            mean[i] = '.';
            continue;
        }
        mean[i] = (char)('0' + (sum[i] + 10 * rest) / 2);
        rest = sum[i] % 2;
    }
    memcpy(mean + length, rest ? "5" : "0", 2);
}

/* The middle between two doubles has up to 767 digits; a one behind it must still count. */
static void test_read_long_middle(void **state)
{
    (void)state;
    static const double lower[] = {0.0, 0x1p-1074, 0x1.fffffffffffffp-1022, 1.0};
    for (size_t i = 0; i < sizeof lower / sizeof lower[0]; i++) {
        double upper = nextafter(lower[i], HUGE_VAL);
        char low[1200], high[1200], text[1200];
        snprintf(low, sizeof low, "%.1080f", lower[i]); /* exact */
        snprintf(high, sizeof high, "%.1080f", upper);
        write_mean(text, low, high);
        double even = fmod(ldexp(lower[i], 1074), 2.0) == 0.0 ? lower[i] : upper;
        if (lower[i] >= 0x1p-1022)
            even = i == 3 ? lower[i] : upper;
        double got = 7.0;
        assert_non_null(fl_number_read(&got, text, 0));
        check_near(even, got, 0.0, "middle above %a", lower[i]);
        memcpy(text + strlen(text), "00001", 6);
        assert_non_null(fl_number_read(&got, text, 0));
        check_near(upper, got, 0.0, "just above the middle above %a", lower[i]);
    }
}

static void test_read_huge_texts(void **state)
{
    (void)state;
    enum { ZEROS = 1000000 };
    char *text = malloc(ZEROS + 40);
    assert_non_null(text);
    double got = 0.0;
    text[0] = '1';
    memset(text + 1, '0', ZEROS);
    snprintf(text + 1 + ZEROS, 30, "e-%d", ZEROS);
    assert_non_null(fl_number_read(&got, text, 0));
    check_near(1.0, got, 0.0, "one and a million zeros");
    memcpy(text, "0.", 2);
    snprintf(text + 1 + ZEROS, 30, "7e%d", ZEROS);
    assert_non_null(fl_number_read(&got, text, 0));
    check_near(7.0, got, 0.0, "a million zeros behind the point");
    free(text);
}

static void test_text(void **state)
{
    (void)state;
    static const struct {
        double value;
        const char *wanted; /* by hand; powers of two: the fewest digits within half a step */
    } rows[] = {
        {0.0, "0"},
        {-0.0, "-0"},
        {1.0, "1"},
        {-2.5, "-2.5"},
        {62e-15, "6.2e-14"},
        {0.1, "0.1"},
        {0.0625, "0.0625"},
        {1e-5, "0.00001"},
        {9.5e-6, "9.5e-6"},
        {28e9, "28000000000"},
        {1e14, "100000000000000"},
        {1e15, "1e15"},
        {123456.75, "123456.75"},
        {0x1p-44, "5.684341886080802e-14"},
        {0x1p53, "9.007199254740992e15"},
        {0x1p-1074, "5e-324"},
        {1e23, "1e23"},
        {DBL_MAX, "1.7976931348623157e308"},
        {DBL_MIN, "2.2250738585072014e-308"},
        {0.30000000000000004, "0.30000000000000004"},
        {HUGE_VAL, "null"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[FL_NUMBER_ROOM];
        fl_number_text(text, rows[i].value);
        assert_string_equal(rows[i].wanted, text);
    }
}

/* True if some decimal of so many digits, below or above the value, reads back the same. */
static bool shorter_exists(double value, int digits)
{
    char text[64];
    snprintf(text, sizeof text, "%.*e", digits - 1, value);
    if (same_bits(strtod(text, NULL), value))
        return true;
    char unit[64]; /* one step of the last digit */
    snprintf(unit, sizeof unit, "1%s", strchr(text, 'e'));
    double step = strtod(unit, NULL) * pow(10.0, 1 - digits);
    for (int side = -1; side <= 1; side += 2) {
        snprintf(text, sizeof text, "%.*e", digits - 1, value + side * step);
        if (same_bits(strtod(text, NULL), value))
            return true;
    }
    return false;
}

static void check_round_trip(double value)
{
    char text[FL_NUMBER_ROOM];
    fl_number_text(text, value);
    double by_host = strtod(text, NULL); /* C locale here: another route */
    double by_us = 0.0;
    const char *end = fl_number_read(&by_us, text, 0);
    if (end == NULL || *end != '\0' || !same_bits(value, by_host) || !same_bits(value, by_us))
        fail_msg("%a became '%s', read back as %a and %a", value, text, by_host, by_us);
    fl_decimal decimal = fl_decimal_shortest(value);
    int digits = (int)strlen(decimal.digits);
    if (digits > 1 && shorter_exists(value, digits - 1))
        fail_msg("%a became '%s', but fewer digits do", value, text);
}

static void test_round_trip(void **state)
{
    (void)state;
    for (uint64_t i = 0; i < 30000; i++) {
        double value = any_double(i);
        if (isfinite(value) && value != 0.0)
            check_round_trip(value);
    }
    for (int exponent = -1074; exponent < 1024; exponent++) {
        double power = ldexp(1.0, exponent);
        check_round_trip(power);
        check_round_trip(nextafter(power, 0.0) != 0.0 ? nextafter(power, 0.0) : power);
        check_round_trip(nextafter(power, HUGE_VAL) <= DBL_MAX ? nextafter(power, HUGE_VAL) : 1.0);
    }
}

/* Shifting the point in the text is the same as scaling the text's exponent. */
static void test_exponent(void **state)
{
    (void)state;
    for (uint64_t i = 0; i < 5000; i++) {
        char plain[FL_NUMBER_ROOM], scaled[64];
        double value =
            ldexp(any_double(i) < 0.0 ? -1.0 : 1.0, (int)(i % 60) - 30) * (double)(i + 1);
        int exponent = (int)(i % 37) - 18;
        fl_number_text(plain, value);
        if (strchr(plain, 'e') != NULL)
            continue;
        snprintf(scaled, sizeof scaled, "%se%d", plain, exponent);
        double got = 0.0;
        assert_non_null(fl_number_read(&got, plain, exponent));
        if (!same_bits(strtod(scaled, NULL), got))
            fail_msg("'%s' with exponent %d: got %a", plain, exponent, got);
    }
}

static void test_round(void **state)
{
    (void)state;
    static const struct {
        double value;
        int digits;
        const char *wanted;
        int exponent;
    } rows[] = {{62e-15, 3, "62", -14}, {999.96, 4, "1", 3}, {0.5, 1, "5", -1},
                {-12345.0, 2, "12", 4}, {0.0, 5, "0", 0},    {0.1, 17, "10000000000000001", -1},
                {2.5, 1, "2", 0} /* an exact tie goes to the even digit */};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_decimal got = fl_decimal_round(rows[i].value, rows[i].digits);
        assert_string_equal(rows[i].wanted, got.digits);
        assert_int_equal(rows[i].exponent, got.exponent);
        assert_int_equal(rows[i].value < 0.0, got.negative);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_read),
        cmocka_unit_test(test_read_nothing),
        cmocka_unit_test(test_read_long_middle),
        cmocka_unit_test(test_read_huge_texts),
        cmocka_unit_test(test_text),
        cmocka_unit_test(test_round_trip),
        cmocka_unit_test(test_exponent),
        cmocka_unit_test(test_round),
    };
    return cmocka_run_group_tests_name("base/number", tests, NULL, NULL);
}
