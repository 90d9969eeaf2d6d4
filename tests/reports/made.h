/** A result made by hand, so that tests of reports need no study; and looking at texts. */
#ifndef FL_TESTS_REPORTS_MADE_H
#define FL_TESTS_REPORTS_MADE_H

#include "check.h"

#include <cJSON.h>

#include "reports/layout.h"
#include "reports/reports.h"

enum { MADE_CASES = 2, MADE_POINTS = 3, MADE_KEPT = 2 };

/** Names that must not break a table: 200 bytes; wide characters; both. */
#define MADE_LONG                                                                                  \
    "llllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllll" \
    "llllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllll" \
    "llllllllllllllll"
#define MADE_WIDE "\xE5\xB0\x81\xE8\xA3\x85"
#define MADE_WIDE_LONG                                                                             \
    MADE_WIDE MADE_WIDE MADE_WIDE MADE_WIDE MADE_WIDE MADE_WIDE MADE_WIDE MADE_WIDE MADE_WIDE      \
        MADE_WIDE MADE_WIDE MADE_WIDE MADE_WIDE MADE_WIDE MADE_WIDE MADE_WIDE MADE_WIDE MADE_WIDE

typedef struct made {
    fl_result result;
    const char *warnings[1];
    fl_result_case cases[MADE_CASES];
    fl_result_worst worst[MADE_CASES][2];
    double frequencies[MADE_POINTS];
    double s[MADE_CASES][4][MADE_POINTS][2]; /* s11, s21, s12, s22 */
    double impedance[MADE_POINTS][2][2];
    fl_result_sized_value sized[3];
    fl_result_sensitivity sensitivity[2];
    fl_percentile percentiles[2];
    fl_curve_point curve[2];
    fl_result_failure failures[2];
    fl_result_shift shifts[2];
    const char *kept_names[2];
    double kept[MADE_KEPT][2], kept_return_loss_db[MADE_KEPT][MADE_CASES];
    double kept_margin_db[MADE_KEPT][MADE_CASES];
    bool kept_passed[MADE_KEPT];
    fl_result_section sections[3];
    fl_result_parameter parameters[2];
    fl_result_quantity quantities[2];
    char design[8];
} made;

__attribute__((unused)) static void made_head(made *m)
{
    memset(m, 0, sizeof *m);
    m->warnings[0] = "a \"warning\"";
    m->result = (fl_result){.command = "size",
                            .title = "title",
                            .file = "folder/design.json",
                            .folder = "folder",
                            .seed = 7,
                            .band_low = 26.5e9,
                            .band_high = 29.5e9,
                            .points = MADE_POINTS,
                            .centre = 28e9,
                            .confidence = 0.95,
                            .warnings = m->warnings,
                            .warning_count = 1,
                            .margin_db = (double)NAN,
                            .free_margin_db = (double)NAN,
                            .sensitivity_base_db = (double)NAN};
    fl_arena_init(&m->result.arena);
}

/** Two cases; "one" meets its requirements by 3.4 dB, "two" misses its return loss by 1.25 dB. */
__attribute__((unused)) static void made_response(made *m)
{
    const fl_result_worst asked[2] = {
        {FL_RETURN_LOSS, FL_PORT_BOARD, true, true, 15.0, 1.0, 26.5e9, 29.5e9, 18.4, 29.5e9, 3.4},
        {FL_INSERTION_LOSS, FL_PORT_BOARD, true, false, 5.0, 1.0, 26.5e9, 29.5e9, 0.3, 28e9, 4.7}};
    for (size_t i = 0; i < MADE_POINTS; i++) {
        m->frequencies[i] = 26.5e9 + 1.5e9 * (double)i;
        m->impedance[i][0][0] = m->impedance[i][1][0] = 50.0;
    }
    for (size_t c = 0; c < MADE_CASES; c++) {
        memcpy(m->worst[c], asked, sizeof asked);
        for (size_t p = 0; p < 4; p++)
            for (size_t i = 0; i < MADE_POINTS; i++)
                m->s[c][p][i][0] = p == 1 || p == 2 ? 0.9 : 0.1;
        m->cases[c] = (fl_result_case){.name = c == 0 ? "one" : "two",
                                       .worst = m->worst[c],
                                       .worst_count = 2,
                                       .response = {MADE_POINTS, m->frequencies, m->s[c][0],
                                                    m->s[c][1], m->s[c][2], m->s[c][3]},
                                       .port_impedance = m->impedance,
                                       .yield = (double)NAN,
                                       .yield_low = (double)NAN,
                                       .yield_high = (double)NAN};
    }
    m->worst[1][0].value_db = 13.75;
    m->worst[1][0].margin_db = -1.25;
    m->result.cases = m->cases;
    m->result.case_count = MADE_CASES;
    m->result.has_margin = true;
    m->result.margin_db = -1.25;
}

/** Leaves the first case alone, which meets its requirements. */
__attribute__((unused)) static void made_one_case(made *m)
{
    m->result.case_count = 1;
    m->result.margin_db = 3.4;
    m->result.met = true;
}

__attribute__((unused)) static void made_sizing(made *m)
{
    const fl_result_sized_value sized[3] = {
        {"die cap", NULL, FL_CAPACITANCE, 62e-15, 10e-15, 150e-15, 1e-15, FL_BOUND_NONE},
        {"stub length", "two", FL_LENGTH, 1.2e-3, 0.1e-3, 1.2e-3, 10e-6, FL_BOUND_HIGH},
        {"line impedance", NULL, FL_RESISTANCE, 45.0, 45.0, 85.0, 0.0, FL_BOUND_LOW}};
    memcpy(m->sized, sized, sizeof sized);
    memcpy(m->design, "{\"a\":1}", 8);
    m->result.has_sizing = true;
    m->result.sized = m->sized;
    m->result.sized_count = 3;
    m->result.free_margin_db = -1.05;
    m->result.starts = 64;
    m->result.sized_design = m->design;
    m->result.sized_design_length = 7;
}

__attribute__((unused)) static void made_sensitivity(made *m)
{
    const fl_result_sensitivity rows[2] = {
        {"gap",
         NULL,
         FL_LENGTH,
         {0, 250e-6, 12e-6, -0.08, 0.03, -0.08, -0.412, 0.4, -0.412, 0.315}},
        {"width",
         "two",
         FL_LENGTH,
         {1, 80e-6, 0.0, 0.02, -0.02, 0.02, (double)NAN, (double)NAN, (double)NAN, (double)NAN}}};
    memcpy(m->sensitivity, rows, sizeof rows);
    m->result.has_sensitivity = true;
    m->result.sensitivity = m->sensitivity;
    m->result.sensitivity_count = 2;
    m->result.sensitivity_base_db = 13.75;
}

__attribute__((unused)) static void made_kept(made *m)
{
    m->kept_names[0] = "gap (m)";
    m->kept_names[1] = "a, \"b\"";
    for (size_t i = 0; i < MADE_KEPT; i++)
        for (size_t c = 0; c < 2; c++) {
            m->kept[i][c] = (double)(10 * i + c);
            m->kept_return_loss_db[i][c] = 15.0 + (double)c;
            m->kept_margin_db[i][c] = (double)c - 0.5;
        }
    m->kept_return_loss_db[1][1] = (double)NAN;
    m->kept_passed[1] = true;
    m->result.kept_names = m->kept_names;
    m->result.kept_columns = 2;
    m->result.kept = &m->kept[0][0];
    m->result.kept_return_loss_db = &m->kept_return_loss_db[0][0];
    m->result.kept_margin_db = &m->kept_margin_db[0][0];
    m->result.kept_passed = m->kept_passed;
    m->result.kept_count = MADE_KEPT;
}

__attribute__((unused)) static void made_yield(made *m)
{
    m->percentiles[0] = (fl_percentile){1.0, 13.1};
    m->percentiles[1] = (fl_percentile){50.0, 17.9};
    m->curve[0] = (fl_curve_point){14.0, 0.99};
    m->curve[1] = (fl_curve_point){15.0, 0.96};
    m->failures[0] =
        (fl_result_failure){"two", FL_RETURN_LOSS, FL_PORT_BOARD, 1500, {1200, 1, 299}};
    m->failures[1] = (fl_result_failure){"one", FL_INSERTION_LOSS, FL_PORT_BOARD, 3, {0, 3, 0}};
    m->shifts[0] = (fl_result_shift){"width", NULL, FL_LENGTH, {1, 80e-6, 81e-6, 0.2, 0.01}};
    m->shifts[1] = (fl_result_shift){"gap", "two", FL_LENGTH, {0, 249e-6, 262e-6, 1.1, 0.31}};
    m->result.has_yield = true;
    m->result.samples = 20000;
    m->result.passed = 19999;
    m->result.not_physical = 1;
    m->result.estimate = 0.99995;
    m->result.low = 0.9645;
    m->result.high = 0.999999;
    m->result.percentiles = m->percentiles;
    m->result.percentile_count = 2;
    m->result.curve = m->curve;
    m->result.curve_count = 2;
    m->result.failures = m->failures;
    m->result.failure_count = 2;
    m->result.shifts = m->shifts;
    m->result.shift_count = 2;
    for (size_t c = 0; c < m->result.case_count; c++) {
        m->cases[c].yield = 0.97 + 0.01 * (double)c;
        m->cases[c].yield_low = 0.96;
        m->cases[c].yield_high = 0.99;
        m->cases[c].passed = 19400;
    }
    made_kept(m);
}

/** A plan of three lots of two wafers; call it after made_yield. */
__attribute__((unused)) static void made_plan(made *m)
{
    static uint64_t passed[] = {1900, 1950, 1800, 2000, 1700, 1999};
    m->result.samples = 12000;
    m->result.passed = 11349;
    m->result.estimate = 0.94575;
    m->result.basis = FL_BASIS_LOTS;
    m->result.effective = 411.7;
    m->result.plan = (fl_plan){2, 2000};
    m->result.wafers = (fl_spreading){2000, 6, 0.94575, 0.0596, 0.85, 0.85, 0.95, 0.9995, 0.99998};
    m->result.lots =
        (fl_spreading){4000, 3, 0.94575, 0.0193, 0.92475, 0.92475, 0.95, 0.9625, 0.9625};
    m->result.wafer_passed = passed;
}

__attribute__((unused)) static void made_check(made *m)
{
    m->sections[0] = (fl_result_section){.name = "pad cap",
                                         .kind = "shunt capacitor",
                                         .side = FL_SIDE_DIE,
                                         .properties = {{"capacitance", FL_CAPACITANCE, 62e-15}},
                                         .property_count = 1,
                                         .return_loss_db = 18.2,
                                         .frequency = 28e9,
                                         .swept = (double)NAN};
    m->sections[1] = (fl_result_section){.name = "wires",
                                         .kind = "bond wires",
                                         .case_name = "one",
                                         .side = FL_SIDE_PACKAGE,
                                         .properties = {{"inductance", FL_INDUCTANCE, 0.2345e-9},
                                                        {"resistance", FL_RESISTANCE, 0.25}},
                                         .property_count = 2,
                                         .return_loss_db = (double)NAN,
                                         .frequency = 28e9,
                                         .swept = (double)NAN};
    m->sections[2] = m->sections[1];
    m->sections[2].case_name = "two";
    m->quantities[0] = (fl_result_quantity){"gap",       NULL,        FL_LENGTH, 250e-6,    false,
                                            (double)NAN, (double)NAN, 12e-6,     "assembly"};
    m->quantities[1] = (fl_result_quantity){
        "die cap", "two", FL_CAPACITANCE, 62e-15, true, 10e-15, 150e-15, 0.0, ""};
    m->result.sections = m->sections;
    m->result.section_count = 3;
    m->result.quantities = m->quantities;
    m->result.quantity_count = 2;
}

/** All that a result can hold. */
__attribute__((unused)) static void made_all(made *m)
{
    made_head(m);
    made_response(m);
    made_sizing(m);
    made_sensitivity(m);
    made_yield(m);
    made_check(m);
}

/** Turns a result into that of a model with two rows: at frequencies, or swept over a length. */
__attribute__((unused)) static void made_model(made *m, bool swept)
{
    static const double frequencies[2] = {9.5e9, 120e9}, lengths[2] = {50e-6, 0.2e-3};
    m->result.command = "model";
    m->result.warning_count = 0;
    for (size_t i = 0; i < 2; i++) {
        m->sections[i] = (fl_result_section){.name = "wires",
                                             .kind = "bond wires",
                                             .properties = {{"inductance", FL_INDUCTANCE, 2e-11},
                                                            {"resistance", FL_RESISTANCE, 0.25}},
                                             .property_count = 2 - i,
                                             .return_loss_db = 18.204,
                                             .frequency = swept ? 28e9 : frequencies[i],
                                             .swept = swept ? lengths[i] : (double)NAN};
        m->sections[i].properties[0].value *= 1.0 + 9.0 * (double)i;
    }
    m->parameters[0] = (fl_result_parameter){
        .name = "pitch", .dimension = FL_LENGTH, .value = 100e-6, .given = true};
    m->parameters[1] = (fl_result_parameter){.name = "cover", .dimension = FL_NUMBER, .value = 3.9};
    m->result.sections = m->sections;
    m->result.section_count = 2;
    m->result.parameters = m->parameters;
    m->result.parameter_count = 2;
    m->result.swept_name = swept ? "span" : NULL;
    m->result.swept_dimension = FL_LENGTH;
}

/** Gives every name the same hostile one. */
__attribute__((unused)) static void made_rename(made *m, const char *name)
{
    m->result.title = name;
    for (size_t i = 0; i < MADE_CASES; i++) {
        m->cases[i].name = name;
        m->sensitivity[i].name = m->sensitivity[i].case_name = name;
        m->failures[i].case_name = name;
        m->shifts[i].name = m->shifts[i].case_name = name;
        m->quantities[i].name = m->quantities[i].case_name = name;
    }
    for (size_t i = 0; i < 3; i++) {
        m->sized[i].name = m->sized[i].case_name = name;
        m->sections[i].name = m->sections[i].case_name = name;
    }
}

/** Fails unless part is in the text. */
__attribute__((unused)) static void check_has(const char *text, const char *part)
{
    if (!text || !strstr(text, part)) {
        print_error("wanted \"%s\" in:\n%s\n", part, text ? text : "(nothing)");
        fail();
    }
}

__attribute__((unused)) static void check_lacks(const char *text, const char *part)
{
    if (text && strstr(text, part)) {
        print_error("wanted no \"%s\" in:\n%s\n", part, text);
        fail();
    }
}

/** Fails if a line takes over 80 columns or ends in a blank. */
__attribute__((unused)) static void check_lines(const char *text)
{
    while (*text) {
        char line[4096];
        const size_t length = strcspn(text, "\n");
        assert_true(length < sizeof line);
        memcpy(line, text, length);
        line[length] = '\0';
        if (fl_columns(line) > FL_LINE || (length > 0 && line[length - 1] == ' ')) {
            print_error("%zu columns: \"%s\"\n", fl_columns(line), line);
            fail();
        }
        text += length + (text[length] == '\n');
    }
}

/** A page of the text report; release the text. */
__attribute__((unused)) static fl_text made_page(void (*page)(fl_text *, const fl_result *),
                                                 const made *m)
{
    fl_text text;
    fl_text_init(&text);
    page(&text, &m->result);
    fl_text_add(&text, "");
    assert_false(fl_text_failed(&text));
    check_lines(text.bytes);
    return text;
}

/** The JSON report, parsed; free with cJSON_Delete. */
__attribute__((unused)) static cJSON *made_json(const made *m)
{
    fl_report report = {0};
    fl_error error;
    check_ok(fl_report_json(&report, &m->result, &error), error);
    cJSON *json = cJSON_Parse(report.text);
    if (!json)
        print_error("not JSON:\n%s\n", report.text);
    assert_non_null(json);
    check_lacks(report.text, "nan");
    check_lacks(report.text, "inf");
    fl_report_free(&report);
    return json;
}

/** A member, by keys apart by '/', "2" being an index into an array; fails if it is not there. */
__attribute__((unused)) static const cJSON *made_at(const cJSON *json, const char *path)
{
    const cJSON *at = json;
    while (*path) {
        char key[64];
        const size_t length = strcspn(path, "/");
        assert_true(length < sizeof key);
        memcpy(key, path, length);
        key[length] = '\0';
        at = cJSON_IsArray(at) ? cJSON_GetArrayItem(at, key[0] - '0')
                               : cJSON_GetObjectItemCaseSensitive(at, key);
        if (!at)
            print_error("no '%s' of '%s'\n", key, path);
        assert_non_null(at);
        path += length + (path[length] == '/');
    }
    return at;
}

/** A value the report must have: a number, a text, or with neither null. */
typedef struct made_member {
    const char *path;
    double number;
    const char *text;
    bool null;
} made_member;

/** Exact: numbers are written so that they read back the same. */
__attribute__((unused)) static void made_members(const cJSON *json, const made_member *members,
                                                 size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const cJSON *at = made_at(json, members[i].path);
        const bool well = members[i].null ? cJSON_IsNull(at)
                          : members[i].text
                              ? cJSON_IsString(at) && !strcmp(at->valuestring, members[i].text)
                              : cJSON_IsNumber(at) && at->valuedouble == members[i].number;
        if (!well)
            print_error("%s: wanted %s %.17g, got %s %.17g\n", members[i].path,
                        members[i].text ? members[i].text : "", members[i].number,
                        cJSON_IsString(at) ? at->valuestring : "", at->valuedouble);
        assert_true(well);
    }
}

#endif
