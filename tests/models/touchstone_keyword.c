/* The keywords of a Touchstone 2.0 file; rules of [Touchstone2009]. */
#include "check.h"

#include "models/touchstone.h"

static fl_status parse(fl_touchstone *touchstone, const char *text, const char *name,
                       fl_error *error)
{
    return fl_touchstone_parse(touchstone, text, strlen(text), name, error);
}

#define HEAD "[Version] 2.0\n# GHz S RI R 60\n[Number of Ports] 2\n"
#define ORDER "[Two-Port Data Order] 12_21\n"
#define COUNT "[Number of Frequencies] 2\n"
#define LINES "1 .11 0 .12 0 .21 0 .22 0\n2 .11 0 .12 0 .21 0 .22 0\n"
#define DATA "[Network Data]\n" LINES

static void accepted(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        double s12, reference[2];
    } rows[] = {
        {HEAD ORDER COUNT DATA "[End]\n", .12, {60.0, 60.0}},
        {HEAD "[Two-Port Data Order] 21_12\n" COUNT DATA "[End]", .21, {60.0, 60.0}},
        {"[version] 2.1\n# GHz RI\n[number  of\tports] 2\n" ORDER COUNT DATA "[end]",
         .12,
         {50.0, 50.0}},
        {HEAD ORDER COUNT "[Reference] 50 75\n" DATA "[End]", .12, {50.0, 75.0}},
        {HEAD ORDER COUNT "[Reference]\n! of ports\n50\n\n75\n" DATA "[End]", .12, {50.0, 75.0}},
        {HEAD ORDER "[Reference] 50 ! port 1\n 75\n" COUNT DATA "[End]", .12, {50.0, 75.0}},
        {HEAD ORDER COUNT "[Begin Information]\n[Owner] x\n# y\n[Broken\n[End Information]\n" DATA
                          "[End]",
         .12,
         {60.0, 60.0}},
        {HEAD ORDER COUNT "[Number of Noise Frequencies] 1\n" DATA
                          "[Noise Data]\n0.5 1 2 3 4\n[End]\n! rest",
         .12,
         {60.0, 60.0}},
        {"! first\n\n[Version] 2.0 ! of the format\n[Number of Ports] 2\n# GHz RI\n" ORDER COUNT
             DATA "[End]",
         .12,
         {50.0, 50.0}},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        fl_touchstone touchstone = {0};
        fl_error error = {0};
        check_ok(parse(&touchstone, rows[i].text, "a.ts", &error), error);
        assert_int_equal(touchstone.ports, 2);
        assert_int_equal(touchstone.count, 2);
        assert_false(touchstone.normalised);
        check_near(rows[i].s12, touchstone.matrices[1][0], 0.0, "S12 of row %zu", i);
        check_near(2e9, touchstone.frequencies[1], 0.0, "frequency of row %zu", i);
        for (size_t port = 0; port < 2; ++port)
            check_near(rows[i].reference[port], touchstone.reference[port], 0.0,
                       "reference %zu of row %zu", port, i);
        fl_touchstone_release(&touchstone);
    }
}

static void refused(void **state)
{
    (void)state;
    static const struct {
        const char *text, *place, *message;
    } rows[] = {
        {"[Version] 3.0\n", "a.s2p:1", "version 2.0 was expected, found '3.0'"},
        {"[Version]\n", "a.s2p:1", "version 2.0 was expected, found ''"},
        {"[Version] 2.0 beta\n", "a.s2p:1",
         "nothing more was expected on the line of '[version]', found 'beta'"},
        {"# GHz\n[Version] 2.0\n", "a.s2p:2", "'[Version]' was expected before the option line"},
        {"[Version] 2.0\n[Version] 2.0\n", "a.s2p:2", "'[version]' is given twice"},
        {"[Number of Ports] 2\n", "a.s2p:1",
         "'[version] 2.0' was expected before '[number of ports]'"},
        {"[Version] 2.0\n[Numbr of Ports] 2\n", "a.s2p:2",
         "unknown keyword '[numbr of ports]'; the nearest is '[number of ports]'"},
        {"[Version] 2.0\n[Zzz]\n", "a.s2p:2", "unknown keyword '[zzz]'"},
        {"[Version] 2.0\n[Number of Ports 2\n", "a.s2p:2",
         "']' was expected at the end of a keyword"},
        {"[Version] 2.0\n[Number of Ports] 3\n", "a.s2p:2",
         "3 ports, but the file's extension says 2"},
        {"[Version] 2.0\n[Number of Ports] 101\n", "a.s2p:2",
         "1 to 100 ports were expected, found 101"},
        {"[Version] 2.0\n[Number of Ports] 0\n", "a.s2p:2",
         "a whole number from 1 was expected, found '0'"},
        {"[Version] 2.0\n[Number of Ports] 2.0\n", "a.s2p:2",
         "a whole number from 1 was expected, found '2.0'"},
        {"[Version] 2.0\n[Number of Ports] 18446744073709551618\n", "a.s2p:2",
         "a whole number from 1 was expected, found '18446744073709551618'"},
        {HEAD "[Two-Port Data Order] 12\n", "a.s2p:4",
         "'12_21' or '21_12' was expected, found '12'"},
        {HEAD "[Matrix Format] Half\n", "a.s2p:4",
         "'Full', 'Lower' or 'Upper' was expected, found 'Half'"},
        {"[Version] 2.0\n#\n[Reference] 50\n", "a.s2p:3",
         "'[Number of Ports]' was expected before '[Reference]'"},
        {HEAD "[Reference] 50\n" ORDER, "a.s2p:5", "'[Reference]' needs 2 values, found 1"},
        {HEAD "[Reference] 50 75 80\n", "a.s2p:4",
         "'[Reference]' has more values than the 2 ports"},
        {HEAD "[Reference] 50 -1\n", "a.s2p:4",
         "a positive reference resistance was expected, found '-1'"},
        {HEAD "[Mixed-Mode Order] D1,2 C1,2\n", "a.s2p:4",
         "mixed-mode data are not supported; single-ended ones were expected"},
        {HEAD COUNT DATA "[End]", "a.s2p:5",
         "'[two-port data order]' was expected before '[network data]'"},
        {HEAD ORDER DATA "[End]", "a.s2p:5",
         "'[number of frequencies]' was expected before '[network data]'"},
        {"[Version] 2.0\n[Number of Ports] 2\n" ORDER COUNT DATA, "a.s2p:5",
         "an option line was expected before '[network data]'"},
        {"[Version] 2.0\n#\n[Network Data]\n", "a.s2p:3",
         "'[number of ports]' was expected before '[network data]'"},
        {HEAD ORDER COUNT LINES, "a.s2p:6", "numbers stand before '[Network Data]'"},
        {HEAD ORDER COUNT DATA, "a.s2p:8", "the file ends without '[End]'"},
        {HEAD ORDER COUNT DATA "[Matrix Format] Full\n", "a.s2p:9",
         "'[matrix format]' does not belong after '[network data]'"},
        {HEAD "[End]\n", "a.s2p:4", "'[end]' does not belong before '[network data]'"},
        {HEAD ORDER "[Number of Frequencies] 3\n" DATA "[End]", "a.s2p:9",
         "data at 3 frequencies were declared, found 2"},
        {HEAD ORDER "[Number of Frequencies] 1\n" DATA "[End]", "a.s2p:8",
         "data at more than the 1 frequencies declared"},
        {HEAD ORDER COUNT DATA "[End]\n3 1\n", "a.s2p:10", "nothing was expected after '[End]'"},
        {HEAD ORDER "[Begin Information]\n" COUNT DATA "[End]", "a.s2p:10",
         "the file ends without '[End Information]'"},
        {HEAD "[End Information]\n", "a.s2p:4",
         "'[End Information]' without '[Begin Information]'"},
        {HEAD ORDER COUNT "[Network Data] 1 2\n", "a.s2p:6",
         "nothing more was expected on the line of '[network data]', found '1'"},
        {HEAD ORDER COUNT "[Network Data]\n1 2 3\n[Noise Data]\n", "a.s2p:7",
         "9 numbers were expected for the frequency at line 7, found 3"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        fl_touchstone touchstone = {0};
        fl_error error = {0};
        assert_int_equal(parse(&touchstone, rows[i].text, "a.s2p", &error), FL_BAD_INPUT);
        assert_string_equal(error.message, rows[i].message);
        assert_string_equal(error.place, rows[i].place);
        assert_null(touchstone.matrices);
    }
}

static void noise_needs_two_ports(void **state)
{
    (void)state;
    fl_touchstone touchstone = {0};
    fl_error error = {0};
    const char *text = "[Version] 2.0\n# RI\n[Number of Ports] 1\n" COUNT
                       "[Network Data]\n1 0 0\n2 0 0\n[Noise Data]\n";
    assert_int_equal(parse(&touchstone, text, "a.ts", &error), FL_BAD_INPUT);
    assert_string_equal(error.message, "noise data were expected with 2 ports only, found 1");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(accepted),
        cmocka_unit_test(refused),
        cmocka_unit_test(noise_needs_two_ports),
    };
    return cmocka_run_group_tests_name("models/touchstone_keyword", tests, NULL, NULL);
}
