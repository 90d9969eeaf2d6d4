/* Starts put into a design's text by their places, which travel as bytes. */
#include "check.h"

#include "design/design.h"

static const char text[] = "{\"a\": {\"size\": [1, 9]}, \"b\": {\"size\": [0, 5], \"start\": 2}}";

/* Two bare numbers: a without a start, b with one. */
static const fl_quantity quantities[] = {{.name = "a", .sized = true, .low = 1.0, .high = 9.0},
                                         {.name = "b", .sized = true, .low = 0.0, .high = 5.0}};

static fl_start_list list_of(fl_start_place places[2])
{
    const size_t behind_size = (size_t)(strchr(text, ']') - text) + 1;
    const size_t start = (size_t)(strstr(text, ": 2}") - text) + 2;
    places[0] = (fl_start_place){0, behind_size, behind_size, true};
    places[1] = (fl_start_place){1, start, start + 1, false};
    return (fl_start_list){places, 2};
}

static void check_fill(const fl_design *design, const fl_start_list *list)
{
    char *made = NULL;
    size_t length = 0;
    fl_error error = {0};
    check_ok(fl_start_list_fill(&made, &length, design, list, (const double[]){2.5, 7.0}, &error),
             error);
    assert_string_equal(made,
                        "{\"a\": {\"size\": [1, 9], \"start\": 2.5}, \"b\": {\"size\": [0, 5], "
                        "\"start\": 5}}");
    assert_int_equal(length, strlen(made));
    fl_memory_free(made);
}

static void test_round(void **state)
{
    (void)state;
    fl_text bytes;
    fl_unpack from;
    fl_arena arena;
    fl_start_place places[2];
    fl_design design = {.text = text,
                        .length = sizeof text - 1,
                        .quantities = quantities,
                        .quantity_count = 2,
                        .case_count = 1};
    fl_design back = design;
    fl_start_list list = list_of(places), read;
    check_fill(&design, &list);
    fl_text_init(&bytes);
    fl_arena_init(&arena);
    fl_start_list_pack(&bytes, &design, &list);
    fl_unpack_init(&from, &arena, bytes.bytes, bytes.length);
    back.text = NULL;
    fl_start_list_unpack(&read, &from, &back);
    assert_true(fl_unpack_well(&from) && from.at == from.end);
    check_fill(&back, &read);
    for (size_t length = 0; length < bytes.length; length++) {
        fl_unpack_init(&from, &arena, bytes.bytes, length);
        fl_start_list_unpack(&read, &from, &back);
        assert_false(fl_unpack_well(&from));
    }
    fl_text_release(&bytes);
    fl_arena_release(&arena);
}

/* Places that overlap, or turn round, are none. */
static void test_wrong(void **state)
{
    (void)state;
    static const size_t ends[][4] = {{5, 4, 6, 7}, {5, 8, 7, 9}, {5, 6, 7, sizeof text}};
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        fl_text bytes;
        fl_unpack from;
        fl_arena arena;
        const fl_start_place places[] = {{0, ends[i][0], ends[i][1], true},
                                         {1, ends[i][2], ends[i][3], true}};
        fl_start_list list = {places, 2}, read;
        fl_design design = {.text = text, .length = sizeof text - 1, .quantity_count = 2};
        fl_text_init(&bytes);
        fl_arena_init(&arena);
        fl_start_list_pack(&bytes, &design, &list);
        fl_unpack_init(&from, &arena, bytes.bytes, bytes.length);
        fl_start_list_unpack(&read, &from, &design);
        assert_false(fl_unpack_well(&from));
        assert_int_equal(read.count, 0);
        fl_text_release(&bytes);
        fl_arena_release(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_round), cmocka_unit_test(test_wrong)};
    return cmocka_run_group_tests_name("design/start_text", tests, NULL, NULL);
}
