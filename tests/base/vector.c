/* The choice among widths. */
#include "base/vector.h"
#include "check.h"

static void test_choice(void **state)
{
    (void)state;
    const fl_vector *widest = fl_vector_widest();
    assert_non_null(widest);
    assert_ptr_equal(fl_vector_of(2), fl_vector_plain());
    assert_null(fl_vector_of(0));
    assert_null(fl_vector_of(3));
    assert_null(fl_vector_of(16));
    for (int width = 2; width <= 8; width *= 2) {
        const fl_vector *found = fl_vector_of(width);
        if (found == NULL)
            continue;
        assert_int_equal(found->width, width);
        assert_int_equal(FL_LANES % width, 0);
        assert_true(widest->width >= width);
    }
}

enum { NUMBERS = 203 }; /* no multiple of any width */

typedef double function(double x);

/* Against the C library, at every width: its own error is below one unit in the last place, ours
 * below four. A small part of an array gives the same bits as the whole. */
static void check_function(const char *name, const double *x, const double *got, const double *part,
                           function *wanted)
{
    for (size_t i = 0; i < NUMBERS; i++)
        check_close(wanted(x[i]), got[i], 9e-16, "%s of %.17g", name, x[i]);
    assert_memory_equal(got, part, 3 * sizeof *got);
}

static void test_functions(void **state)
{
    (void)state;
    double positive[NUMBERS], any[NUMBERS], angle[NUMBERS];
    double got[5][NUMBERS], part[3];
    for (size_t i = 0; i < NUMBERS; i++) {
        const double far = ((double)i - 101.5) / 10.0;
        positive[i] = exp(3.0 * far) * (1.0 + 1e-3 * (double)i);
        any[i] = (i % 2 == 0 ? 1.0 : -1.0) * exp(far);
        angle[i] = far;
    }
    any[0] = 0.0;
    any[1] = 1.0;
    any[2] = 0x1p400;
    for (int width = 2; width <= 8; width *= 2) {
        const fl_vector *vector = fl_vector_of(width);
        if (vector == NULL)
            continue;
        vector->exponentials(got[4], angle, NUMBERS);
        for (size_t i = 0; i < NUMBERS; i++)
            check_close(exp(angle[i]), got[4][i], 9e-16, "exp of %.17g", angle[i]);
        vector->logarithms(got[0], positive, NUMBERS);
        vector->logarithms(part, positive, 3);
        check_function("ln", positive, got[0], part, log);
        vector->arctangents(got[1], any, NUMBERS);
        vector->arctangents(part, any, 3);
        check_function("atan", any, got[1], part, atan);
        vector->turns(got[2], got[3], angle, NUMBERS);
        vector->turns(part, got[4], angle, 3);
        for (size_t i = 0; i < NUMBERS; i++) {
            check_near(sin(angle[i]), got[2][i], 3e-16, "sin of %.17g", angle[i]);
            check_near(cos(angle[i]), got[3][i], 3e-16, "cos of %.17g", angle[i]);
        }
        assert_memory_equal(got[2], part, sizeof part);
    }
    /* Beyond 1e5 by the library itself. */
    const double large[] = {1e9, -3.0, (double)INFINITY};
    double sine[3], cosine[3];
    fl_vector_widest()->turns(sine, cosine, large, 3);
    check_near(sin(1e9), sine[0], 0.0, "sin of 1e9");
    check_near(cos(-3.0), cosine[1], 0.0, "cos of -3");
    assert_true(isnan(sine[2]) && isnan(cosine[2]));
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_choice),
                                       cmocka_unit_test(test_functions)};
    return cmocka_run_group_tests_name("base/vector", tests, NULL, NULL);
}
