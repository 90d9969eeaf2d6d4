/* Designs as bytes: what comes back gives the same bytes again, and answers the same. */
#include "check.h"

#include "design/design.h"
#include "models/models.h"

static const char *const files[] = {
    "/examples/retune/retune.json", "/examples/retune/second-package.json",
    "/examples/absorb/absorb.json", "/tests/data/designs/turned.json"};

static fl_design *read(const char *file)
{
    char path[512];
    fl_error error = {0};
    fl_design *design = NULL;
    snprintf(path, sizeof path, FL_SOURCE_DIR "%s", file);
    check_ok(fl_design_read(&design, path, FL_SOURCE_DIR "/models", &error), error);
    return design;
}

enum { KINDS = 64 };

/* What is written of a design and its present values. */
static size_t pack(fl_text *text, const fl_design *design, const fl_kind **kinds)
{
    double *values = fl_memory_take(design->quantity_count, sizeof *values);
    const size_t count = fl_design_kinds(design, kinds, KINDS);
    fl_text_init(text);
    fl_design_start(design, values);
    fl_design_pack(text, design, values, kinds, count);
    fl_memory_free(values);
    assert_false(fl_text_failed(text));
    return count;
}

static void check_same(const fl_design *a, const fl_design *b)
{
    assert_int_equal(a->case_count, b->case_count);
    assert_int_equal(a->quantity_count, b->quantity_count);
    for (size_t i = 0; i < a->quantity_count; i++) {
        assert_string_equal(a->quantities[i].name, b->quantities[i].name);
        check_near(fl_quantity_sigma(&a->quantities[i], 1e-3),
                   fl_quantity_sigma(&b->quantities[i], 1e-3), 0.0, "sigma");
    }
    for (size_t i = 0; i < a->case_count; i++) {
        assert_string_equal(a->cases[i].name, b->cases[i].name);
        assert_int_equal(a->cases[i].section_count, b->cases[i].section_count);
        for (size_t j = 0; j < a->cases[i].section_count; j++) {
            assert_string_equal(a->cases[i].sections[j].name, b->cases[i].sections[j].name);
            assert_ptr_equal(a->cases[i].sections[j].kind, b->cases[i].sections[j].kind);
        }
    }
}

static void test_round(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        const fl_kind *kinds[KINDS], *again[KINDS];
        fl_text text, second;
        fl_unpack from;
        fl_arena arena;
        fl_design *design = read(files[i]);
        fl_arena_init(&arena);
        const size_t count = pack(&text, design, kinds);
        fl_unpack_init(&from, &arena, text.bytes, text.length);
        const fl_design *back = fl_design_unpack(&from, kinds, count);
        assert_non_null(back);
        assert_true(from.at == from.end);
        check_same(design, back);
        assert_int_equal(pack(&second, back, again), count);
        assert_int_equal(text.length, second.length);
        assert_memory_equal(text.bytes, second.bytes, text.length);
        fl_text_release(&text);
        fl_text_release(&second);
        fl_arena_release(&arena);
        fl_design_free(design);
    }
}

/* Where a file lay on the machine is not in the bytes. */
static void test_files(void **state)
{
    (void)state;
    const fl_kind *kinds[KINDS];
    fl_text text;
    fl_design *design = read(files[0]);
    assert_non_null(strstr(fl_design_data_file(design, 0), "second-package.s2p"));
    assert_null(fl_design_data_file(design, 1));
    pack(&text, design, kinds);
    for (size_t i = 0; i + 4 < text.length; i++)
        assert_memory_not_equal(text.bytes + i, ".s2p", 4);
    fl_text_release(&text);
    fl_design_free(design);
}

/* Cut bytes are no design, wherever they are cut. */
static void test_cut(void **state)
{
    (void)state;
    const fl_kind *kinds[KINDS];
    fl_text text;
    fl_design *design = read(files[3]);
    const size_t count = pack(&text, design, kinds);
    for (size_t length = 0; length < text.length; length++) {
        fl_unpack from;
        fl_arena arena;
        fl_arena_init(&arena);
        fl_unpack_init(&from, &arena, text.bytes, length);
        assert_null(fl_design_unpack(&from, kinds, count));
        fl_arena_release(&arena);
    }
    fl_text_release(&text);
    fl_design_free(design);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_round), cmocka_unit_test(test_files),
                                       cmocka_unit_test(test_cut)};
    return cmocka_run_group_tests_name("design/carry", tests, NULL, NULL);
}
