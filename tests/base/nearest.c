/* The nearest word: what is suggested and what is not. */
#include "check.h"

#include "base/text.h"

static const char *const words[] = {"length", "width", "loop height", "capacitance", "gap",
                                    "size",   "side",  "impedance",   "die cap",     "path"};

static void test_words(void **state)
{
    (void)state;
    static const struct {
        const char *wrong, *wanted; /* by hand */
    } rows[] = {
        {"lenght", "length"},
        {"widht", "width"},
        {"Loop Height", "loop height"},
        {"loopheight", "loop height"},
        {"capacitence", "capacitance"},
        {"gp", "gap"},
        {"siz", "size"},
        {"sizes", "size"},
        {"side", "side"},
        {"sixe", "size"},
        {"DIE CAP", "die cap"},
        {"qqqq", NULL},
        {"", NULL},
        {"inductance", NULL},
        {"pth", "path"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const char *got = fl_nearest(rows[i].wrong, words, sizeof words / sizeof words[0]);
        if (got != rows[i].wanted &&
            (got == NULL || rows[i].wanted == NULL || strcmp(got, rows[i].wanted) != 0))
            fail_msg("'%s': wanted '%s', got '%s'", rows[i].wrong,
                     rows[i].wanted ? rows[i].wanted : "-", got ? got : "-");
    }
    assert_null(fl_nearest("length", words, 0));
}

/* Of words equally near, the first. */
static void test_tie(void **state)
{
    (void)state;
    static const char *const twins[] = {"abcd", "abce"};
    assert_ptr_equal(twins[0], fl_nearest("abcf", twins, 2));
    assert_ptr_equal(twins[1], fl_nearest("abce", twins, 2));
}

static void test_long(void **state)
{
    (void)state;
    char wrong[100000];
    memset(wrong, 'a', sizeof wrong - 1);
    wrong[sizeof wrong - 1] = '\0';
    const char *entry = wrong;
    assert_null(fl_nearest(wrong, &entry, 1));
    const char *shorter = wrong + sizeof wrong - 1 - 64; /* the longest that is compared */
    entry = shorter + 1;
    assert_ptr_equal(entry, fl_nearest(shorter, &entry, 1));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_words),
        cmocka_unit_test(test_tie),
        cmocka_unit_test(test_long),
    };
    return cmocka_run_group_tests_name("base/nearest", tests, NULL, NULL);
}
