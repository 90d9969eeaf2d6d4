/* Data files of a design: read once, judged, checked against the bands. */
#include "base/checksum.h"
#include "check.h"

#include "sample.h"

static char three_port[] = FL_SOURCE_DIR "/tests/data/network/three-port.s3p";

static void add_measured(sample *s, double die, double board)
{
    fl_section *section = sample_add(s, "measured");
    section->file = three_port;
    sample_set(s, "die port", die);
    sample_set(s, "board port", board);
}

static void test_reads_once_and_warns(void **unused)
{
    (void)unused;
    sample s;
    fl_error error = {0};
    fl_groundwork *groundwork = NULL;
    sample_init(&s, 20e9, 40e9);
    add_measured(&s, 1.0, 3.0);
    add_measured(&s, 3.0, 2.0);
    check_ok(fl_groundwork_new(&groundwork, &s.design, &error), error);
    /* Not reciprocal by construction, and passive: one warning, not one a section. */
    assert_int_equal(fl_groundwork_warning_count(groundwork), 1);
    assert_non_null(strstr(fl_groundwork_warning(groundwork, 0), "not reciprocal"));
    assert_null(fl_groundwork_warning(groundwork, 1));
    assert_non_null(fl_groundwork_network(groundwork, three_port));
    assert_null(fl_groundwork_network(groundwork, "other"));
    fl_groundwork_free(groundwork);
}

static void refuse(sample *s, const char *part)
{
    fl_error error = {0};
    fl_groundwork *groundwork = NULL;
    assert_int_equal(fl_groundwork_new(&groundwork, &s->design, &error), FL_BAD_INPUT);
    assert_null(groundwork);
    if (strstr(error.message, part) == NULL)
        print_error("'%s' not in '%s'\n", part, error.message);
    assert_non_null(strstr(error.message, part));
    assert_non_null(strstr(error.place, "sample"));
    assert_non_null(strstr(error.place, "three-port.s3p"));
}

/* Both ranges are named: the data's 15 to 45 GHz and the band's. */
static void test_band_outside(void **unused)
{
    (void)unused;
    sample s;
    sample_init(&s, 20e9, 50e9);
    add_measured(&s, 1.0, 2.0);
    refuse(&s, "50");
    refuse(&s, "45");
}

static void test_no_such_port(void **unused)
{
    (void)unused;
    sample s;
    sample_init(&s, 20e9, 40e9);
    add_measured(&s, 1.0, 4.0);
    refuse(&s, "4");
}

/* The sum of the files is that of their data; without a file it is that of nothing. */
static void test_checksum(void **unused)
{
    (void)unused;
    uint64_t sums[3];
    fl_error error = {0};
    for (size_t i = 0; i < 3; i++) {
        sample s;
        fl_groundwork *groundwork = NULL;
        sample_init(&s, 20e9, 40e9);
        for (size_t k = 0; k < i; k++)
            add_measured(&s, 1.0, 2.0);
        check_ok(fl_groundwork_new(&groundwork, &s.design, &error), error);
        sums[i] = fl_groundwork_checksum(groundwork);
        fl_groundwork_free(groundwork);
    }
    assert_true(sums[0] == FL_CHECKSUM_START);
    assert_true(sums[1] != sums[0] && sums[1] == sums[2]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_reads_once_and_warns), cmocka_unit_test(test_band_outside),
        cmocka_unit_test(test_checksum), cmocka_unit_test(test_no_such_port)};
    return cmocka_run_group_tests_name("path/files", tests, NULL, NULL);
}
