/* A fitted groundwork as bytes: the same values and slopes, to the bit. */
#include "check.h"

#include "path/groundwork.h"

enum { KINDS = 64 };

static const char *const files[] = {"/examples/retune/retune.json",
                                    "/examples/retune/second-package.json"};

/* A design fitted, and what came back of both. */
typedef struct pair {
    fl_arena arena;
    fl_text text;
    fl_design *design, *back;
    fl_groundwork *fitted, *carried;
    double *values;
} pair;

static fl_unpack unpack(pair *own, const fl_kind **kinds, size_t count, size_t length)
{
    fl_unpack from;
    fl_unpack_init(&from, &own->arena, own->text.bytes, length);
    own->back = fl_design_unpack(&from, kinds, count);
    own->carried = own->back ? fl_groundwork_unpack(&from, own->back) : NULL;
    return from;
}

/* Kinds are carried too: what comes back has nothing that solves. */
static size_t carry_kinds(pair *own, const fl_kind **kinds, const fl_kind **carried)
{
    const size_t count = fl_design_kinds(own->design, kinds, KINDS);
    for (size_t i = 0; i < count; i++) {
        fl_text text;
        fl_unpack from;
        fl_text_init(&text);
        fl_kind_pack(&text, kinds[i]);
        fl_unpack_init(&from, &own->arena, text.bytes, text.length);
        carried[i] = fl_kind_unpack(&from);
        fl_text_release(&text);
    }
    return count;
}

static void open_pair(pair *own, const char *file)
{
    char path[512];
    fl_error error = {0};
    const fl_kind *kinds[KINDS], *carried[KINDS];
    snprintf(path, sizeof path, FL_SOURCE_DIR "%s", file);
    memset(own, 0, sizeof *own);
    fl_arena_init(&own->arena);
    fl_text_init(&own->text);
    check_ok(fl_design_read(&own->design, path, FL_SOURCE_DIR "/models", &error), error);
    own->values = fl_memory_take(own->design->quantity_count, sizeof *own->values);
    fl_design_start(own->design, own->values);
    const fl_vary vary = {true, true, own->values, 1};
    check_ok(fl_groundwork_fit(&own->fitted, own->design->groundwork, &vary, &error), error);
    const size_t count = carry_kinds(own, kinds, carried);
    fl_design_pack(&own->text, own->design, own->values, kinds, count);
    const size_t head = own->text.length;
    fl_groundwork_pack(&own->text, own->fitted);
    for (size_t length = head; length < own->text.length; length += 97) {
        unpack(own, carried, count, length);
        assert_null(own->carried);
    }
    const fl_unpack from = unpack(own, carried, count, own->text.length);
    assert_non_null(own->carried);
    assert_true(from.at == from.end);
}

static void close_pair(pair *own)
{
    fl_groundwork_free(own->fitted);
    fl_text_release(&own->text);
    fl_arena_release(&own->arena);
    fl_memory_free(own->values);
    fl_design_free(own->design);
}

/* Values and slopes of one case by either. */
static void compare(const pair *own, size_t index)
{
    fl_error error = {0};
    fl_path *paths[2] = {NULL, NULL};
    double(*values[2])[FL_VALUES], *slopes[2];
    const fl_groundwork *both[2] = {own->fitted, own->carried};
    size_t bytes = 0;
    for (int k = 0; k < 2; k++) {
        const fl_stretch all = fl_case_stretch(both[k], index);
        check_ok(fl_path_new(&paths[k], both[k], &all, &error), error);
        const size_t count = paths[k]->element_count;
        bytes = count * sizeof *values[k];
        values[k] = fl_memory_take(count, sizeof *values[k]);
        slopes[k] = fl_memory_take(count * own->design->quantity_count, sizeof *values[k]);
        assert_true(fl_path_values(paths[k], own->values, values[k], slopes[k]));
    }
    assert_memory_equal(values[0], values[1], bytes);
    assert_memory_equal(slopes[0], slopes[1], bytes * own->design->quantity_count);
    for (int k = 0; k < 2; k++) {
        fl_memory_free(values[k]);
        fl_memory_free(slopes[k]);
        fl_path_free(paths[k]);
    }
}

static void test_round(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        pair own;
        open_pair(&own, files[i]);
        for (double share = 0.05; share < 1.0; share += 0.3) {
            for (size_t k = 0; k < own.design->quantity_count; k++) {
                const fl_quantity *quantity = &own.design->quantities[k];
                if (quantity->sized)
                    own.values[k] = quantity->low + share * (quantity->high - quantity->low);
            }
            assert_true(fl_groundwork_covers(own.carried, own.values));
            for (size_t k = 0; k < own.design->case_count; k++)
                compare(&own, k);
        }
        close_pair(&own);
    }
}

/* Past its fits the one solves anew, the other tells. */
static void test_outside(void **state)
{
    (void)state;
    pair own;
    fl_error error = {0};
    fl_path *path = NULL;
    double values[64][FL_VALUES];
    open_pair(&own, files[0]);
    for (size_t k = 0; k < own.design->quantity_count; k++)
        if (own.design->quantities[k].sized)
            own.values[k] = 1.5 * own.design->quantities[k].high;
    const fl_stretch all = fl_case_stretch(own.carried, 0);
    check_ok(fl_path_new(&path, own.carried, &all, &error), error);
    assert_true(path->element_count <= 64);
    assert_false(fl_groundwork_covers(own.carried, own.values));
    assert_false(fl_path_values(path, own.values, values, NULL));
    fl_path_free(path);
    close_pair(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_round),
                                       cmocka_unit_test(test_outside)};
    return cmocka_run_group_tests_name("path/carry", tests, NULL, NULL);
}
