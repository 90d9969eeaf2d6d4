/* Operations on lanes with AVX2 give the bits of the plain ones. */
#include "lanes.h"

static void test_bits(void **state)
{
    (void)state;
    lane_compare(4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_bits)};
    return cmocka_run_group_tests_name("base/vector_avx2", tests, NULL, NULL);
}
