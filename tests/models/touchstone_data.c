/* The data of a Touchstone file; rules of [Touchstone2002] and [Touchstone2009]. */
#include "check.h"

#include "models/touchstone.h"

static fl_status parse(fl_touchstone *touchstone, const char *text, const char *name,
                       fl_error *error)
{
    return fl_touchstone_parse(touchstone, text, strlen(text), name, error);
}

/* One port, the same pair at two frequencies: the pair as real and imaginary part. */
static void formats(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        double wanted[2], tolerance; /* relative */
        const char *source;
    } rows[] = {
        {"# GHz S MA R 50\n1 0.6 161.24\n2 0.6 161.24",
         {-0.5681244079815996, 0.1929628385351877},
         1e-12,
         "[Touchstone2009], computed"},
        {"# GHz S DB R 50\n1 -20 -45\n2 -20 -45",
         {0.07071067811865477, -0.07071067811865475},
         1e-12,
         "[Touchstone2009], computed"},
        {"# RI\n1 -0.25 0.5\n2 -0.25 0.5", {-0.25, 0.5}, 0.0, "identity"},
        {"#\n1 1 60\n2 1 60", {0.5, 0.8660254037844386}, 1e-15, "defaults: GHz S MA"},
        {"#\n1 1 36000060\n2 1 -300", {0.5, 0.8660254037844386}, 1e-9, "whole turns"},
        {"# DB\n1 20 0\n2 20 0", {10.0, 0.0}, 1e-15, "identity"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        fl_touchstone touchstone = {0};
        fl_error error = {0};
        check_ok(parse(&touchstone, rows[i].text, "a.s1p", &error), error);
        check_near(1e9, touchstone.frequencies[0], 0.0, "frequency");
        for (size_t k = 0; k < 2; ++k)
            for (size_t part = 0; part < 2; ++part)
                check_close(rows[i].wanted[part], touchstone.matrices[k][part], rows[i].tolerance,
                            "%s, %s", rows[i].text, rows[i].source);
        fl_touchstone_release(&touchstone);
    }
}

static void units(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        double wanted; /* Hz, exactly */
    } rows[] = {
        {"# Hz\n26500000000 0 0\n3e10 0 0", 26.5e9},
        {"# kHz\n26500000 0 0\n3e7 0 0", 26.5e9},
        {"# MHz\n26500 0 0\n3e4 0 0", 26.5e9},
        {"#\n26.5 0 0\n30 0 0", 26.5e9},
        {"#\n0 0 0\n30 0 0", 0.0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        fl_touchstone touchstone = {0};
        fl_error error = {0};
        check_ok(parse(&touchstone, rows[i].text, "a.s1p", &error), error);
        check_near(rows[i].wanted, touchstone.frequencies[0], 0.0, "%s", rows[i].text);
        check_near(30e9, touchstone.frequencies[1], 0.0, "%s", rows[i].text);
        fl_touchstone_release(&touchstone);
    }
}

/* Entries say where they belong: 0.12 in row 1, column 2. */
static void orders(void **state)
{
    (void)state;
    static const struct {
        const char *name, *text, *source;
    } rows[] = {
        {"a.s2p", "# RI\n1 .11 0 .21 0 .12 0 .22 0\n2 .11 0 .21 0 .12 0 .22 0",
         "[Touchstone2002]: N11 N21 N12 N22"},
        {"a.s3p",
         "# RI\n1 .11 0 .12 0 .13 0\n.21 0 .22 0 .23 0\n.31 0 .32 0 .33 0\n"
         "2 .11 0 .12 0 .13 0\n.21 0 .22 0 .23 0\n.31 0 .32 0 .33 0\n",
         "[Touchstone2002]: rows, from memory"},
        {"a.s3p",
         "# RI\n1 .11 0 .12 0 .13 0 .21 0 .22 0 .23 0 .31 0 .32 0 .33 0\n2 .11 0 .12\n0 .13 0 .21\n"
         "\n! in between\n0 .22 0 .23 0 .31 0 .32 0\n.33\n0",
         "line breaks anywhere"},
        {"a.s5p",
         "# RI\n1 .11 0 .12 0 .13 0 .14 0\n.15 0\n.21 0 .22 0 .23 0 .24 0\n.25 0\n"
         ".31 0 .32 0 .33 0 .34 0\n.35 0\n.41 0 .42 0 .43 0 .44 0\n.45 0\n"
         ".51 0 .52 0 .53 0 .54 0\n.55 0\n"
         "2 .11 0 .12 0 .13 0 .14 0 .15 0 .21 0 .22 0 .23 0 .24 0 .25 0\n"
         ".31 0 .32 0 .33 0 .34 0 .35 0 .41 0 .42 0 .43 0 .44 0 .45 0\n"
         ".51 0 .52 0 .53 0 .54 0 .55 0\n",
         "[Touchstone2002]: at most four pairs a line, from memory"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        fl_touchstone touchstone = {0};
        fl_error error = {0};
        check_ok(parse(&touchstone, rows[i].text, rows[i].name, &error), error);
        const size_t n = touchstone.ports;
        assert_int_equal(touchstone.count, 2);
        for (size_t entry = 0; entry < 2 * n * n; ++entry) {
            const size_t row = entry / n % n + 1;
            const size_t column = entry % n + 1;
            check_near((double)(10 * row + column) / 100.0, touchstone.matrices[entry][0], 1e-15,
                       "S%zu%zu of %s", row, column, rows[i].source);
        }
        fl_touchstone_release(&touchstone);
    }
}

static void triangles(void **state)
{
    (void)state;
    static const char *const shapes[] = {
        "Lower\n[Network Data]\n1 11 0\n12 0 22 0\n13 0 23 0 33 0\n2 11 0 12 0 22 0 13 0 23 0 33 0",
        "Upper\n[Network Data]\n1 11 0 12 0 13 0\n22 0 23 0\n33 0\n2 11 0 12 0 13 0 22 0 23 0 33 0",
    };
    static const double wanted[9] = {11, 12, 13, 12, 22, 23, 13, 23, 33};
    for (size_t i = 0; i < 2; ++i) {
        char text[400];
        fl_touchstone touchstone = {0};
        fl_error error = {0};
        snprintf(text, sizeof text,
                 "[Version] 2.0\n# Y RI\n[Number of Ports] 3\n[Number of Frequencies] 2\n"
                 "[Matrix Format] %s\n[End]",
                 shapes[i]);
        check_ok(parse(&touchstone, text, "a.ts", &error), error);
        assert_int_equal(touchstone.kind, FL_TOUCHSTONE_Y);
        for (size_t entry = 0; entry < 18; ++entry)
            check_near(wanted[entry % 9], touchstone.matrices[entry][0], 0.0, "entry %zu of %s",
                       entry, shapes[i]);
        fl_touchstone_release(&touchstone);
    }
}

/* Version 1 gives Y and Z in units of the reference, version 2 in siemens and ohm. */
static void normalisation(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        bool normalised;
    } rows[] = {
        {"# S RI\n1 0 0\n2 0 0", false},
        {"# Z RI\n1 2 0\n2 2 0", true},
        {"# Y RI\n1 2 0\n2 2 0", true},
        {"[Version] 2.0\n# Z RI\n[Number of Ports] 1\n[Number of Frequencies] 2\n"
         "[Network Data]\n1 2 0\n2 2 0\n[End]",
         false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        fl_touchstone touchstone = {0};
        fl_error error = {0};
        check_ok(parse(&touchstone, rows[i].text, "a.s1p", &error), error);
        assert_int_equal(touchstone.normalised, rows[i].normalised);
        fl_touchstone_release(&touchstone);
    }
}

#define ROWS "\n1 0 0 0 0 0 0 0 0\n2 0 0 0 0 0 0 0 0\n"
#define TWO "# RI" ROWS

/* A line of five numbers whose frequency does not rise begins the noise data. */
static void noise(void **state)
{
    (void)state;
    static const char *const texts[] = {
        TWO "1 0.7 0.64 69 0.38\n4 0.7 0.64 69 0.38\n",
        TWO "2 0.7 0.64 69 0.38\n",
        TWO "! noise\n.5\t.7 .64 69 .38 ! row\n\n1 .7 .64 69 .38",
    };
    for (size_t i = 0; i < sizeof texts / sizeof *texts; ++i) {
        fl_touchstone touchstone = {0};
        fl_error error = {0};
        check_ok(parse(&touchstone, texts[i], "a.s2p", &error), error);
        assert_int_equal(touchstone.count, 2);
        fl_touchstone_release(&touchstone);
    }
}

static void refused(void **state)
{
    (void)state;
    static const struct {
        const char *name, *text, *place, *message;
    } rows[] = {
        {"a.s1p", "# RI\n1 0 0\n1 0 0", "a.s1p:3",
         "a frequency above that of line 2 was expected, found '1'"},
        {"a.s1p", "# RI\n2 0 0\n\n1 0 0", "a.s1p:4",
         "a frequency above that of line 2 was expected, found '1'"},
        {"a.s1p", "# RI\n-1 0 0\n1 0 0", "a.s1p:2",
         "a frequency of 0 or from 1e-6 Hz to 1e18 Hz was expected, found '-1'"},
        {"a.s1p", "# RI\n1 0 0\n1e20 0 0", "a.s1p:3",
         "a frequency of 0 or from 1e-6 Hz to 1e18 Hz was expected, found '1e20'"},
        {"a.s1p", "# RI\n1e-20 0 0\n1 0 0", "a.s1p:2",
         "a frequency of 0 or from 1e-6 Hz to 1e18 Hz was expected, found '1e-20'"},
        {"a.s1p", "# DB\n1 0 0\n2 9999 0", "a.s1p:3",
         "a value is too large: at most 1e30 was expected"},
        {"a.s1p", "# RI\n1 0 0\n2 0 1e31", "a.s1p:3",
         "a value is too large: at most 1e30 was expected"},
        {"a.s1p", "# RI\n1 0 0\n2 0 x", "a.s1p:3", "a number was expected, found 'x'"},
        {"a.s1p", "# RI\n1 0 0 0\n2 0 0", "a.s1p:2",
         "3 numbers were expected for a frequency of 1-port data, found 4"},
        {"a.s2p", TWO "3 0 0 0 0 0 0 0\n4 0 0 0 0 0 0 0 0\n", "a.s2p:4",
         "the 9 numbers of the frequency at line 4 end inside line 5: a number is missing or one "
         "too many"},
        {"a.s3p", "# RI\n1 0 0 0 0 0 0\n0 0 0 0 0\n0 0 0 0 0 0\n2 0 0 0 0 0 0\n", "a.s3p:3",
         "the 19 numbers of the frequency at line 2 end inside line 5: a number is missing or one "
         "too many"},
        {"a.s2p", TWO "3 0 0 0 0 0 0 0\n", "a.s2p:4",
         "9 numbers were expected for the frequency at line 4, found 8"},
        {"a.s2p", TWO "3 0 0 0 0\n", "a.s2p:4",
         "9 numbers were expected for the frequency at line 4, found 5"},
        {"a.s2p", TWO "1 0 0 0 0 0 0 0 0\n", "a.s2p:4",
         "a frequency above that of line 3 was expected, found '1'"},
        {"a.s2p", TWO "1 0 0 0 0\n2 0 0 0\n", "a.s2p:5",
         "5 numbers of noise data were expected, found 4"},
        {"a.s2p", TWO "1 0 0 0 0\n2 0 0 0 y\n", "a.s2p:5", "a number was expected, found 'y'"},
        {"a.s2p", TWO "x 0 0 0 0\n", "a.s2p:4", "a number was expected, found 'x'"},
        {"a.s1p", TWO, "a.s1p:2",
         "3 numbers were expected for a frequency of 1-port data, found 9"},
        {"a.ts", TWO, "a.ts:2",
         "the number of ports is not known: an extension such as '.s2p' or '[Number of Ports]' was "
         "expected"},
        {"a.s3p", "# RI R 50 50\n1 2 3", "a.s3p:2",
         "the option line has 2 resistances for 3 ports"},
        {"a.s2p", "# RI Z R 50 50\n1 2 3", "a.s2p:2",
         "the option line has 2 resistances: S was expected, found another parameter"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        fl_touchstone touchstone = {0};
        fl_error error = {0};
        assert_int_equal(parse(&touchstone, rows[i].text, rows[i].name, &error), FL_BAD_INPUT);
        assert_string_equal(error.message, rows[i].message);
        assert_string_equal(error.place, rows[i].place);
    }
}

/* Any one number dropped from anywhere is found out, whatever the line breaks. */
static void missing_number(void **state)
{
    (void)state;
    static const char *const layouts[] = {"1 a b\n c d\n e f\n g h\n", "1 a b c d e f g h\n",
                                          "1 a b c d\n e f g h\n"};
    for (size_t layout = 0; layout < 3; ++layout)
        for (size_t dropped = 0; dropped < 27; ++dropped) {
            char text[400] = "# RI\n";
            size_t length = strlen(text);
            for (size_t n = 0, block = 0; block < 3; ++block)
                for (const char *p = layouts[layout]; *p; ++p) {
                    const bool number = *p != ' ' && *p != '\n';
                    if (!number)
                        text[length++] = *p;
                    else if (n++ != dropped)
                        length += (size_t)snprintf(text + length, 20, "%s%zu",
                                                   *p == '1' ? "" : "0.", block + 1);
                }
            fl_touchstone touchstone = {0};
            fl_error error = {0};
            text[length] = '\0';
            if (parse(&touchstone, text, "a.s2p", &error) == FL_OK)
                fail_msg("dropped %zu of layout %zu unseen:\n%s", dropped, layout, text);
        }
}

static void references(void **state)
{
    (void)state;
    static const struct {
        const char *option;
        double wanted[2];
    } rows[] = {
        {"# RI", {50.0, 50.0}}, {"# RI R 75", {75.0, 75.0}}, {"# RI R 0.01 75", {0.01, 75.0}}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        char text[200];
        fl_touchstone touchstone = {0};
        fl_error error = {0};
        snprintf(text, sizeof text, "%s%s", rows[i].option, ROWS);
        check_ok(parse(&touchstone, text, "a.s2p", &error), error);
        for (size_t port = 0; port < 2; ++port)
            check_near(rows[i].wanted[port], touchstone.reference[port], 0.0, "%s", rows[i].option);
        fl_touchstone_release(&touchstone);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(formats),   cmocka_unit_test(units),          cmocka_unit_test(orders),
        cmocka_unit_test(triangles), cmocka_unit_test(normalisation),  cmocka_unit_test(noise),
        cmocka_unit_test(refused),   cmocka_unit_test(missing_number), cmocka_unit_test(references),
    };
    return cmocka_run_group_tests_name("models/touchstone_data", tests, NULL, NULL);
}
