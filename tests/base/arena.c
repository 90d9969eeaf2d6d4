/* Memory: zeroed, aligned, refused on overflow; arenas of any mix of sizes. */
#include "check.h"

#include <stdbool.h>

#include "base/arena.h"

static bool is_zero(const char *bytes, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (bytes[i] != 0)
            return false;
    return true;
}

static void test_take(void **state)
{
    (void)state;
    static const size_t sizes[] = {0, 1, 63, 64, 65, 4095, 100000};
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        char *block = fl_memory_take(sizes[i], 1);
        assert_non_null(block);
        assert_int_equal(0, (uintptr_t)block % 64);
        assert_true(is_zero(block, sizes[i]));
        memset(block, 0x5A, sizes[i]); /* for the next block, and for the sanitizer */
        fl_memory_free(block);
    }
    fl_memory_free(NULL);
}

static void test_overflow(void **state)
{
    (void)state;
    fl_arena arena;
    fl_arena_init(&arena);
    static const size_t rows[][2] = {{SIZE_MAX, 2},     {2, SIZE_MAX},
                                     {SIZE_MAX / 2, 3}, {SIZE_MAX, 1},
                                     {1, SIZE_MAX - 1}, {(size_t)1 << 33, (size_t)1 << 33}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_null(fl_memory_take(rows[i][0], rows[i][1]));
        assert_null(fl_memory_grow(NULL, 0, rows[i][0], rows[i][1]));
        assert_null(fl_arena_take(&arena, rows[i][0], rows[i][1]));
    }
    assert_null(fl_arena_copy(&arena, "x", SIZE_MAX));
    fl_arena_release(&arena);
}

static void test_grow(void **state)
{
    (void)state;
    int *numbers = NULL;
    size_t count = 0;
    for (size_t room = 1; room <= 4096; room *= 4) {
        numbers = fl_memory_grow(numbers, count * sizeof *numbers, room, sizeof *numbers);
        assert_non_null(numbers);
        for (size_t i = 0; i < count; i++)
            assert_int_equal((int)i, numbers[i]);
        for (; count < room; count++)
            numbers[count] = (int)count;
    }
    numbers = fl_memory_grow(numbers, count * sizeof *numbers, 3, sizeof *numbers);
    assert_non_null(numbers);
    assert_int_equal(2, numbers[2]);
    assert_null(fl_memory_grow(numbers, 3 * sizeof *numbers, SIZE_MAX, 8));
    assert_int_equal(2, numbers[2]); /* kept on failure */
    fl_memory_free(numbers);
}

/* Each piece keeps its own bytes though small and large ones alternate. */
static void test_arena_pieces(void **state)
{
    (void)state;
    enum { COUNT = 600 };
    fl_arena arena;
    fl_arena_init(&arena);
    unsigned char *pieces[COUNT];
    for (size_t i = 0; i < COUNT; i++) {
        size_t size = i % 97 == 0 ? 70000 + i : 1 + i * 7 % 300;
        pieces[i] = fl_arena_take(&arena, size, 1);
        assert_non_null(pieces[i]);
        assert_int_equal(0, (uintptr_t)pieces[i] % 64);
        assert_true(is_zero((char *)pieces[i], size));
        memset(pieces[i], (int)(i % 251) + 1, size);
    }
    for (size_t i = 0; i < COUNT; i++) {
        size_t size = i % 97 == 0 ? 70000 + i : 1 + i * 7 % 300;
        assert_int_equal(i % 251 + 1, pieces[i][0]);
        assert_int_equal(i % 251 + 1, pieces[i][size - 1]);
    }
    fl_arena_release(&arena);
    assert_null(arena.last);
    assert_non_null(fl_arena_take(&arena, 1, 1)); /* usable again */
    fl_arena_release(&arena);
    fl_arena_release(&arena);
}

static void test_arena_text(void **state)
{
    (void)state;
    fl_arena arena;
    fl_arena_init(&arena);
    assert_string_equal("ab", fl_arena_copy(&arena, "abc", 2));
    assert_string_equal("", fl_arena_copy(&arena, "abc", 0));
    assert_string_equal("x 1.5 7", fl_arena_print(&arena, "%s %g %d", "x", 1.5, 7));
    const char *longer = fl_arena_print(&arena, "%10000d|", 5);
    assert_non_null(longer);
    assert_int_equal(10001, strlen(longer));
    assert_int_equal('|', longer[10000]);
    double *after = fl_arena_take(&arena, 1, sizeof *after);
    assert_int_equal(0, (uintptr_t)after % 64);
    fl_arena_release(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_take),       cmocka_unit_test(test_overflow),
        cmocka_unit_test(test_grow),       cmocka_unit_test(test_arena_pieces),
        cmocka_unit_test(test_arena_text),
    };
    return cmocka_run_group_tests_name("base/arena", tests, NULL, NULL);
}
