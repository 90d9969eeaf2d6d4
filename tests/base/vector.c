/* The choice among widths. */
#include "lanes.h"

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

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_choice)};
    return cmocka_run_group_tests_name("base/vector", tests, NULL, NULL);
}
