/* One section without a design file. */
#include "check.h"

#include <stdbool.h>

#include "result/result.h"

enum { TEXTS = 6 };

typedef struct question {
    const char *kind, *assignments[TEXTS], *frequencies, *sweep;
} question;

static fl_status ask(fl_result **result, const question *asked, fl_error *error)
{
    fl_model_options options = {.assignments = asked->assignments,
                                .frequencies = &asked->frequencies,
                                .frequency_count = asked->frequencies ? 1 : 0,
                                .sweep = asked->sweep};
    while (options.assignment_count < TEXTS && asked->assignments[options.assignment_count])
        options.assignment_count++;
    return fl_model(result, asked->kind, &options, error);
}

static fl_result *answer(const question *asked)
{
    fl_result *result = NULL;
    fl_error error = {0};
    check_ok(ask(&result, asked, &error), error);
    return result;
}

static double value_of(const fl_result *result, size_t row, const char *name)
{
    for (size_t i = 0; i < result->sections[row].property_count; i++)
        if (strcmp(result->sections[row].properties[i].name, name) == 0)
            return result->sections[row].properties[i].value;
    fail_msg("no '%s' in row %zu", name, row);
    return 0.0;
}

/* w L and |S11| of a series reactance x = w L / 50 ohm: x / sqrt(4 + x^2). */
static void follows_frequency(void **state)
{
    (void)state;
    static const double hertz[] = {10e9, 28e9, 60e9};
    fl_result *result = answer(&(question){.kind = "series inductor",
                                           .assignments = {"inductance=0.2 nH"},
                                           .frequencies = "10 GHz,28 GHz,60 GHz"});
    assert_int_equal(result->section_count, 3);
    for (size_t i = 0; i < 3; i++) {
        const double x = 2.0 * 3.141592653589793 * hertz[i] * 0.2e-9;
        check_near(hertz[i], result->sections[i].frequency, 0.0, "frequency");
        check_close(x, value_of(result, i, "reactance"), 1e-12, "reactance");
        check_close(10.0 * log10(1.0 + 1e4 / (x * x)), result->sections[i].return_loss_db, 1e-9,
                    "return loss");
        assert_true(isnan(result->sections[i].swept));
    }
    check_near(10e9, result->band_low, 0.0, "lowest");
    check_near(60e9, result->band_high, 0.0, "highest");
    assert_string_equal(result->command, "model");
    assert_int_equal(fl_result_warning_count(result), 0);
    assert_null(fl_result_warning(result, 0));
    fl_result_free(result);
}

/* Row k of a sweep is what the value by itself gives. */
static void sweeps(void **state)
{
    (void)state;
    static const char *const spans[] = {"span=200 um", "span=300 um", "span=400 um"};
    static const char *const names[] = {"inductance", "capacitance", "impedance"};
    fl_result *swept = answer(&(question){.kind = "bond wires",
                                          .assignments = {"diameter=25 um", "loop height=120 um"},
                                          .frequencies = "40 GHz",
                                          .sweep = "span=200 um:400 um:3"});
    assert_string_equal(swept->swept_name, "span");
    assert_int_equal(swept->section_count, 3);
    for (size_t i = 0; i < 3; i++) {
        fl_result *alone =
            answer(&(question){.kind = "bond wires",
                               .assignments = {"diameter=25 um", "loop height=120 um", spans[i]},
                               .frequencies = "40 GHz"});
        for (size_t k = 0; k < 3; k++)
            check_close(value_of(alone, 0, names[k]), value_of(swept, i, names[k]), 1e-12, "%s, %s",
                        names[k], spans[i]);
        check_close(alone->sections[0].return_loss_db, swept->sections[i].return_loss_db, 1e-9,
                    "return loss");
        check_near(200e-6 + 100e-6 * (double)i, swept->sections[i].swept, 1e-18, "swept");
        fl_result_free(alone);
    }
    fl_result_free(swept);
}

/* By their names, with the defaults of docs/design-file.md. */
static void tells_parameters(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double value;
        bool given;
    } wanted[] = {{"count", 1.0, false},          {"diameter", 25e-6, true},
                  {"loop height", 120e-6, true},  {"die height", 100e-6, false},
                  {"land height", 100e-6, false}, {"pitch", 100e-6, false},
                  {"conductivity", 4.1e7, false}, {"cover", 1.0, false},
                  {"returns", 0.0, false}};
    const size_t count = sizeof wanted / sizeof wanted[0];
    fl_result *result = answer(&(question){.kind = "bond wires",
                                           .assignments = {"diameter=25 um", "loop height=120 um"},
                                           .sweep = "span=200 um:400 um:2"});
    assert_int_equal(result->parameter_count, count);
    for (size_t i = 0; i < count; i++) {
        assert_string_equal(result->parameters[i].name, wanted[i].name);
        check_close(wanted[i].value, result->parameters[i].value, 1e-15, "%s", wanted[i].name);
        assert_int_equal(result->parameters[i].given, wanted[i].given);
    }
    fl_result_free(result);
}

/* Each warning once, with the rows that have it. The pitch is under 2 diameters below 50 um; a
 * tenth of a wavelength and an eighth are far from these wires at 28 GHz. */
static void warns(void **state)
{
    (void)state;
#define WIRES "count=2", "diameter=25 um", "span=300 um", "loop height=120 um"
    static const struct {
        question asked;
        const char *end;
    } rows[] = {
        {{"bond wires", {WIRES, "pitch=40 um"}, NULL, NULL}, "left out"},
        {{"bond wires", {WIRES}, NULL, "pitch=30 um:100 um:8"},
         "left out (from pitch 30 um to pitch 40 um)"},
        {{"bond wires", {WIRES}, NULL, "pitch=60 um:40 um:2"}, "left out (at pitch 40 um)"},
        {{"series inductor", {"inductance=1 nH"}, "1 GHz,2 GHz", "resistance=1 ohm:2 ohm:2"},
         "the sweep is at 1 GHz alone, the other frequencies are left out"},
        {{"bond wires", {WIRES, "pitch=100 um"}, NULL, NULL}, NULL}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_result *result = answer(&rows[i].asked);
        const char *warning = fl_result_warning(result, 0);
        assert_int_equal(fl_result_warning_count(result), rows[i].end ? 1 : 0);
        if (rows[i].end) {
            const size_t length = strlen(warning), end = strlen(rows[i].end);
            if (length < end || strcmp(warning + length - end, rows[i].end) != 0)
                fail_msg("row %zu: '%s'", i, warning);
            assert_null(strstr(warning, "path[0]"));
        }
        fl_result_free(result);
    }
}

static void refuses(void **state)
{
    (void)state;
#define INDUCTOR(text)                                                                             \
    {                                                                                              \
        "series inductor", {text}, NULL, NULL                                                      \
    }
    static const struct {
        question asked;
        const char *place, *message;
    } rows[] = {
        {INDUCTOR("inductance=1 fF"), "inductance", "1 fF"},
        {INDUCTOR("inductance=-1 nH"), "inductance", ""},
        {INDUCTOR("inductance=1e999 nH"), "inductance", ""},
        {INDUCTOR("inductance=\"\\"), "inductance", ""},
        {INDUCTOR("inductance=@x"), "inductance", ""},
        {INDUCTOR("inductance="), "inductance", ""},
        {INDUCTOR("inductance=1"), "inductance", "found a bare number"},
        {INDUCTOR("inductance=1\nnH"), "", ""},
        {INDUCTOR(NULL), "series inductor", "'inductance'"},
        {{"series inductor", {"inductance=1 nH"}, "1e300 GHz", NULL}, "frequency", "too large"},
        {{"bond wires", {WIRES, "pitch=20 um"}, NULL, NULL}, "bond wires", "'pitch' must be more"},
        {{"bond wires", {WIRES}, NULL, "pitch=10 um:90 um:3"}, "bond wires", "(at pitch 10 um)"},
        {{"bond wires",
          {"diameter=25 um", "span=300 um", "loop height=120 um"},
          NULL,
          "count=1:4:3"},
         "count",
         "found 2.5"},
        {{"microstrip",
          {"width=1 mm", "length=1 mm", "substrate height=1 ohm", "substrate permittivity=3"},
          NULL,
          NULL},
         "substrate height",
         "1 ohm"},
        {{"measured", {NULL}, NULL, NULL}, "measured", "from a file"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_result *result = NULL;
        fl_error error = {0};
        const fl_status status = ask(&result, &rows[i].asked, &error);
        const bool well = status == FL_BAD_INPUT && !result && error.message[0] &&
                          strncmp(error.place, rows[i].place, strlen(rows[i].place)) == 0 &&
                          strstr(error.message, rows[i].message);
        if (!well)
            print_error("row %zu: status %d, '%s': '%s'\n", i, (int)status, error.place,
                        error.message);
        assert_true(well);
        assert_int_equal(ask(&result, &rows[i].asked, NULL), FL_BAD_INPUT);
    }
    fl_result *result = NULL;
    assert_int_equal(fl_model(&result, "line", NULL, NULL), FL_BAD_INPUT);
}

/* Every kind without a file can be asked for by what it must have. */
static void answers_for_every_kind(void **state)
{
    (void)state;
    for (size_t kind = 0; fl_kind_name(kind); kind++) {
        fl_parameter_info info;
        fl_result *result = NULL;
        fl_error error = {0};
        char texts[20][80];
        const char *assignments[20];
        size_t count = 0;
        if (fl_kind_takes_file(kind))
            continue;
        for (size_t i = 0; fl_kind_parameter(&info, kind, i) == FL_OK; i++) {
            const char *value = strcmp(info.unit, "m") == 0     ? "100 um"
                                : strcmp(info.unit, "ohm") == 0 ? "50 ohm"
                                : strcmp(info.unit, "H") == 0   ? "0.1 nH"
                                : strcmp(info.unit, "F") == 0   ? "50 fF"
                                                                : "3";
            if (!info.required)
                continue;
            snprintf(texts[count], sizeof texts[count], "%s=%s", info.name, value);
            assignments[count] = texts[count];
            count++;
        }
        const fl_model_options options = {.assignments = assignments, .assignment_count = count};
        const fl_status status = fl_model(&result, fl_kind_name(kind), &options, &error);
        if (status != FL_OK && status != FL_BAD_INPUT)
            fail_msg("'%s': %s: %s", fl_kind_name(kind), error.place, error.message);
        /* A value refused is refused for what it is, not for how it was handed on. */
        if (status != FL_OK && strstr(error.message, "key"))
            fail_msg("'%s': %s: %s", fl_kind_name(kind), error.place, error.message);
        if (status != FL_OK)
            print_message("'%s': %s: %s\n", fl_kind_name(kind), error.place, error.message);
        fl_result_free(result);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(follows_frequency), cmocka_unit_test(sweeps),
        cmocka_unit_test(tells_parameters),  cmocka_unit_test(warns),
        cmocka_unit_test(refuses),           cmocka_unit_test(answers_for_every_kind)};
    return cmocka_run_group_tests_name("model", tests, NULL, NULL);
}
