/* Sections and quantities of a result. */
#include "asked.h"

static const double two_pi = 6.283185307179586;

static void add(asked *a)
{
    fl_error error;
    asked_read(a, asked_text, "check");
    check_ok(fl_result_add_check(a->result, &a->study, a->quantities, &error), error);
    asked_forget(a);
}

static void lists_sections_once_if_alike(void **state)
{
    (void)state;
    static const struct {
        const char *name, *kind, *case_name;
        fl_side side;
    } rows[] = {{"pad", "shunt capacitor", "near", FL_SIDE_DIE},
                {"wire", "series inductor", NULL, FL_SIDE_PACKAGE},
                {"stub", "open stub", NULL, FL_SIDE_BOARD},
                {"pad", "shunt capacitor", "far", FL_SIDE_DIE}};
    asked a;
    add(&a);
    check_near(4.0, (double)a.result->section_count, 0.0, "sections");
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const fl_result_section *section = &a.result->sections[i];
        assert_string_equal(section->name, rows[i].name);
        assert_string_equal(section->kind, rows[i].kind);
        assert_int_equal(section->side, rows[i].side);
        assert_int_equal(section->case_name == NULL, rows[i].case_name == NULL);
        if (rows[i].case_name)
            assert_string_equal(section->case_name, rows[i].case_name);
    }
    fl_result_free(a.result);
}

static void describes_sections(void **state)
{
    (void)state;
    asked a;
    add(&a);
    assert_string_equal(a.result->sections[0].properties[0].name, "capacitance");
    check_near(20e-15, a.result->sections[0].properties[0].value, 0.0, "near");
    check_near(40e-15, a.result->sections[3].properties[0].value, 0.0, "far");
    check_near(28e9, a.result->sections[3].frequency, 0.0, "frequency");
    assert_true(isnan(a.result->sections[3].swept));
    fl_result_free(a.result);
}

/* A shunt Y between 50 ohm: S11 = -y / (2 + y), y = 50 Y; a series Z: S11 = z / (2 + z), z = Z/50
 * (from the definition of the reflection at a port closed by the rest). */
static void looks_at_sections_alone(void **state)
{
    (void)state;
    asked a;
    add(&a);
    const double w = two_pi * 28e9;
    const double b[] = {50.0 * w * 20e-15, w * 0.1e-9 / 50.0}; /* y = jb, z = jb */
    for (size_t i = 0; i < 2; i++)
        check_close(-10.0 * log10(b[i] * b[i] / (4.0 + b[i] * b[i])),
                    a.result->sections[i].return_loss_db, 1e-12, "section %zu", i);
    fl_result_free(a.result);
}

static void lists_quantities(void **state)
{
    (void)state;
    asked a;
    add(&a);
    size_t found = 0;
    for (size_t i = 0; i < a.result->quantity_count; i++) {
        const fl_result_quantity *q = &a.result->quantities[i];
        if (strcmp(q->name, "cap") == 0 && !(q->case_name && strcmp(q->case_name, "far") == 0)) {
            found++;
            check_near(20e-15, q->value, 0.0, "cap");
            assert_string_equal(q->levels, "wafer, die");
            /* Variances add: 3 % and 4 % are 5 %. */
            check_close(0.05 * 20e-15, q->sigma, 1e-12, "cap");
            assert_true(isnan(q->low));
        }
        if (strcmp(q->name, "stub length") == 0) {
            found++;
            assert_true(q->sized && q->case_name);
            assert_string_equal(q->levels, "");
            check_near(0.1e-3, q->low, 0.0, "stub length");
            check_near(0.3e-3, q->value, 1e-18, "stub length, the middle of its range");
            check_near(0.0, q->sigma, 0.0, "stub length");
        }
    }
    check_near(3.0, (double)found, 0.0, "quantities that were looked for");
    fl_result_free(a.result);
}

static void knows_the_cases(void **state)
{
    (void)state;
    asked a;
    add(&a);
    check_near(2.0, (double)a.result->case_count, 0.0, "cases");
    check_near(0.0, (double)a.result->cases[0].response.count, 0.0, "no response");
    assert_false(a.result->has_margin);
    fl_result_free(a.result);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lists_sections_once_if_alike), cmocka_unit_test(describes_sections),
        cmocka_unit_test(looks_at_sections_alone), cmocka_unit_test(lists_quantities),
        cmocka_unit_test(knows_the_cases)};
    return cmocka_run_group_tests_name("result/check", tests, NULL, NULL);
}
