/* The option line of a Touchstone file; rules of [Touchstone2009]. */
#include "check.h"

#include "models/touchstone.h"

static fl_status read_option(fl_touchstone_reader *reader, fl_touchstone *touchstone,
                             const char *text, fl_error *error)
{
    *touchstone = (fl_touchstone){0};
    *reader = (fl_touchstone_reader){
        .touchstone = touchstone,
        .file = "a.s2p",
        .line = 1,
        .error = error,
        .exponent = 9,
    };
    return fl_touchstone_option(reader, (fl_span){text, text + strlen(text)});
}

/* Defaults: published (reprints of the specification); order of the items: from memory. */
static void options(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int exponent;
        fl_touchstone_kind kind;
        fl_touchstone_format format;
        size_t resistances;
        double first, last;
    } rows[] = {
        {"", 9, FL_TOUCHSTONE_S, FL_FORMAT_MA, 0, 0.0, 0.0},
        {" GHz S MA R 50", 9, FL_TOUCHSTONE_S, FL_FORMAT_MA, 1, 50.0, 50.0},
        {" mhz z ri r 75.5", 6, FL_TOUCHSTONE_Z, FL_FORMAT_RI, 1, 75.5, 75.5},
        {"\tkHz\tY\tdb", 3, FL_TOUCHSTONE_Y, FL_FORMAT_DB, 0, 0.0, 0.0},
        {"HZ", 0, FL_TOUCHSTONE_S, FL_FORMAT_MA, 0, 0.0, 0.0},
        {" R 50 RI S Hz", 0, FL_TOUCHSTONE_S, FL_FORMAT_RI, 1, 50.0, 50.0},
        {" GHz S MA R 0.01 0.01 50.0 75.0", 9, FL_TOUCHSTONE_S, FL_FORMAT_MA, 4, 0.01, 75.0},
        {" GHz H MA", 9, FL_TOUCHSTONE_H, FL_FORMAT_MA, 0, 0.0, 0.0},
        {" g", 9, FL_TOUCHSTONE_G, FL_FORMAT_MA, 0, 0.0, 0.0},
        {" R .5 1e2 db", 9, FL_TOUCHSTONE_S, FL_FORMAT_DB, 2, 0.5, 100.0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        fl_touchstone_reader reader;
        fl_touchstone touchstone;
        fl_error error = {0};
        check_ok(read_option(&reader, &touchstone, rows[i].text, &error), error);
        assert_int_equal(reader.exponent, rows[i].exponent);
        assert_int_equal(touchstone.kind, rows[i].kind);
        assert_int_equal(reader.format, rows[i].format);
        const size_t count = reader.option_reference_count;
        assert_int_equal(count, rows[i].resistances);
        if (count == 0)
            continue;
        check_near(rows[i].first, reader.option_reference[0], 0.0, "%s", rows[i].text);
        check_near(rows[i].last, reader.option_reference[count - 1], 0.0, "%s", rows[i].text);
    }
}

static void refused(void **state)
{
    (void)state;
    static const struct {
        const char *text, *message;
    } rows[] = {
        {" GHx S", "unknown word 'GHx' in the option line; the nearest is 'ghz'"},
        {" volts", "unknown word 'volts' in the option line; a unit (Hz, kHz, MHz, GHz), S, Y, Z, "
                   "H or G, MA, DB "
                   "or RI, or R and a resistance were expected"},
        {" GHz MHz", "'mhz' is one too many in the option line"},
        {" S MA S", "'s' is one too many in the option line"},
        {" R", "a resistance was expected after 'R' in the option line"},
        {" R ohm", "a number was expected, found 'ohm'"},
        {" R 0", "a positive reference resistance was expected, found '0'"},
        {" R -50", "a positive reference resistance was expected, found '-50'"},
        {" R 1e300", "a positive reference resistance was expected, found '1e300'"},
        {" R 1e999", "the number '1e999' is too large"},
        {" R 50 R 50", "'r' is one too many in the option line"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        fl_touchstone_reader reader;
        fl_touchstone touchstone;
        fl_error error = {0};
        assert_int_equal(read_option(&reader, &touchstone, rows[i].text, &error), FL_BAD_INPUT);
        assert_string_equal(error.message, rows[i].message);
        assert_string_equal(error.place, "a.s2p:1");
    }
}

static void later_lines_are_ignored(void **state)
{
    (void)state;
    static const char later[] = "kHz H nonsense";
    fl_touchstone_reader reader;
    fl_touchstone touchstone;
    fl_error error = {0};
    check_ok(read_option(&reader, &touchstone, " MHz Y", &error), error);
    check_ok(fl_touchstone_option(&reader, (fl_span){later, later + sizeof later - 1}), error);
    assert_int_equal(reader.exponent, 6);
    assert_int_equal(touchstone.kind, FL_TOUCHSTONE_Y);
}

static void too_many_resistances(void **state)
{
    (void)state;
    char text[4 + 3 * (FL_TOUCHSTONE_PORTS + 1)] = " R";
    fl_touchstone_reader reader;
    fl_touchstone touchstone;
    fl_error error = {0};
    for (int i = 0; i < FL_TOUCHSTONE_PORTS; ++i)
        strcat(text, " 50");
    check_ok(read_option(&reader, &touchstone, text, &error), error);
    strcat(text, " 5");
    assert_int_equal(read_option(&reader, &touchstone, text, &error), FL_BAD_INPUT);
    assert_string_equal(error.message, "more than 100 resistances in the option line");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(options),
        cmocka_unit_test(refused),
        cmocka_unit_test(later_lines_are_ignored),
        cmocka_unit_test(too_many_resistances),
    };
    return cmocka_run_group_tests_name("models/touchstone_option", tests, NULL, NULL);
}
