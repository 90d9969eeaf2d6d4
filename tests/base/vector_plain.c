/* Operations on lanes with the vectors that every processor has. */
#include "lane_checks.h"

int main(void)
{
    int width = 2;
    const struct CMUnitTest tests[] = {LANE_CHECKS(&width)};
    return cmocka_run_group_tests_name("base/vector_plain", tests, NULL, NULL);
}
