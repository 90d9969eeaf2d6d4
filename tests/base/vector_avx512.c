/* Operations on lanes with AVX-512. */
#include "lane_checks.h"

int main(void)
{
    int width = 8;
    const struct CMUnitTest tests[] = {LANE_CHECKS(&width)};
    return cmocka_run_group_tests_name("base/vector_avx512", tests, NULL, NULL);
}
