/* The path as it is built. */
#include "asked.h"

static void add(asked *a, const char *text)
{
    fl_error error;
    asked_read(a, text, "response");
    check_ok(fl_result_add_pieces(a->result, a->design, a->quantities, &error), error);
    asked_forget(a);
}

static const fl_result_parameter *parameter(const fl_result_piece *piece, const char *name)
{
    for (size_t i = 0; i < piece->parameter_count; i++)
        if (strcmp(piece->parameters[i].name, name) == 0)
            return &piece->parameters[i];
    print_error("no parameter '%s'\n", name);
    fail();
    return NULL;
}

static void gives_each_section_of_each_case(void **state)
{
    (void)state;
    asked a;
    add(&a, asked_text);
    static const char *const names[] = {"pad", "wire", "stub"};
    static const char *const kinds[] = {"shunt capacitor", "series inductor", "open stub"};
    for (size_t c = 0; c < 2; c++) {
        const fl_result_case *row = &a.result->cases[c];
        assert_int_equal(3, row->piece_count);
        for (size_t i = 0; i < 3; i++) {
            assert_string_equal(names[i], row->pieces[i].name);
            assert_string_equal(kinds[i], row->pieces[i].kind);
            assert_int_equal((fl_side)i, row->pieces[i].side);
            assert_null(row->pieces[i].file);
        }
    }
    fl_result_free(a.result);
}

static void gives_values_and_where_they_come_from(void **state)
{
    (void)state;
    asked a;
    add(&a, asked_text);
    for (size_t c = 0; c < 2; c++) {
        const fl_result_piece *pieces = a.result->cases[c].pieces;
        const fl_result_parameter *cap = parameter(&pieces[0], "capacitance");
        check_close(c == 0 ? 20e-15 : 40e-15, cap->value, 1e-15, "case %zu", c);
        assert_string_equal("cap", cap->quantity);
        assert_true(cap->given && !cap->sized && !cap->substrate);
        const fl_result_parameter *length = parameter(&pieces[2], "length");
        check_close(0.3e-3, length->value, 1e-15, "middle of the range");
        assert_string_equal("stub length", length->quantity);
        assert_true(length->sized);
        const fl_result_parameter *impedance = parameter(&pieces[2], "impedance");
        assert_null(impedance->quantity);
        assert_true(impedance->given && !impedance->sized);
        assert_false(parameter(&pieces[2], "loss")->given);
    }
    fl_result_free(a.result);
}

/* Of three cases the last is built as the first. */
#define ALIKE                                                                                      \
    "{\"fairlead\": 1, \"band\": [\"26 GHz\", \"30 GHz\"], \"points\": 2,"                         \
    " \"ports\": {\"die\": {\"impedance\": \"50 ohm\"}, \"board\": {\"impedance\": \"50 ohm\"}},"  \
    " \"path\": [{\"name\": \"c\", \"kind\": \"shunt capacitor\", \"side\": \"die\","              \
    "   \"capacitance\": \"10 fF\"}],"                                                             \
    " \"cases\": [{\"name\": \"a\"}, {\"name\": \"b\", \"replace\": {\"c\": {\"kind\":"            \
    "   \"shunt capacitor\", \"side\": \"die\", \"capacitance\": \"11 fF\"}}}, {\"name\": "        \
    "\"c\"}]}"

static void says_which_cases_are_alike(void **state)
{
    (void)state;
    asked a;
    add(&a, ALIKE);
    static const size_t built_as[] = {0, 1, 0};
    for (size_t c = 0; c < 3; c++)
        assert_int_equal(built_as[c], a.result->cases[c].built_as);
    fl_result_free(a.result);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gives_each_section_of_each_case),
        cmocka_unit_test(gives_values_and_where_they_come_from),
        cmocka_unit_test(says_which_cases_are_alike),
    };
    return cmocka_run_group_tests_name("result/pieces", tests, NULL, NULL);
}
