/* The JSON report: sections and quantities. */
#include "reports/json.h"

#include "reports/made.h"

static void writes_sections(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    cJSON *json = made_json(&m);
    const made_member members[] = {{.path = "sections/0/name", .text = "pad cap"},
                                   {.path = "sections/0/kind", .text = "shunt capacitor"},
                                   {.path = "sections/0/side", .text = "die"},
                                   {.path = "sections/0/case", .null = true},
                                   {.path = "sections/0/frequency Hz", .number = 28e9},
                                   {.path = "sections/0/swept", .null = true},
                                   {.path = "sections/0/return loss dB", .number = 18.2},
                                   {.path = "parameters", .null = true},
                                   {.path = "swept", .null = true},
                                   {.path = "sections/0/values/0/name", .text = "capacitance"},
                                   {.path = "sections/0/values/0/value", .number = 62e-15},
                                   {.path = "sections/0/values/0/unit", .text = "F"},
                                   {.path = "sections/2/case", .text = "two"},
                                   {.path = "sections/2/return loss dB", .null = true},
                                   {.path = "sections/2/values/1/name", .text = "resistance"}};
    made_members(json, members, sizeof members / sizeof members[0]);
    cJSON_Delete(json);
}

static void writes_a_model(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    made_model(&m, true);
    cJSON *json = made_json(&m);
    const made_member members[] = {{.path = "swept/name", .text = "span"},
                                   {.path = "swept/unit", .text = "m"},
                                   {.path = "sections/1/swept", .number = 0.2e-3},
                                   {.path = "sections/1/frequency Hz", .number = 28e9},
                                   {.path = "parameters/0/name", .text = "pitch"},
                                   {.path = "parameters/0/value", .number = 100e-6},
                                   {.path = "parameters/0/unit", .text = "m"},
                                   {.path = "parameters/1/unit", .text = ""}};
    made_members(json, members, sizeof members / sizeof members[0]);
    assert_true(cJSON_IsTrue(made_at(json, "parameters/0/given")));
    assert_true(cJSON_IsFalse(made_at(json, "parameters/1/given")));
    cJSON_Delete(json);
}

static void writes_quantities(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    cJSON *json = made_json(&m);
    const made_member members[] = {{.path = "quantities/0/name", .text = "gap"},
                                   {.path = "quantities/0/case", .null = true},
                                   {.path = "quantities/0/value", .number = 250e-6},
                                   {.path = "quantities/0/unit", .text = "m"},
                                   {.path = "quantities/0/low", .null = true},
                                   {.path = "quantities/0/sigma", .number = 12e-6},
                                   {.path = "quantities/0/levels", .text = "assembly"},
                                   {.path = "quantities/1/case", .text = "two"},
                                   {.path = "quantities/1/high", .number = 150e-15}};
    made_members(json, members, sizeof members / sizeof members[0]);
    assert_true(cJSON_IsTrue(made_at(json, "quantities/1/sized")));
    cJSON_Delete(json);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(writes_sections),
                                       cmocka_unit_test(writes_a_model),
                                       cmocka_unit_test(writes_quantities)};
    return cmocka_run_group_tests_name("reports/json_check", tests, NULL, NULL);
}
