/* Operations on lanes with AVX2. */
#include "lane_checks.h"

int main(void)
{
    int width = 4;
    const struct CMUnitTest tests[] = {LANE_CHECKS(&width)};
    return cmocka_run_group_tests_name("base/vector_avx2", tests, NULL, NULL);
}
