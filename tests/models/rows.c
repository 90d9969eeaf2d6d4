/* Rows of parameters against the same lane by lane, whether they vary or not. */
#include "models/rows.h"

#include "base/random.h"
#include "check.h"

/* Two rows that vary, and one that does not; a divisor is not positive in some lanes. */
typedef struct rig {
    double a[FL_LANES], b[FL_LANES], to[FL_LANES], room[FL_LANES];
    double same;
    fl_row rows[3];
} rig;

static void rig_fill(rig *own)
{
    for (uint32_t i = 0; i < FL_LANES; i++) {
        own->a[i] = 0.5 + fl_random_uniform(1, i, 0);
        own->b[i] = i % 7 == 0 ? -1.0 : i % 11 == 0 ? 0.0 : 2.0 + fl_random_uniform(1, i, 1);
        own->to[i] = 77.0;
    }
    own->same = 3.5;
    own->rows[0] = (fl_row){own->a, false};
    own->rows[1] = (fl_row){own->b, false};
    own->rows[2] = (fl_row){&own->same, true};
}

static double at(const fl_row *row, size_t lane)
{
    return row->at[row->same ? 0 : lane];
}

static void test_products(void **state)
{
    (void)state;
    rig own;
    rig_fill(&own);
    for (size_t r = 0; r < 9; r++) {
        const fl_row *a = &own.rows[r / 3], *b = &own.rows[r % 3];
        fl_row_product(own.to, a, b, 0.3);
        for (size_t i = 0; i < FL_LANES; i++)
            check_close(0.3 * at(a, i) * at(b, i), own.to[i], 4e-16, "product %zu", r);
        fl_row_copy(own.to, a);
        for (size_t i = 0; i < FL_LANES; i++)
            check_near(at(a, i), own.to[i], 0.0, "copy %zu", r);
    }
}

static void test_roots(void **state)
{
    (void)state;
    rig own;
    rig_fill(&own);
    for (size_t r = 0; r < 3; r += 2) {
        const fl_row root = fl_row_root(own.room, &own.rows[r]);
        const fl_row inverse = fl_row_inverse(own.to, &own.rows[r]);
        assert_int_equal(root.same, own.rows[r].same);
        assert_int_equal(inverse.same, own.rows[r].same);
        for (size_t i = 0; i < FL_LANES; i++) {
            check_near(sqrt(at(&own.rows[r], i)), at(&root, i), 0.0, "root %zu", r);
            check_near(1.0 / at(&own.rows[r], i), at(&inverse, i), 0.0, "inverse %zu", r);
        }
    }
}

/* Nothing is written where the divisor is not positive, be it the same in all lanes. */
static void test_quotients(void **state)
{
    (void)state;
    rig own;
    for (size_t r = 0; r < 12; r++) {
        rig_fill(&own);
        own.same = r < 9 ? 3.5 : 0.0;
        const fl_row *a = &own.rows[r / 3 % 3], *b = &own.rows[r < 9 ? r % 3 : 2];
        fl_row_divide(own.to, a, b, 0.3);
        for (size_t i = 0; i < FL_LANES; i++)
            check_close(at(b, i) > 0.0 ? 0.3 * at(a, i) / at(b, i) : 77.0, own.to[i], 6e-16,
                        "quotient %zu, lane %zu", r, i);
    }
}

static void test_marks(void **state)
{
    (void)state;
    rig own;
    bool marks[FL_LANES] = {[3] = true};
    rig_fill(&own);
    fl_row_mark_over(marks, own.a, 2.0);
    for (size_t i = 0; i < FL_LANES; i++)
        assert_int_equal(marks[i], i == 3);
    fl_row_mark_over(marks, own.a, 1.0);
    for (size_t i = 0; i < FL_LANES; i++)
        assert_int_equal(marks[i], i == 3 || own.a[i] > 1.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_products),
        cmocka_unit_test(test_roots),
        cmocka_unit_test(test_quotients),
        cmocka_unit_test(test_marks),
    };
    return cmocka_run_group_tests_name("models/rows", tests, NULL, NULL);
}
