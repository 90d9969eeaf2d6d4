/* The JSON report: sensitivity and yield. */
#include "reports/json.h"

#include "reports/made.h"

static void writes_sensitivity(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    cJSON *json = made_json(&m);
    const made_member members[] = {{.path = "sensitivity base dB", .number = 13.75},
                                   {.path = "sensitivity/0/name", .text = "gap"},
                                   {.path = "sensitivity/0/nominal", .number = 250e-6},
                                   {.path = "sensitivity/0/unit", .text = "m"},
                                   {.path = "sensitivity/0/dB per percent", .number = -0.08},
                                   {.path = "sensitivity/0/dB per percent up", .number = -0.08},
                                   {.path = "sensitivity/0/dB per percent down", .number = 0.03},
                                   {.path = "sensitivity/0/dB per sigma", .number = -0.412},
                                   {.path = "sensitivity/0/dB per sigma up", .number = -0.412},
                                   {.path = "sensitivity/0/dB per sigma down", .number = 0.4},
                                   {.path = "sensitivity/0/share of variance", .number = 0.315},
                                   {.path = "sensitivity/1/case", .text = "two"},
                                   {.path = "sensitivity/1/dB per sigma", .null = true},
                                   {.path = "sensitivity/1/share of variance", .null = true}};
    made_members(json, members, sizeof members / sizeof members[0]);
    cJSON_Delete(json);
}

static void writes_yield(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    cJSON *json = made_json(&m);
    const made_member members[] = {{.path = "yield/samples", .number = 20000.0},
                                   {.path = "yield/passed", .number = 19999.0},
                                   {.path = "yield/not physical", .number = 1.0},
                                   {.path = "yield/estimate", .number = 0.99995},
                                   {.path = "yield/low", .number = 0.9645},
                                   {.path = "yield/high", .number = 0.999999},
                                   {.path = "yield/confidence", .number = 0.95},
                                   {.path = "yield/return loss dB percentiles/1", .number = 13.1},
                                   {.path = "yield/return loss dB percentiles/50", .number = 17.9},
                                   {.path = "yield/curve/1/return loss dB", .number = 15.0},
                                   {.path = "yield/curve/1/yield", .number = 0.96},
                                   {.path = "yield/failures/0/case", .text = "two"},
                                   {.path = "yield/failures/0/quantity", .text = "return loss"},
                                   {.path = "yield/failures/0/port", .text = "board"},
                                   {.path = "yield/failures/0/samples", .number = 1500.0},
                                   {.path = "yield/failures/0/low in band", .number = 1200.0},
                                   {.path = "yield/failures/0/high in band", .number = 299.0},
                                   {.path = "yield/failures/1/port", .null = true},
                                   {.path = "yield/shifts/1/name", .text = "gap"},
                                   {.path = "yield/shifts/1/mean failing", .number = 262e-6},
                                   {.path = "yield/shifts/1/shift in sigmas", .number = 1.1}};
    made_members(json, members, sizeof members / sizeof members[0]);
    cJSON_Delete(json);
}

static void writes_precision(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    cJSON *json = made_json(&m);
    made_members(json, &(made_member){.path = "yield/precision", .null = true}, 1);
    cJSON_Delete(json);
    m.result.stopping = (fl_stopping){0.002, true, 7, 16, 0.997};
    json = made_json(&m);
    const made_member members[] = {
        {.path = "yield/precision/asked", .number = 0.002},
        {.path = "yield/precision/looks", .number = 7.0},
        {.path = "yield/precision/most looks", .number = 16.0},
        {.path = "yield/precision/confidence of a look", .number = 0.997}};
    made_members(json, members, sizeof members / sizeof members[0]);
    assert_true(cJSON_IsTrue(made_at(json, "yield/precision/reached")));
    cJSON_Delete(json);
}

static void writes_plan(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    cJSON *json = made_json(&m);
    const made_member without[] = {{.path = "yield/sampling", .text = "random"},
                                   {.path = "yield/interval from", .text = "samples"},
                                   {.path = "yield/plan", .null = true},
                                   {.path = "yield/wafers", .null = true},
                                   {.path = "yield/lots", .null = true}};
    made_members(json, without, sizeof without / sizeof without[0]);
    cJSON_Delete(json);
    m.result.sampling = FL_SAMPLING_SOBOL;
    m.result.basis = FL_BASIS_REPLICATES;
    json = made_json(&m);
    const made_member even[] = {{.path = "yield/sampling", .text = "scrambled Sobol"},
                                {.path = "yield/interval from", .text = "replicates"}};
    made_members(json, even, sizeof even / sizeof even[0]);
    cJSON_Delete(json);
    m.result.sampling = FL_SAMPLING_IMPORTANCE;
    m.result.basis = FL_BASIS_WEIGHTS;
    m.result.rare = (fl_rarity){.failing = 2.5e-6, .error = (double)NAN};
    json = made_json(&m);
    const made_member rare[] = {{.path = "yield/sampling", .text = "importance"},
                                {.path = "yield/interval from", .text = "weights"},
                                {.path = "yield/importance/failing", .number = 2.5e-6},
                                {.path = "yield/importance/standard error", .null = true}};
    made_members(json, rare, sizeof rare / sizeof rare[0]);
    cJSON_Delete(json);
    m.result.sampling = FL_SAMPLING_RANDOM;
    made_plan(&m);
    m.result.lots.sigma = (double)NAN;
    json = made_json(&m);
    const made_member with[] = {{.path = "yield/interval from", .text = "lots"},
                                {.path = "yield/effective samples", .number = 411.7},
                                {.path = "yield/plan/wafers", .number = 2.0},
                                {.path = "yield/plan/dice per wafer", .number = 2000.0},
                                {.path = "yield/wafers/count", .number = 6.0},
                                {.path = "yield/wafers/dice", .number = 2000.0},
                                {.path = "yield/wafers/mean", .number = 0.94575},
                                {.path = "yield/wafers/standard deviation", .number = 0.0596},
                                {.path = "yield/wafers/least", .number = 0.85},
                                {.path = "yield/wafers/5", .number = 0.85},
                                {.path = "yield/wafers/50", .number = 0.95},
                                {.path = "yield/wafers/95", .number = 0.9995},
                                {.path = "yield/wafers/best", .number = 0.99998},
                                {.path = "yield/wafers/good dice/mean", .number = 1891.5},
                                {.path = "yield/wafers/good dice/5", .number = 1700.0},
                                {.path = "yield/wafers/good dice/95", .number = 1999.0},
                                {.path = "yield/lots/count", .number = 3.0},
                                {.path = "yield/lots/dice", .number = 4000.0},
                                {.path = "yield/lots/standard deviation", .null = true},
                                {.path = "yield/lots/good dice/95", .number = 3850.0}};
    made_members(json, with, sizeof with / sizeof with[0]);
    cJSON_Delete(json);
}

static void writes_yield_without_return_loss(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    m.result.percentile_count = m.result.curve_count = 0;
    cJSON *json = made_json(&m);
    const made_member members[] = {{.path = "yield/return loss dB percentiles", .null = true},
                                   {.path = "yield/curve", .null = true}};
    made_members(json, members, 2);
    cJSON_Delete(json);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(writes_sensitivity), cmocka_unit_test(writes_yield),
        cmocka_unit_test(writes_plan), cmocka_unit_test(writes_precision),
        cmocka_unit_test(writes_yield_without_return_loss)};
    return cmocka_run_group_tests_name("reports/json_studies", tests, NULL, NULL);
}
