/* The words for levels, sides and what may be required, as design files spell them. */
#include "check.h"

#include "design/design.h"

static void test_names(void **state)
{
    (void)state;
    assert_string_equal("lot", fl_level_name(FL_LEVEL_LOT));
    assert_string_equal("wafer", fl_level_name(FL_LEVEL_WAFER));
    assert_string_equal("die", fl_level_name(FL_LEVEL_DIE));
    assert_string_equal("assembly", fl_level_name(FL_LEVEL_ASSEMBLY));
    assert_string_equal("board", fl_level_name(FL_LEVEL_BOARD));
    assert_string_equal("die", fl_side_name(FL_SIDE_DIE));
    assert_string_equal("package", fl_side_name(FL_SIDE_PACKAGE));
    assert_string_equal("board", fl_side_name(FL_SIDE_BOARD));
    assert_string_equal("return loss", fl_asked_name(FL_RETURN_LOSS));
    assert_string_equal("insertion loss", fl_asked_name(FL_INSERTION_LOSS));
    assert_string_equal("rejection", fl_asked_name(FL_REJECTION));
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_names)};
    return cmocka_run_group_tests_name("design/name", tests, NULL, NULL);
}
