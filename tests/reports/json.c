/* The JSON report: keys, values, null where nothing was computed. */
#include "reports/json.h"

#include "reports/made.h"

static void writes_head_and_values(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    cJSON *json = made_json(&m);
    const made_member members[] = {{.path = "fairlead", .number = 1.0},
                                   {.path = "command", .text = "size"},
                                   {.path = "title", .text = "title"},
                                   {.path = "version", .text = fl_version()},
                                   {.path = "seed", .number = 7.0},
                                   {.path = "band Hz/1", .number = 29.5e9},
                                   {.path = "margin dB", .number = -1.25},
                                   {.path = "free margin dB", .number = -1.05},
                                   {.path = "limit", .null = true},
                                   {.path = "warnings/0", .text = "a \"warning\""},
                                   {.path = "sized/0/name", .text = "die cap"},
                                   {.path = "sized/0/case", .null = true},
                                   {.path = "sized/0/value", .number = 62e-15},
                                   {.path = "sized/0/unit", .text = "F"},
                                   {.path = "sized/0/text", .text = "62 fF"},
                                   {.path = "sized/0/low", .number = 10e-15},
                                   {.path = "sized/0/high", .number = 150e-15},
                                   {.path = "sized/0/grid", .number = 1e-15},
                                   {.path = "sized/0/at bound", .null = true},
                                   {.path = "sized/1/case", .text = "two"},
                                   {.path = "sized/1/at bound", .text = "high"},
                                   {.path = "sized/2/at bound", .text = "low"},
                                   {.path = "sized/2/grid", .null = true}};
    made_members(json, members, sizeof members / sizeof members[0]);
    assert_true(cJSON_IsFalse(made_at(json, "met")));
    assert_true(cJSON_IsFalse(made_at(json, "interrupted")));
    cJSON_Delete(json);
}

static void writes_cases(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    cJSON *json = made_json(&m);
    const made_member members[] = {{.path = "cases/1/name", .text = "two"},
                                   {.path = "cases/1/worst/0/quantity", .text = "return loss"},
                                   {.path = "cases/1/worst/0/port", .text = "board"},
                                   {.path = "cases/1/worst/0/value dB", .number = 13.75},
                                   {.path = "cases/1/worst/0/frequency Hz", .number = 29.5e9},
                                   {.path = "cases/1/worst/0/margin dB", .number = -1.25},
                                   {.path = "cases/1/worst/0/at least dB", .number = 15.0},
                                   {.path = "cases/1/worst/0/at most dB", .null = true},
                                   {.path = "cases/1/worst/1/port", .null = true},
                                   {.path = "cases/1/worst/1/at least dB", .null = true},
                                   {.path = "cases/1/worst/1/at most dB", .number = 5.0},
                                   {.path = "cases/0/response/frequency Hz/2", .number = 29.5e9},
                                   {.path = "cases/0/response/s11/0/0", .number = 0.1},
                                   {.path = "cases/0/response/s21/2/0", .number = 0.9},
                                   {.path = "cases/0/response/s12/2/1", .number = 0.0},
                                   {.path = "cases/0/response/s22/2/0", .number = 0.1},
                                   {.path = "cases/0/yield/estimate", .number = 0.97},
                                   {.path = "cases/0/yield/passed", .number = 19400.0}};
    made_members(json, members, sizeof members / sizeof members[0]);
    assert_int_equal(cJSON_GetArraySize(made_at(json, "cases/0/response/s11")), MADE_POINTS);
    cJSON_Delete(json);
}

static void writes_null_for_what_is_missing(void **state)
{
    (void)state;
    static const char *const keys[] = {"met",
                                       "margin dB",
                                       "free margin dB",
                                       "sized",
                                       "cases",
                                       "sensitivity",
                                       "yield",
                                       "sections",
                                       "limit",
                                       "quantities",
                                       "sensitivity base dB"};
    made m;
    made_head(&m);
    m.result.title = "";
    cJSON *json = made_json(&m);
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
        made_members(json, &(made_member){.path = keys[i], .null = true}, 1);
    cJSON_Delete(json);
}

static void writes_cases_without_response(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    made_response(&m);
    m.result.has_margin = false;
    m.cases[0].response.count = m.cases[1].response.count = 0;
    cJSON *json = made_json(&m);
    const made_member members[] = {{.path = "cases/0/worst", .null = true},
                                   {.path = "cases/0/response", .null = true},
                                   {.path = "cases/1/yield", .null = true}};
    made_members(json, members, sizeof members / sizeof members[0]);
    cJSON_Delete(json);
}

static void is_the_same_twice(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    fl_report report[2] = {{0}};
    fl_error error;
    for (size_t i = 0; i < 2; i++)
        check_ok(fl_report_json(&report[i], &m.result, &error), error);
    assert_string_equal(report[0].text, report[1].text);
    assert_int_equal(report[0].text[report[0].length - 1], '\n');
    for (size_t i = 0; i < 2; i++)
        fl_report_free(&report[i]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(writes_head_and_values), cmocka_unit_test(writes_cases),
        cmocka_unit_test(writes_null_for_what_is_missing),
        cmocka_unit_test(writes_cases_without_response), cmocka_unit_test(is_the_same_twice)};
    return cmocka_run_group_tests_name("reports/json", tests, NULL, NULL);
}
