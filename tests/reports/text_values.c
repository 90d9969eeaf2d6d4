/* Text report: sized values and quantities. */
#include "reports/pages.h"

#include "reports/made.h"

static void writes_sized_values(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    fl_text text = made_page(fl_page_sized, &m);
    assert_string_equal(text.bytes,
                        "\nSized values\n"
                        "  quantity           chosen  lowest  highest   grid\n"
                        "  die cap             62 fF   10 fF   150 fF   1 fF\n"
                        "  stub length (two)  1.2 mm  100 um   1.2 mm  10 um  at its upper bound\n"
                        "  line impedance     45 ohm  45 ohm   85 ohm      -  at its lower bound\n"
                        "  The grids cost 0.20 dB of margin: -1.05 dB without them.\n");
    fl_text_release(&text);
}

static void says_what_the_grid_costs(void **state)
{
    (void)state;
    static const struct {
        double free_margin_db;
        double grid;
        const char *words;
    } rows[] = {{-1.2499, 1e-15, "The grids cost nothing that counts"},
                {-1.05, 0.0, NULL},
                {(double)NAN, 1e-15, NULL}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        made m;
        made_all(&m);
        m.result.free_margin_db = rows[i].free_margin_db;
        m.sized[0].grid = m.sized[1].grid = rows[i].grid;
        fl_text text = made_page(fl_page_sized, &m);
        if (rows[i].words)
            check_has(text.bytes, rows[i].words);
        else
            check_lacks(text.bytes, "The grids");
        fl_text_release(&text);
    }
}

static void says_that_nothing_is_sized(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    m.result.sized_count = 0;
    fl_text text = made_page(fl_page_sized, &m);
    check_has(text.bytes, "\nNothing to size: no value of the design has a \"size\".");
    fl_text_release(&text);
    m.result.has_sizing = false;
    text = made_page(fl_page_sized, &m);
    assert_string_equal(text.bytes, "");
    fl_text_release(&text);
}

static void writes_quantities_by_case(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    fl_text text = made_page(fl_page_quantities, &m);
    assert_string_equal(text.bytes, "\nQuantities\n"
                                    "  quantity  present  lowest  highest  sigma  varies by\n"
                                    "  gap        250 um       -        -  12 um  assembly\n"
                                    "\nQuantities of case 'two'\n"
                                    "  quantity  present  lowest  highest  sigma  varies by\n"
                                    "  die cap     62 fF   10 fF   150 fF      -\n");
    fl_text_release(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(writes_sized_values), cmocka_unit_test(says_what_the_grid_costs),
        cmocka_unit_test(says_that_nothing_is_sized), cmocka_unit_test(writes_quantities_by_case)};
    return cmocka_run_group_tests_name("reports/text_values", tests, NULL, NULL);
}
