/* Network data as bytes: the same S-parameters, to the bit. */
#include "check.h"

#include "models/models.h"

static void compare(const fl_network *a, const fl_network *b)
{
    double ends[4], s[2][2];
    fl_network_range(a, &ends[0], &ends[1]);
    fl_network_range(b, &ends[2], &ends[3]);
    assert_memory_equal(ends, ends + 2, 2 * sizeof *ends);
    assert_int_equal(fl_network_ports(a), fl_network_ports(b));
    for (size_t i = 0; i < fl_network_ports(a); i++)
        for (size_t j = 0; j < fl_network_ports(a); j++)
            for (int k = 0; k <= 100; k++) {
                const double frequency = ends[0] + (ends[1] - ends[0]) * k / 100.0;
                fl_network_s(a, i, j, frequency, s[0]);
                fl_network_s(b, i, j, frequency, s[1]);
                assert_memory_equal(s[0], s[1], sizeof s[0]);
            }
    for (size_t i = 0; i < fl_network_ports(a); i++)
        check_near(fl_network_reference(a, i), fl_network_reference(b, i), 0.0, "reference");
}

static void test_round(void **state)
{
    (void)state;
    fl_text text;
    fl_unpack from;
    fl_arena arena;
    fl_error error = {0};
    fl_network *network = NULL;
    check_ok(fl_network_read(&network, FL_SOURCE_DIR "/examples/retune/second-package.s2p", &error),
             error);
    fl_text_init(&text);
    fl_arena_init(&arena);
    fl_network_pack(&text, network);
    fl_unpack_init(&from, &arena, text.bytes, text.length);
    const fl_network *back = fl_network_unpack(&from);
    assert_non_null(back);
    assert_true(from.at == from.end);
    compare(network, back);
    for (size_t length = 0; length < text.length; length += 7) {
        fl_unpack_init(&from, &arena, text.bytes, length);
        assert_null(fl_network_unpack(&from));
    }
    fl_text_release(&text);
    fl_arena_release(&arena);
    fl_network_free(network);
}

/* Frequencies that do not rise, and references that are none. */
static void test_wrong(void **state)
{
    (void)state;
    static const double rows[][3] = {{50.0, 2e9, 1e9}, {50.0, 1e9, 1e9}, {0.0, 1e9, 2e9}};
    for (size_t i = 0; i < 3; i++) {
        fl_text text;
        fl_unpack from;
        fl_arena arena;
        const double s[4] = {0.1, 0.0, 0.2, 0.0};
        fl_text_init(&text);
        fl_arena_init(&arena);
        fl_pack_count(&text, 1);
        fl_pack_count(&text, 2);
        fl_pack_numbers(&text, rows[i], 3);
        fl_pack_numbers(&text, s, 4);
        fl_unpack_init(&from, &arena, text.bytes, text.length);
        assert_null(fl_network_unpack(&from));
        fl_text_release(&text);
        fl_arena_release(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_round), cmocka_unit_test(test_wrong)};
    return cmocka_run_group_tests_name("models/scattering", tests, NULL, NULL);
}
