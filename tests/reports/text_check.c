/* Text report: sections. */
#include "reports/pages.h"

#include "reports/made.h"

static void writes_sections_by_case(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    fl_text text = made_page(fl_page_sections, &m);
    assert_string_equal(
        text.bytes, "\nSections at 28 GHz, from the die to the board, case 'one'\n"
                    "  section  kind             side     electrical value\n"
                    "  pad cap  shunt capacitor  die      capacitance           62 fF\n"
                    "                                     return loss alone  18.20 dB\n"
                    "  wires    bond wires       package  inductance         234.5 pH\n"
                    "                                     resistance         250 mohm\n"
                    "                                     return loss alone         -\n"
                    "\nCase 'two', where it differs\n"
                    "  section  kind        side     electrical value\n"
                    "  wires    bond wires  package  inductance         234.5 pH\n"
                    "                                resistance         250 mohm\n"
                    "                                return loss alone         -\n"
                    "  \"Return loss alone\" is that of the section by itself between 50 ohm.\n");
    fl_text_release(&text);
}

static void writes_one_case_without_its_name(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    m.result.case_count = 1;
    m.result.section_count = 1;
    fl_text text = made_page(fl_page_sections, &m);
    check_has(text.bytes, "\nSections at 28 GHz, from the die to the board\n");
    check_lacks(text.bytes, "case");
    fl_text_release(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(writes_sections_by_case),
                                       cmocka_unit_test(writes_one_case_without_its_name)};
    return cmocka_run_group_tests_name("reports/text_check", tests, NULL, NULL);
}
