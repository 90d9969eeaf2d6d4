/* Writing of live models. */
#include "examples.h"

#include "base/checksum.h"

static void test_head(void **state)
{
    (void)state;
    live_example own;
    live_example_open(&own, live_examples[3]);
    assert_memory_equal(own.bytes.bytes, FL_LIVE_MARK, sizeof FL_LIVE_MARK - 1);
    const size_t head = sizeof FL_LIVE_MARK - 1 + 4 + 8;
    const uint64_t sum =
        fl_checksum(FL_CHECKSUM_START, own.bytes.bytes + head, own.bytes.length - head);
    for (int i = 0; i < 8; i++)
        assert_int_equal((unsigned char)own.bytes.bytes[head - 8 + (size_t)i], sum >> 8 * i & 0xFF);
    live_example_close(&own);
}

/* The same bytes each time, on any number of threads, behind what is there. */
static void test_same(void **state)
{
    (void)state;
    live_example own;
    fl_error error = {0};
    fl_text again;
    live_example_open(&own, live_examples[1]);
    fl_text_init(&again);
    fl_text_add(&again, "before");
    own.study.threads = 2;
    check_ok(fl_live_write(&again, &own.study, own.quantities, &error), error);
    assert_int_equal(again.length, own.bytes.length + 6);
    assert_memory_equal(again.bytes + 6, own.bytes.bytes, own.bytes.length);
    fl_text_release(&again);
    live_example_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_head), cmocka_unit_test(test_same)};
    return cmocka_run_group_tests_name("live/write", tests, NULL, NULL);
}
