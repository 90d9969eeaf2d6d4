/* Which numbers draws are made of: which components are joined, and that it leaves their sum. */
#include "studies/numbers.h"

#include "base/random.h"
#include "draws.h"

enum { SAMPLES = 100000 };

#define OWN(amount, level, draw)                                                                   \
    {                                                                                              \
        FL_NORMAL, amount, false, 0.0, false, level, draw                                          \
    }

/** Components of one quantity. */
typedef struct joining {
    const char *name;
    fl_spread spreads[4];
    size_t count;
    bool joined[4]; /* wanted */
    size_t numbers; /* wanted, of DRAWS draws */
} joining;

static const joining joinings[] = {
    {"one", {OWN(1.0, FL_LEVEL_DIE, 6)}, 1, {false}, DRAWS},
    {"two", {OWN(3.0, FL_LEVEL_DIE, 6), OWN(4.0, FL_LEVEL_LOT, 7)}, 2, {true, true}, DRAWS - 1},
    {"three",
     {OWN(3.0, FL_LEVEL_DIE, 6), OWN(4.0, FL_LEVEL_LOT, 7), OWN(0.0, FL_LEVEL_DIE, 8)},
     3,
     {true, true, true},
     DRAWS - 2},
    {"beside one of a group",
     {OWN(3.0, FL_LEVEL_DIE, 6), OWN(4.0, FL_LEVEL_LOT, 0), OWN(1.0, FL_LEVEL_LOT, 7)},
     3,
     {true, false, true},
     DRAWS - 1},
    {"with a group", {OWN(3.0, FL_LEVEL_DIE, 6), OWN(4.0, FL_LEVEL_LOT, 0)}, 2, {false}, DRAWS},
    {"one draw twice", {OWN(3.0, FL_LEVEL_DIE, 6), OWN(4.0, FL_LEVEL_DIE, 6)}, 2, {false}, DRAWS},
    {"cut",
     {OWN(3.0, FL_LEVEL_DIE, 6), {FL_NORMAL, 1.0, false, 2.0, false, FL_LEVEL_LOT, 7}},
     2,
     {false},
     DRAWS},
    {"flat",
     {OWN(3.0, FL_LEVEL_DIE, 6), {FL_UNIFORM, 1.0, false, 0.0, false, FL_LEVEL_LOT, 7}},
     2,
     {false},
     DRAWS},
};

static void test_joining(void **state)
{
    (void)state;
    for (size_t r = 0; r < sizeof joinings / sizeof *joinings; r++) {
        const joining *row = &joinings[r];
        const fl_quantity quantity = {
            .name = "q", .spreads = row->spreads, .spread_count = row->count};
        const fl_design design = with_quantity(&quantity);
        fl_arena arena;
        fl_error error;
        fl_numbers apart, joined;
        bool seen[DRAWS] = {false};
        fl_arena_init(&arena);
        check_ok(fl_numbers_apart(&apart, &arena, &design, &error), error);
        check_ok(fl_numbers_joined(&joined, &arena, &design, &error), error);
        assert_int_equal(apart.count, DRAWS);
        if (joined.count != row->numbers)
            fail_msg("%s: %zu numbers, wanted %zu", row->name, joined.count, row->numbers);
        for (size_t i = 0; i < DRAWS; i++) {
            assert_int_equal(apart.of[i], i);
            assert_false(apart.joined[i]);
            assert_true(joined.of[i] < joined.count);
            seen[joined.of[i]] = true;
        }
        for (size_t i = 0; i < joined.count; i++)
            assert_true(seen[i]);
        for (size_t k = 0; k < row->count; k++)
            if (joined.joined[row->spreads[k].draw] != row->joined[k])
                fail_msg("%s: component %zu", row->name, k);
        fl_arena_release(&arena);
    }
}

/* Entries of one name, each for its own case, share draws, and stay in step. */
static void test_shared(void **state)
{
    (void)state;
    static const fl_spread spreads[] = {OWN(3.0, FL_LEVEL_DIE, 6), OWN(4.0, FL_LEVEL_LOT, 7)};
    const fl_quantity quantities[] = {{.name = "q", .spreads = spreads, .spread_count = 2},
                                      {.name = "q", .spreads = spreads, .spread_count = 2}};
    fl_design design = with_quantity(quantities);
    fl_arena arena;
    fl_error error;
    fl_numbers joined;
    size_t number;
    design.quantity_count = 2;
    fl_arena_init(&arena);
    check_ok(fl_numbers_joined(&joined, &arena, &design, &error), error);
    assert_int_equal(joined.count, DRAWS);
    check_near(0.0, fl_numbers_amount(&number, &joined, &quantities[0], 1.0), 0.0, "amount");
    assert_int_equal(number, FL_NONE);
    fl_arena_release(&arena);
}

/* The sum of components drawn apart has the variance and the fourth moment of the one drawn for
 * them; four standard errors. */
static void test_sum(void **state)
{
    (void)state;
    const joining *row = &joinings[2];
    const fl_quantity quantity = {.name = "q", .spreads = row->spreads, .spread_count = row->count};
    const fl_design design = with_quantity(&quantity);
    fl_sampler *sampler = NULL;
    fl_error error;
    const double nominal = 10.0, root = sqrt(SAMPLES);
    double apart[2] = {0.0}, joined[2] = {0.0};
    check_ok(fl_sampler_new(&sampler, &design, &error), error);
    for (uint64_t i = 0; i < SAMPLES; i++) {
        double value, draws_of[DRAWS];
        fl_sampler_draw(sampler, 1, i, &nominal, &value, draws_of);
        const double one = (value - nominal) / 5.0;
        const double sum = 0.6 * fl_random_normal(1, i, 6) + 0.8 * fl_random_normal(1, i, 7);
        joined[0] += one * one;
        joined[1] += one * one * one * one;
        apart[0] += sum * sum;
        apart[1] += sum * sum * sum * sum;
        check_near(4.0 * draws_of[6], 3.0 * draws_of[7], 1e-13, "draws in step");
        check_near(0.0, draws_of[8], 0.0, "draw of nothing");
    }
    for (size_t m = 0; m < 2; m++) {
        const double wanted = m == 0 ? 1.0 : 3.0, error_of = m == 0 ? sqrt(2.0) : sqrt(96.0);
        check_near(wanted, joined[m] / SAMPLES, 4.0 * error_of / root, "moment %zu, joined", m);
        check_near(wanted, apart[m] / SAMPLES, 4.0 * error_of / root, "moment %zu, apart", m);
    }
    fl_sampler_free(sampler);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_joining),
                                       cmocka_unit_test(test_shared), cmocka_unit_test(test_sum)};
    return cmocka_run_group_tests_name("studies/numbers", tests, NULL, NULL);
}
