/* The public functions that bind the parts: kinds, designs, studies. */
#include "check.h"

#include <stdbool.h>
#include <unistd.h>

/* A capacitor beside an inductor, whose reactances are 2 and 0.02 ohm at 28 GHz; sized is the
 * inductor, so that the die's capacitance is made good. */
#define PORTS                                                                                      \
    "\"ports\": {\"die\": {\"impedance\": \"50 ohm\"}, \"board\": {\"impedance\": \"50 ohm\"}}"
static const char sized[] =
    "{\"fairlead\": 1, \"title\": \"small\", \"band\": [\"26 GHz\", \"30 GHz\"], \"points\": "
    "5," PORTS ", \"require\": [{\"quantity\": \"return loss\", \"at least\": \"20 dB\"}],"
    " \"path\": [{\"name\": \"pad\", \"kind\": \"shunt capacitor\", \"side\": \"die\","
    "   \"capacitance\": {\"value\": \"30 fF\", \"spread\": {\"normal\": \"5 %\"}}},"
    "  {\"name\": \"wire\", \"kind\": \"series inductor\", \"side\": \"package\","
    "   \"inductance\": {\"size\": [\"10 pH\", \"300 pH\"], \"grid\": \"1 pH\"}}],"
    " \"yield\": {\"samples\": 500, \"seed\": 3}}";
static const char fixed[] =
    "{\"fairlead\": 1, \"band\": [\"26 GHz\", \"30 GHz\"], \"points\": 5," PORTS
    ", \"require\": [{\"quantity\": \"return loss\", \"at least\": \"40 dB\"}],"
    " \"path\": [{\"name\": \"pad\", \"kind\": \"shunt capacitor\", \"side\": \"die\","
    "   \"capacitance\": \"30 fF\"}]}";

typedef fl_status study(fl_result **, const fl_design *, const fl_options *, fl_error *);

static fl_design *parse(const char *text)
{
    fl_design *design = NULL;
    fl_error error = {0};
    check_ok(fl_design_parse(&design, text, strlen(text), "small.json", NULL, &error), error);
    return design;
}

static fl_result *run(study *call, const char *text)
{
    fl_design *design = parse(text);
    fl_result *result = NULL;
    fl_error error = {0};
    check_ok(call(&result, design, NULL, &error), error);
    fl_design_free(design);
    return result;
}

/** Whether the text report of a result has a text. */
static bool shows(const fl_result *result, const char *part)
{
    fl_report report = {0};
    fl_error error = {0};
    check_ok(fl_report_text(&report, result, &error), error);
    const bool there = strstr(report.text, part) != NULL;
    fl_report_free(&report);
    return there;
}

static void names_statuses_and_kinds(void **state)
{
    (void)state;
    bool wires = false;
    size_t count = 0;
    assert_string_equal(fl_status_text(FL_OK), "done");
    assert_string_equal(fl_status_text(FL_NO_MEMORY), "out of memory");
    assert_non_null(fl_status_text((fl_status)99));
    assert_true(fl_version()[0] >= '0' && fl_version()[0] <= '9');
    for (; fl_kind_name(count); count++)
        wires = wires || strcmp(fl_kind_name(count), "bond wires") == 0;
    assert_true(wires);
    assert_null(fl_kind_name(count));
    assert_null(fl_kind_name(SIZE_MAX));
}

static void sets_options(void **state)
{
    (void)state;
    fl_options options;
    memset(&options, 0xFF, sizeof options);
    fl_options_init(&options);
    assert_true(options.samples == 0 && options.seed == -1 && options.threads == 0);
    assert_true(!options.keep_samples && !options.pictures && !options.progress);
}

static void reads_designs(void **state)
{
    (void)state;
    fl_design *design = parse(sized);
    assert_string_equal(fl_design_title(design), "small");
    assert_int_equal(fl_design_warning_count(design), 0);
    assert_null(fl_design_warning(design, 0));
    fl_design_free(design);
    design = parse(fixed);
    assert_string_equal(fl_design_title(design), "");
    fl_design_free(design);
    fl_design_free(NULL);
}

static void says_what_cannot_be_read(void **state)
{
    (void)state;
    fl_design *design = NULL;
    fl_error error = {0};
    assert_int_equal(fl_design_read(&design, FL_SCRATCH_DIR "/none.json", NULL, &error), FL_IO);
    assert_non_null(strstr(error.place, "none.json"));
    assert_true(error.message[0]);
    assert_int_equal(fl_design_parse(&design, "{", 1, "x.json", NULL, &error), FL_BAD_INPUT);
    assert_non_null(strstr(error.place, "x.json:1:"));
    assert_int_equal(fl_design_parse(&design, "{", 1, "x.json", NULL, NULL), FL_BAD_INPUT);
    assert_null(design);
}

/* The data of a design are read with it, and later studies need the file no more. */
static void keeps_data_files(void **state)
{
    (void)state;
    static const char file[] = FL_SCRATCH_DIR "/through.s2p";
    static const char text[] =
        "{\"fairlead\": 1, \"band\": [\"26 GHz\", \"30 GHz\"]," PORTS
        ", \"path\": [{\"name\": \"data\", \"kind\": \"measured\", \"side\": \"package\","
        " \"file\": \"through.s2p\"}]}";
    FILE *data = fopen(file, "w");
    assert_non_null(data);
    fputs("# GHz S RI R 50\n20 0.1 0 1.2 0 1.2 0 0.1 0\n40 0.1 0 1.2 0 1.2 0 0.1 0\n", data);
    assert_int_equal(fclose(data), 0);
    fl_design *design = NULL;
    fl_result *result = NULL;
    fl_error error = {0};
    check_ok(fl_design_parse(&design, text, strlen(text), FL_SCRATCH_DIR "/d.json", NULL, &error),
             error);
    assert_int_equal(unlink(file), 0);
    assert_int_equal(fl_design_warning_count(design), 1);
    assert_non_null(strstr(fl_design_warning(design, 0), "not passive"));
    check_ok(fl_response(&result, design, NULL, &error), error);
    check_near(20.0, fl_result_margin_db(result), 1e-9, "return loss of 0.1");
    fl_result_free(result);
    fl_design_free(design);
}

static void runs_each_study(void **state)
{
    (void)state;
    static const struct {
        study *call;
        const char *shown, *hidden;
    } rows[] = {{fl_check, "Sections at 28 GHz", "Response"},
                {fl_response, "Response in dB", "Sensitivity"},
                {fl_sensitivity, "Sensitivity", "Sized values"},
                {fl_yield, "Yield of 500 samples, seed 3", "Sensitivity"},
                {fl_size, "Sized values", "Nothing to size"},
                {fl_size, "Sensitivity", "Quantities"},
                {fl_size, "Yield of 500 samples", "Quantities"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_result *result = run(rows[i].call, sized);
        if (!shows(result, rows[i].shown) || shows(result, rows[i].hidden))
            print_error("row %zu\n", i);
        assert_true(shows(result, rows[i].shown));
        assert_false(shows(result, rows[i].hidden));
        fl_result_free(result);
    }
}

/* Two reactances of one kind make a low-pass; the best inductance is near C Z0^2 = 75 pH, as for a
 * section of line (common practice, no source); 10 pH either way for the other end's mismatch. */
static void sizes(void **state)
{
    (void)state;
    fl_result *before = run(fl_response, sized);
    fl_result *result = run(fl_size, sized);
    const char *name = NULL;
    double value = 0.0, estimate = 0.0, low = 0.0, high = 0.0;
    assert_int_equal(fl_result_sized_count(result), 1);
    assert_int_equal(fl_result_sized(result, 0, &name, &value), FL_OK);
    assert_string_equal(name, "wire inductance");
    check_near(75e-12, value, 10e-12, "inductance");
    check_near(round(value / 1e-12), value / 1e-12, 1e-9, "on the grid");
    assert_true(fl_result_margin_db(result) > fl_result_margin_db(before));
    assert_int_equal(fl_result_yield(result, &estimate, &low, &high), FL_OK);
    assert_true(low <= estimate && estimate <= high);
    fl_result_free(before);
    fl_result_free(result);
}

static void sizes_nothing(void **state)
{
    (void)state;
    fl_result *result = run(fl_size, fixed);
    assert_int_equal(fl_result_sized_count(result), 0);
    assert_true(shows(result, "Nothing to size"));
    assert_true(shows(result, "Response in dB"));
    assert_int_equal(fl_result_yield(result, NULL, NULL, NULL), FL_BAD_INPUT);
    /* A shunt reactance alone: |S11|^2 = b^2 / (4 + b^2) at the top of the band. */
    const double b = 50.0 * 6.283185307179586 * 30e9 * 30e-15;
    check_near(-10.0 * log10(b * b / (4.0 + b * b)) - 40.0, fl_result_margin_db(result), 1e-3,
               "margin");
    assert_int_equal(fl_result_met(result), 0);
    fl_result_free(result);
}

/** Stops a study at its call number *payload. */
static int stop_at(void *payload, const char *stage, double done)
{
    int *left = payload;
    (void)stage;
    (void)done;
    return --*left <= 0;
}

static void gives_the_best_so_far(void **state)
{
    (void)state;
    static study *const calls[] = {fl_size, fl_yield, fl_sensitivity};
    fl_design *design = parse(sized);
    for (size_t i = 0; i < sizeof calls / sizeof calls[0]; i++) {
        int left = 1;
        fl_options options;
        fl_result *result = NULL;
        fl_error error = {0};
        fl_options_init(&options);
        options.samples = 100000; /* more than one block */
        options.progress = stop_at;
        options.payload = &left;
        const fl_status status = calls[i](&result, design, &options, &error);
        if (status != FL_INTERRUPTED)
            print_error("study %zu: status %d\n", i, (int)status);
        assert_int_equal(status, FL_INTERRUPTED);
        assert_int_equal(error.status, FL_INTERRUPTED);
        assert_non_null(result);
        assert_true(shows(result, "Interrupted"));
        assert_false(shows(result, "Sensitivity"));
        assert_true(isfinite(fl_result_margin_db(result)));
        fl_result_free(result);
    }
    fl_design_free(design);
}

/* Defaults as in docs/design-file.md. */
static void lists_parameters(void **state)
{
    (void)state;
    static const struct {
        const char *kind, *name, *unit, *fallback;
        int required;
    } rows[] = {{"bond wires", "count", "", "1", 0},
                {"bond wires", "diameter", "m", "25 um", 0},
                {"bond wires", "span", "m", "", 1},
                {"bond wires", "die height", "m", "100 um", 0},
                {"bond wires", "pitch", "m", "100 um", 0},
                {"bond wires", "conductivity", "S/m", "41 MS/m", 0},
                {"line", "loss", "dB/m", "0 dB/m", 0},
                {"series inductor", "quality factor", "", "", 0}};
    size_t found = 0, kinds = 0;
    fl_parameter_info info;
    for (; fl_kind_name(kinds); kinds++) {
        assert_true(fl_kind_summary(kinds)[0]);
        assert_int_equal(fl_kind_takes_file(kinds), strcmp(fl_kind_name(kinds), "measured") == 0);
        for (size_t i = 0; fl_kind_parameter(&info, kinds, i) == FL_OK; i++)
            for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
                if (strcmp(rows[r].kind, fl_kind_name(kinds)) || strcmp(rows[r].name, info.name))
                    continue;
                assert_string_equal(info.unit, rows[r].unit);
                assert_string_equal(info.fallback, rows[r].fallback);
                assert_int_equal(info.required, rows[r].required);
                found++;
            }
    }
    assert_int_equal(found, sizeof rows / sizeof rows[0]);
    assert_null(fl_kind_summary(kinds));
    assert_int_equal(fl_kind_takes_file(kinds), 0);
    assert_int_equal(fl_kind_parameter(&info, kinds, 0), FL_BAD_INPUT);
    assert_int_equal(fl_kind_parameter(&info, 0, SIZE_MAX), FL_BAD_INPUT);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(names_statuses_and_kinds),
                                       cmocka_unit_test(sets_options),
                                       cmocka_unit_test(reads_designs),
                                       cmocka_unit_test(says_what_cannot_be_read),
                                       cmocka_unit_test(keeps_data_files),
                                       cmocka_unit_test(runs_each_study),
                                       cmocka_unit_test(sizes),
                                       cmocka_unit_test(sizes_nothing),
                                       cmocka_unit_test(gives_the_best_so_far),
                                       cmocka_unit_test(lists_parameters)};
    return cmocka_run_group_tests_name("fairlead", tests, NULL, NULL);
}
