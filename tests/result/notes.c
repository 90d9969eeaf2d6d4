/* What is said to be left out, by the kinds in use. */
#include "asked.h"
#include "result/parts.h"

static bool says(const char *const *texts, size_t count, const char *part)
{
    for (size_t i = 0; i < count; i++)
        if (strstr(texts[i], part) != NULL)
            return true;
    return false;
}

/** A text for every design, one for a kind in use, none for a kind that is not. */
static void follows_kinds(void **state)
{
    (void)state;
    asked a;
    fl_error error;
    fl_result_pictures pictures = {0};
    asked_read(&a, asked_text, "response");
    check_ok(fl_result_notes(a.result, &pictures, a.design, &error), error);
    static const struct {
        const char *part;
        bool wanted;
    } rows[] = {{"Radiation", true}, {"given by their impedance", true}, {"own resonances", true},
                {"wires", false},    {"Spreads of measured", false},     {"Bends", false}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const bool got = says(pictures.not_modelled, pictures.not_modelled_count, rows[i].part);
        if (got != rows[i].wanted)
            print_error("%s: wanted %d\n", rows[i].part, rows[i].wanted);
        assert_int_equal(got, rows[i].wanted);
    }
    assert_true(says(pictures.cautions, pictures.caution_count, "no approval"));
    assert_false(says(pictures.cautions, pictures.caution_count, "short direct current"));
    asked_forget(&a);
    fl_result_free(a.result);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(follows_kinds)};
    return cmocka_run_group_tests_name("result/notes", tests, NULL, NULL);
}
