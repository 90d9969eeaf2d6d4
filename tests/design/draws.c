/* Draws: levels, groups, correlations. */
#include "reading.h"

/* Two capacitors on the die and one on the board. */
#define CAPACITOR(name, side, json)                                                                \
    "{\"name\": \"" name "\", \"kind\": \"shunt capacitor\", \"side\": \"" side                    \
    "\", \"capacitance\": " json "}"
#define SPREAD(json) "{\"value\": \"1 pF\", \"spread\": " json "}"
#define THREE(a, b, c)                                                                             \
    SAMPLE_HEAD "\"path\": [" CAPACITOR("a", "die", SPREAD(a)) ", " CAPACITOR(                     \
        "b", "die", SPREAD(b)) ", " CAPACITOR("c", "board", SPREAD(c)) "]"

static void levels_follow_the_side(void **state)
{
    (void)state;
    fl_design *design =
        sample_good(THREE("{\"normal\": \"1 %\"}", "{\"normal\": \"1 %\", \"level\": \"lot\"}",
                          "{\"uniform\": \"1 %\"}") "}");
    static const fl_level wanted[] = {FL_LEVEL_DIE, FL_LEVEL_LOT, FL_LEVEL_BOARD};
    assert_int_equal(design->draw_count, 3);
    assert_int_equal(design->group_count, 0);
    for (size_t i = 0; i < 3; i++) {
        assert_int_equal(design->quantities[i].spreads[0].level, wanted[i]);
        assert_int_equal(design->quantities[i].spreads[0].draw, i);
        assert_int_equal(design->draws[i].level, wanted[i]);
        assert_int_equal(design->draws[i].group, FL_NONE);
        assert_string_equal(design->draws[i].name, design->quantities[i].name);
    }
    fl_design_release(design);
}

static void groups_share_draws_at_each_level(void **state)
{
    (void)state;
    fl_design *design =
        sample_good(THREE("{\"normal\": \"1 %\", \"group\": \"g\"}",
                          "[{\"normal\": \"2 %\", \"group\": \"g\"}, {\"normal\": \"1 %\"}]",
                          "[{\"uniform\": \"1 %\", \"group\": \"g\"}, {\"normal\": \"1 %\", "
                          "\"group\": \"h\"}]") ", \"correlations\": [[\"h\", \"g\", -0.5]]}");
    const fl_quantity *quantities = design->quantities;
    assert_int_equal(design->draw_count, 4);
    assert_int_equal(quantities[0].spreads[0].draw, 0);
    assert_int_equal(quantities[1].spreads[0].draw, 0);
    assert_int_equal(quantities[1].spreads[1].draw, 1);
    assert_int_equal(quantities[2].spreads[0].draw, 2); /* the same group at another level */
    assert_int_equal(quantities[2].spreads[1].draw, 3);
    assert_int_equal(design->group_count, 2);
    assert_string_equal(design->groups[0], "g");
    assert_string_equal(design->groups[1], "h");
    assert_string_equal(design->draws[2].name, "g");
    assert_int_equal(design->correlation_count, 1);
    assert_int_equal(design->correlations[0].group[0], 1);
    assert_int_equal(design->correlations[0].group[1], 0);
    check_near(-0.5, design->correlations[0].value, 0.0, "correlation");
    fl_design_release(design);
}

static void several_sides_need_a_level(void **state)
{
    (void)state;
#define SHARED(level)                                                                              \
    SAMPLE_HEAD "\"quantities\": {\"c\": " SPREAD(                                                 \
        "{\"normal\": \"1 %\"" level                                                               \
        "}") "}, "                                                                                 \
             "\"path\": [" CAPACITOR("a", "die", "\"@c\"") ", " CAPACITOR("b", "board",            \
                                                                          "\"@c\"") "]}"
    sample_bad(SHARED(""), "quantities.c", "'c' is used on several sides");
    fl_design *design = sample_good(SHARED(", \"level\": \"lot\""));
    assert_int_equal(design->quantities[0].side, FL_SIDE_DIE);
    fl_design_release(design);
}

#define GROUPED(correlations)                                                                      \
    THREE("{\"normal\": \"1 %\", \"group\": \"oxide\"}",                                           \
          "{\"normal\": \"1 %\", \"group\": \"metal\"}", "{\"normal\": \"1 %\"}")                  \
    ", \"correlations\": " correlations "}"

static const struct {
    const char *text, *place, *message;
} bad[] = {
    {GROUPED("{}"), "correlations", "expected a list"},
    {GROUPED("[[]]"), "correlations[0]", "expected two groups and a number"},
    {GROUPED("[3]"), "correlations[0]", "expected two groups and a number"},
    {GROUPED("[[\"oxide\", \"metal\"]]"), "correlations[0]", "expected two groups"},
    {GROUPED("[[\"oxide\", \"metal\", 0.1, 0.2]]"), "correlations[0]", "expected two groups"},
    {GROUPED("[[\"oxide\", \"metal\", \"0.1\"]]"), "correlations[0][2]", "expected a bare number"},
    {GROUPED("[[\"oxide\", \"metall\", 0.1]]"), "correlations[0][1]",
     "there is no group 'metall'; the nearest is 'metal'"},
    {GROUPED("[[\"oxide\", 3, 0.1]]"), "correlations[0][1]", "expected a name"},
    {GROUPED("[[\"oxide\", \"oxide\", 0.1]]"), "correlations[0]", "with itself"},
    {GROUPED("[[\"oxide\", \"metal\", 1]]"), "correlations[0][2]", "between -1 and 1"},
    {GROUPED("[[\"oxide\", \"metal\", -1]]"), "correlations[0][2]", "between -1 and 1"},
    {GROUPED("[[\"oxide\", \"metal\", 0.1], [\"metal\", \"oxide\", 0.1]]"), "correlations[1]",
     "given twice"},
};

static void bad_correlations(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(bad); i++)
        sample_bad(bad[i].text, bad[i].place, bad[i].message);
}

/* Groups that share one level of several are correlated there, which is nothing to warn of. */
static void correlations_need_a_level_in_common(void **state)
{
    (void)state;
#define APART(level)                                                                               \
    THREE("{\"normal\": \"1 %\", \"group\": \"oxide\", \"level\": \"wafer\"}",                     \
          "{\"normal\": \"1 %\", \"group\": \"metal\", \"level\": \"lot\"}",                       \
          "{\"normal\": \"1 %\", \"group\": \"metal\", \"level\": \"" level "\"}")                 \
    ", \"correlations\": [[\"oxide\", \"metal\", 0.5]]}"
    fl_design *design = sample_good(APART("wafer"));
    assert_int_equal(design->warning_count, 0);
    fl_design_release(design);
    design = sample_good(APART("die"));
    assert_int_equal(design->correlation_count, 1);
    assert_int_equal(design->warning_count, 1);
    assert_non_null(strstr(design->warnings[0], "correlations[0]: groups 'oxide' (wafer) and "
                                                "'metal' (lot, die) share no level"));
    fl_design_release(design);
}

/* A size of each case has draws by its name: the cases share a sample. */
static void cases_share_draws(void **state)
{
    (void)state;
    fl_design *design = sample_good(
        SAMPLE_HEAD "\"path\": [" CAPACITOR("a", "board",
                                            "{\"size\": [\"1 pF\", \"2 pF\"], "
                                            "\"per case\": true, \"spread\": {\"normal\": \"1 %\"}"
                                            "}") "], \"cases\": [{\"name\": \"x\"}, {\"name\": "
                                                 "\"y\"}]}");
    assert_int_equal(design->quantity_count, 2);
    assert_int_equal(design->draw_count, 1);
    assert_int_equal(design->quantities[1].spreads[0].draw, 0);
    fl_design_release(design);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(levels_follow_the_side),
        cmocka_unit_test(groups_share_draws_at_each_level),
        cmocka_unit_test(several_sides_need_a_level),
        cmocka_unit_test(bad_correlations),
        cmocka_unit_test(correlations_need_a_level_in_common),
        cmocka_unit_test(cases_share_draws),
    };
    return cmocka_run_group_tests_name("design/draws", tests, NULL, NULL);
}
