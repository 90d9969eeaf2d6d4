/* The table from names to things. */
#include "check.h"
#include "design/reader.h"

static void finds_what_was_put(void **state)
{
    (void)state;
    fl_arena arena;
    fl_lookup lookup;
    static char things[1000];
    char name[32];
    fl_arena_init(&arena);
    fl_lookup_init(&lookup, &arena);
    assert_null(fl_lookup_get(&lookup, "", "0"));
    for (size_t i = 0; i < sizeof things; i++) {
        snprintf(name, sizeof name, "package/%zu", i);
        const char *kept = fl_arena_copy(&arena, name, strlen(name));
        assert_non_null(kept);
        assert_true(fl_lookup_put(&lookup, kept, &things[i]));
    }
    for (size_t i = 0; i < sizeof things; i++) {
        snprintf(name, sizeof name, "%zu", i);
        assert_ptr_equal(fl_lookup_get(&lookup, "package/", name), &things[i]);
        assert_null(fl_lookup_get(&lookup, "packag", name));
        assert_null(fl_lookup_get(&lookup, "package//", name));
    }
    assert_null(fl_lookup_get(&lookup, "package/", "1000"));
    fl_arena_release(&arena);
}

static void a_name_is_put_once(void **state)
{
    (void)state;
    fl_arena arena;
    fl_lookup lookup;
    int first = 0;
    int second = 0;
    fl_arena_init(&arena);
    fl_lookup_init(&lookup, &arena);
    assert_true(fl_lookup_put(&lookup, "a", &first));
    assert_true(fl_lookup_put(&lookup, "a", &second));
    assert_int_equal(lookup.count, 1);
    assert_ptr_equal(fl_lookup_get(&lookup, "a", ""), &second);
    fl_arena_release(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(finds_what_was_put),
        cmocka_unit_test(a_name_is_put_once),
    };
    return cmocka_run_group_tests_name("design/lookup", tests, NULL, NULL);
}
