/* Text report: one section alone. */
#include "reports/made.h"
#include "reports/pages.h"

#define NOTE "  Return loss is that of the section by itself between 50 ohm.\n"

static void check_page(const made *m, const char *wanted)
{
    fl_text text = made_page(fl_page_model, m);
    assert_string_equal(text.bytes, wanted);
    fl_text_release(&text);
}

static void writes_one_row(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    made_model(&m, false);
    m.result.section_count = 1;
    check_page(&m, "bond wires at 9.5 GHz\n"
                   "  inductance      20 pH\n"
                   "  resistance   250 mohm\n"
                   "  return loss  18.20 dB\n"
                   "\n"
                   "  Given: pitch 100 um\n"
                   "  By default: cover 3.9\n" NOTE);
}

/* A column has the unit of its largest value; a value that a row has not is a dash. */
static void writes_a_row_a_frequency(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    made_model(&m, false);
    m.result.parameter_count = 1;
    check_page(&m, "bond wires at 2 frequencies\n"
                   "  frequency  inductance  resistance  return loss\n"
                   "        GHz          pH        mohm           dB\n"
                   "        9.5        20.0       250.0        18.20\n"
                   "        120       200.0           -        18.20\n"
                   "\n"
                   "  Given: pitch 100 um\n" NOTE);
}

static void writes_a_row_a_swept_value(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    made_model(&m, true);
    m.result.parameter_count = 0;
    m.sections[1].return_loss_db = (double)NAN;
    check_page(&m, "bond wires at 28 GHz, span from 50 um to 200 um\n"
                   "  span  inductance  resistance  return loss\n"
                   "    um          pH        mohm           dB\n"
                   "    50        20.0       250.0        18.20\n"
                   "   200       200.0           -            -\n"
                   "\n" NOTE);
}

/* Small values keep three digits; zero and nothing at all have no digits to keep. */
static void chooses_decimals(void **state)
{
    (void)state;
    static const struct {
        double values[2];
        const char *cells[3];
    } rows[] = {{{1e-12, 1e-9}, {"nH", "0.00100", "1.00000"}},
                {{0.0, 9.99996e-12}, {"pH", "0.00", "10.00"}},
                {{0.0, 0.0}, {"H", "0", "0"}},
                {{1e-9, 1e-21}, {"nH", "1.0000000", "0.0000000"}},
                {{-1.5e-6, 12.25e-6}, {"uH", "-1.50", "12.25"}},
                {{(double)NAN, (double)INFINITY}, {"H", "-", "-"}}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        made m;
        char cell[3][32];
        made_head(&m);
        made_model(&m, false);
        for (size_t r = 0; r < 2; r++) {
            m.sections[r].property_count = 1;
            m.sections[r].properties[0].value = rows[i].values[r];
        }
        fl_text text = made_page(fl_page_model, &m);
        const char *line = strchr(text.bytes, '\n') + 1;
        for (size_t r = 0; r < 3; r++) {
            line = strchr(line, '\n') + 1;
            assert_int_equal(sscanf(line, "%*s %31s", cell[r]), 1);
        }
        for (size_t r = 0; r < 3; r++)
            if (strcmp(cell[r], rows[i].cells[r]) != 0)
                print_error("row %zu: wanted '%s', got '%s'\n", i, rows[i].cells[r], cell[r]);
        for (size_t r = 0; r < 3; r++)
            assert_string_equal(cell[r], rows[i].cells[r]);
        fl_text_release(&text);
    }
}

/* What does not fit a line goes into further tables, and parameters onto further lines. */
static void keeps_to_80_columns(void **state)
{
    (void)state;
    static const char *const names[] = {"effective permittivity", "electrical length",
                                        "impedance at the die",   "impedance at the board",
                                        "loss per length",        "capacitance of an end",
                                        "length of the open end", "wire length"};
    made m;
    fl_result_parameter parameters[FL_PARTIALS];
    made_head(&m);
    made_model(&m, true);
    for (size_t r = 0; r < 2; r++) {
        m.sections[r].property_count = FL_PROPERTIES;
        for (size_t i = 0; i < FL_PROPERTIES; i++)
            m.sections[r].properties[i] = (fl_property){names[i], FL_LENGTH, 1e-3};
    }
    for (size_t i = 0; i < FL_PARTIALS; i++)
        parameters[i] = (fl_result_parameter){.name = "substrate metal thickness",
                                              .value = 18e-6,
                                              .dimension = FL_LENGTH,
                                              .given = true};
    m.result.parameters = parameters;
    m.result.parameter_count = FL_PARTIALS;
    fl_text text = made_page(fl_page_model, &m);
    for (const char *line = text.bytes; *line; line += strcspn(line, "\n") + 1)
        if (strcspn(line, "\n") > FL_LINE)
            fail_msg("%.*s", (int)strcspn(line, "\n"), line);
    for (size_t i = 0; i < FL_PROPERTIES; i++)
        check_has(text.bytes, names[i]);
    check_has(text.bytes, "\n\n  span");
    check_lacks(text.bytes, "substrate\n");
    fl_text_release(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(writes_one_row), cmocka_unit_test(writes_a_row_a_frequency),
        cmocka_unit_test(writes_a_row_a_swept_value), cmocka_unit_test(chooses_decimals),
        cmocka_unit_test(keeps_to_80_columns)};
    return cmocka_run_group_tests_name("reports/text_model", tests, NULL, NULL);
}
