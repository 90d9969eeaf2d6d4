/* What the rules let pass. */
#include "check.h"
#include "design/design.h"

static void rules(void **state)
{
    (void)state;
    static const struct {
        fl_rule rule;
        double value;
        bool holds;
    } rows[] = {
        {FL_POSITIVE, 1e-30, true},     {FL_POSITIVE, 0.0, false},
        {FL_POSITIVE, -1e-30, false},   {FL_NOT_NEGATIVE, 0.0, true},
        {FL_NOT_NEGATIVE, -0.0, true},  {FL_NOT_NEGATIVE, -1e-30, false},
        {FL_AT_LEAST_ONE, 1.0, true},   {FL_AT_LEAST_ONE, 0.999999, false},
        {FL_ANY, -3.0, true},           {FL_WHOLE, 1.0, true},
        {FL_WHOLE, 7.0, true},          {FL_WHOLE, 0.0, false},
        {FL_WHOLE, -1.0, false},        {FL_WHOLE, 1.5, false},
        {FL_WHOLE_OR_NONE, 0.0, true},  {FL_WHOLE_OR_NONE, 2.0, true},
        {FL_WHOLE_OR_NONE, 0.5, false}, {FL_WHOLE_OR_NONE, -1.0, false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        if (fl_rule_holds(rows[i].rule, rows[i].value) == rows[i].holds)
            continue;
        print_error("rule %d at %g: wanted %d\n", (int)rows[i].rule, rows[i].value, rows[i].holds);
        fail();
    }
}

static void whole_rules(void **state)
{
    (void)state;
    assert_true(fl_rule_whole(FL_WHOLE));
    assert_true(fl_rule_whole(FL_WHOLE_OR_NONE));
    assert_false(fl_rule_whole(FL_POSITIVE));
    assert_false(fl_rule_whole(FL_NOT_NEGATIVE));
    assert_false(fl_rule_whole(FL_AT_LEAST_ONE));
    assert_false(fl_rule_whole(FL_ANY));
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(rules), cmocka_unit_test(whole_rules)};
    return cmocka_run_group_tests_name("design/rule", tests, NULL, NULL);
}
