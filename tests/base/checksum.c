/* Checksums: the known answers of FNV-1a, and that any byte counts. */
#include "base/checksum.h"
#include "check.h"

/* [Fowler2012], the table of test vectors, from memory. */
static const struct {
    const char *text;
    uint64_t sum;
} rows[] = {
    {"", UINT64_C(0xcbf29ce484222325)},
    {"a", UINT64_C(0xaf63dc4c8601ec8c)},
    {"foobar", UINT64_C(0x85944171f73967e8)},
};

static void test_known(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const size_t length = strlen(rows[i].text);
        const uint64_t whole = fl_checksum(FL_CHECKSUM_START, rows[i].text, length);
        assert_true(whole == rows[i].sum);
        const uint64_t half = fl_checksum(FL_CHECKSUM_START, rows[i].text, length / 2);
        assert_true(fl_checksum(half, rows[i].text + length / 2, length - length / 2) == whole);
    }
}

static void test_bits(void **state)
{
    (void)state;
    unsigned char bytes[100] = {0};
    const uint64_t none = fl_checksum(FL_CHECKSUM_START, bytes, sizeof bytes);
    for (size_t bit = 0; bit < 8 * sizeof bytes; bit++) {
        bytes[bit / 8] ^= (unsigned char)(1U << bit % 8);
        assert_true(fl_checksum(FL_CHECKSUM_START, bytes, sizeof bytes) != none);
        bytes[bit / 8] ^= (unsigned char)(1U << bit % 8);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_known), cmocka_unit_test(test_bits)};
    return cmocka_run_group_tests_name("base/checksum", tests, NULL, NULL);
}
