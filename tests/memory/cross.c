/* Every allocation of a cross-section's solution in turn fails: it says so and changes no output.
 * Linked with --wrap=aligned_alloc, the one function through which memory is taken. */
#include "check.h"

#include <stdlib.h>

#include "models/cross_strip.h"

static long until_failure; /* allocations that still succeed */

void *__real_aligned_alloc(size_t alignment, size_t size);
void *__wrap_aligned_alloc(size_t alignment, size_t size);

void *__wrap_aligned_alloc(size_t alignment, size_t size)
{
    return until_failure-- == 0 ? NULL : __real_aligned_alloc(alignment, size);
}

static void test_exhaustion(void **unused)
{
    (void)unused;
    strip s;
    strip_init(&s, 2.0, 0.1, 4.0);
    s.conductor.conductivity = s.cross.conductivity = 1e7;
    fl_status status = FL_NO_MEMORY;
    long allowed = 0;
    for (; status != FL_OK; ++allowed) {
        fl_cross_result result;
        fl_error error = {0};
        memset(&result, 7, sizeof result);
        const fl_cross_result before = result;
        until_failure = allowed;
        status = fl_cross_solve(&result, &s.cross, 1e9, &error);
        until_failure = -1;
        if (status == FL_OK)
            break;
        assert_int_equal(FL_NO_MEMORY, status);
        assert_int_equal(FL_NO_MEMORY, error.status);
        assert_memory_equal(&before, &result, sizeof result);
        assert_true(allowed < 1000);
    }
    assert_true(allowed > 5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_exhaustion)};
    return cmocka_run_group_tests_name("memory/cross", tests, NULL, NULL);
}
