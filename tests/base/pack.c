/* Values as bytes: what was written comes back; what is cut or wrong is seen. */
#include "check.h"

#include "base/pack.h"

static const double numbers[] = {0.0, -0.0, 1.0, 62e-15, -1.7976931348623157e308, 5e-324};
static const int64_t shorts[] = {0, 1, -1, 63, -64, 64, 1000000, INT64_MAX, INT64_MIN};
enum { NUMBERS = sizeof numbers / sizeof *numbers, SHORTS = sizeof shorts / sizeof *shorts };

static void write_all(fl_text *text)
{
    fl_text_init(text);
    fl_pack_flag(text, true);
    fl_pack_count(text, 70000);
    fl_pack_count(text, SIZE_MAX);
    fl_pack_whole(text, UINT64_MAX - 1);
    fl_pack_numbers(text, numbers, NUMBERS);
    for (size_t i = 0; i < SHORTS; i++)
        fl_pack_short(text, shorts[i]);
    fl_pack_string(text, "mould, 50 \xC2\xB5m");
    fl_pack_string(text, NULL);
    fl_pack_string(text, "");
    assert_false(fl_text_failed(text));
}

/* Reads as it was written; false as soon as something is wrong. */
static bool read_all(fl_unpack *from)
{
    bool well = fl_unpack_flag(from);
    well = fl_unpack_index(from, 70001) == 70000 && well;
    well = fl_unpack_index_or_none(from, 1) == SIZE_MAX && well;
    well = fl_unpack_whole(from) == UINT64_MAX - 1 && well;
    const double *got = fl_unpack_numbers(from, NUMBERS);
    well = well && got != NULL && memcmp(got, numbers, sizeof numbers) == 0;
    for (size_t i = 0; i < SHORTS; i++)
        well = fl_unpack_short(from) == shorts[i] && well;
    well = strcmp(fl_unpack_string(from), "mould, 50 \xC2\xB5m") == 0 && well;
    well = fl_unpack_string_or_none(from) == NULL && well;
    well = strcmp(fl_unpack_string(from), "") == 0 && well;
    return well && fl_unpack_well(from);
}

static void test_round(void **state)
{
    (void)state;
    fl_text text;
    fl_unpack from;
    fl_arena arena;
    fl_arena_init(&arena);
    write_all(&text);
    fl_unpack_init(&from, &arena, text.bytes, text.length);
    assert_true(read_all(&from));
    assert_true(from.at == from.end);
    fl_text_release(&text);
    fl_arena_release(&arena);
}

static void test_cut(void **state)
{
    (void)state;
    fl_text text;
    write_all(&text);
    for (size_t length = 0; length < text.length; length++) {
        fl_unpack from;
        fl_arena arena;
        fl_arena_init(&arena);
        fl_unpack_init(&from, &arena, text.bytes, length);
        assert_false(read_all(&from));
        assert_false(fl_unpack_well(&from));
        assert_null(fl_unpack_take(&from, 1, 1));
        fl_arena_release(&arena);
    }
    fl_text_release(&text);
}

/* After a failed read all others give nothing. */
static void test_wrong(void **state)
{
    (void)state;
    static const struct {
        const char *what, *bytes;
        size_t length;
    } rows[] = {{"flag of 2", "\2", 1},
                {"count over what there is", "\xFF\0\0\0ab", 6},
                {"index at its limit", "\3\0\0\0", 4},
                {"infinity", "\0\0\0\0\0\0\xF0\x7F", 8},
                {"string of wrong UTF-8", "\1\0\0\0\xFF", 5},
                {"string with a NUL", "\2\0\0\0a\0", 6},
                {"short of eleven bytes", "\xFF\xFF\xFF\xFF\xFF\xFF\xFF\xFF\xFF\xFF\1", 11}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        fl_unpack from;
        fl_arena arena;
        fl_arena_init(&arena);
        fl_unpack_init(&from, &arena, rows[i].bytes, rows[i].length);
        switch (i) {
        case 0:
            fl_unpack_flag(&from);
            break;
        case 1:
            fl_unpack_count(&from, 1);
            break;
        case 2:
            fl_unpack_index(&from, 3);
            break;
        case 3:
            fl_unpack_number(&from);
            break;
        case 6:
            fl_unpack_short(&from);
            break;
        default:
            fl_unpack_string(&from);
        }
        if (fl_unpack_well(&from))
            fail_msg("%s was read", rows[i].what);
        assert_true(fl_unpack_whole(&from) == 0);
        fl_arena_release(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_round), cmocka_unit_test(test_cut),
                                       cmocka_unit_test(test_wrong)};
    return cmocka_run_group_tests_name("base/pack", tests, NULL, NULL);
}
