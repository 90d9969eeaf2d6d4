/* Kinds as bytes: closed ones come back as themselves, costly ones as what stands in for them. */
#include "check.h"

#include "models/models.h"

static const fl_kind *back_of(fl_arena *arena, const fl_kind *kind)
{
    fl_text text;
    fl_unpack from;
    fl_text_init(&text);
    fl_kind_pack(&text, kind);
    fl_unpack_init(&from, arena, text.bytes, text.length);
    const fl_kind *back = fl_kind_unpack(&from);
    assert_non_null(back);
    assert_true(from.at == from.end);
    fl_text_release(&text);
    return back;
}

static void check_stand_in(const fl_physics *kind, const fl_physics *back)
{
    fl_error error = {0};
    const fl_setting setting = {.w0 = 1e11};
    double parameters[FL_PARTIALS] = {0.0}, values[FL_ELEMENTS][FL_VALUES];
    assert_string_equal(kind->kind.name, back->kind.name);
    assert_int_equal(kind->kind.parameter_count, back->kind.parameter_count);
    for (size_t i = 0; i < kind->kind.parameter_count; i++)
        assert_int_equal(kind->kind.parameters[i].rule, back->kind.parameters[i].rule);
    assert_int_equal(kind->form_count, back->form_count);
    assert_memory_equal(kind->forms, back->forms, kind->form_count * sizeof *kind->forms);
    assert_int_equal(kind->along, back->along);
    assert_int_equal(back->solve(values, parameters, &setting, &error), FL_BAD_INPUT);
    assert_non_null(strstr(error.message, "fits"));
}

static void test_all(void **state)
{
    (void)state;
    size_t costly = 0;
    for (size_t i = 0; fl_models[i] != NULL; i++) {
        fl_arena arena;
        fl_arena_init(&arena);
        const fl_kind *back = back_of(&arena, &fl_models[i]->kind);
        costly += fl_models[i]->solve != NULL;
        if (fl_models[i]->solve != NULL)
            check_stand_in(fl_models[i], (const fl_physics *)back);
        else if (back != &fl_models[i]->kind)
            fail_msg("'%s' is not itself", back->name);
        fl_arena_release(&arena);
    }
    assert_true(costly > 0);
}

static void test_wrong(void **state)
{
    (void)state;
    static const struct {
        const char *bytes;
        size_t length;
    } rows[] = {{"\3\0\0\0abc\0", 8}, /* closed and not known */
                {"\3\0\0\0abc\1\xFF\0\0\0", 12},
                {"\3\0\0\0abc\1\0\0\0\0\0\0\0\0\0\0\0\0", 20}, /* no form */
                {"\0\0\0\0", 4}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        fl_arena arena;
        fl_unpack from;
        fl_arena_init(&arena);
        fl_unpack_init(&from, &arena, rows[i].bytes, rows[i].length);
        assert_null(fl_kind_unpack(&from));
        fl_arena_release(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_all), cmocka_unit_test(test_wrong)};
    return cmocka_run_group_tests_name("models/stand_in", tests, NULL, NULL);
}
