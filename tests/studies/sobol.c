/* The Sobol sequence against published points. */
#include "check.h"
#include "studies/points.h"

/* The first points in three dimensions, in the order of the Gray code, as the authors of the table
 * show them (from memory, and found again with a numerical library); and of far dimensions the
 * 1001st, by that library. */
static void test_published(void **state)
{
    (void)state;
    static const double rows[10][3] = {
        {0.0, 0.0, 0.0},          {0.5, 0.5, 0.5},       {0.75, 0.25, 0.25},
        {0.25, 0.75, 0.75},       {0.375, 0.375, 0.625}, {0.875, 0.875, 0.125},
        {0.625, 0.125, 0.875},    {0.125, 0.625, 0.375}, {0.1875, 0.3125, 0.9375},
        {0.6875, 0.8125, 0.4375},
    };
    static const struct {
        size_t dimension;
        double value;
    } far[] = {{3, 0.6767578125},  {9, 0.0693359375},  {20, 0.5224609375},
               {36, 0.8486328125}, {50, 0.3525390625}, {63, 0.4462890625}};
    uint32_t columns[FL_SOBOL_BITS];
    for (size_t d = 0; d < 3; d++) {
        fl_sobol_columns(columns, d);
        for (uint32_t i = 0; i < 10; i++) {
            uint32_t digits = 0;
            for (unsigned k = 0; k < FL_SOBOL_BITS; k++)
                digits ^= ((i ^ i >> 1) >> k & 1) != 0 ? columns[k] : 0;
            check_near(rows[i][d], digits * 0x1p-32, 0.0, "a point");
        }
    }
    for (size_t r = 0; r < sizeof far / sizeof *far; r++) {
        uint32_t digits = 0;
        fl_sobol_columns(columns, far[r].dimension);
        for (unsigned k = 0; k < FL_SOBOL_BITS; k++)
            digits ^= ((1000U ^ 1000U >> 1) >> k & 1) != 0 ? columns[k] : 0;
        check_near(far[r].value, digits * 0x1p-32, 0.0, "the 1001st point");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_published)};
    return cmocka_run_group_tests_name("studies/sobol", tests, NULL, NULL);
}
