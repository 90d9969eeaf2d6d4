/* Response and worst requirements of a result. */
#include "asked.h"

static void add(asked *a, const char *text)
{
    fl_error error;
    asked_read(a, text, "response");
    check_ok(fl_result_add_response(a->result, &a->study, a->quantities, &error), error);
    asked_forget(a);
}

static void sweeps_the_band(void **state)
{
    (void)state;
    asked a;
    add(&a, asked_text);
    for (size_t c = 0; c < 2; c++) {
        const fl_scatter *s = &a.result->cases[c].response;
        check_near(5.0, (double)s->count, 0.0, "points");
        check_near(26e9, s->frequencies[0], 0.0, "first");
        check_near(27e9, s->frequencies[1], 1e-4, "second");
        check_near(30e9, s->frequencies[4], 0.0, "last");
        for (size_t i = 0; i < s->count; i++) {
            /* Reciprocal, and lossless: power is either reflected or let through. */
            check_near(s->s21[i][0], s->s12[i][0], 1e-12, "reciprocal");
            check_near(1.0,
                       s->s11[i][0] * s->s11[i][0] + s->s11[i][1] * s->s11[i][1] +
                           s->s21[i][0] * s->s21[i][0] + s->s21[i][1] * s->s21[i][1],
                       1e-12, "case %zu, point %zu", c, i);
        }
    }
    fl_result_free(a.result);
}

static void gives_port_impedances(void **state)
{
    (void)state;
    asked a;
    add(&a, asked_text);
    const double(*z)[2][2] = (const double(*)[2][2])a.result->cases[1].port_impedance;
    const double wrc = 6.283185307179586 * 26e9 * 60.0 * 10e-15;
    /* R || C: R / (1 + j w R C). */
    check_close(60.0 / (1.0 + wrc * wrc), z[0][FL_PORT_DIE][0], 1e-12, "resistance");
    check_close(-60.0 * wrc / (1.0 + wrc * wrc), z[0][FL_PORT_DIE][1], 1e-12, "reactance");
    check_near(50.0, z[4][FL_PORT_BOARD][0], 0.0, "board");
    check_near(5.0, z[4][FL_PORT_BOARD][1], 0.0, "board");
    fl_result_free(a.result);
}

static void puts_the_worst_margin_first(void **state)
{
    (void)state;
    asked a;
    add(&a, asked_text);
    double smallest = HUGE_VAL;
    for (size_t c = 0; c < 2; c++) {
        const fl_result_worst *worst = a.result->cases[c].worst;
        check_near(2.0, (double)a.result->cases[c].worst_count, 0.0, "requirements");
        assert_true(worst[0].margin_db <= worst[1].margin_db);
        assert_int_equal(worst[0].asked, FL_RETURN_LOSS);
        check_near(worst[0].value_db - 8.0, worst[0].margin_db, 1e-9, "return loss");
        check_near(40.0 - worst[1].value_db, worst[1].margin_db, 1e-9, "insertion loss");
        assert_true(worst[0].at_least && !worst[1].at_least && worst[0].has_limit);
        smallest = worst[0].margin_db < smallest ? worst[0].margin_db : smallest;
    }
    check_near(smallest, a.result->margin_db, 0.0, "margin");
    assert_true(a.result->has_margin && !a.result->implied);
    assert_int_equal(a.result->met, a.result->margin_db >= 0.0);
    fl_result_free(a.result);
}

/* Between a port of 50 ohm and one of 100 ohm: the reflection is 1/3, 9.542 dB. */
#define THIRD                                                                                      \
    "{\"fairlead\": 1, \"band\": [\"26 GHz\", \"30 GHz\"], \"points\": 2,"                         \
    " \"ports\": {\"die\": {\"impedance\": \"100 ohm\"}, \"board\": {\"impedance\": \"50 ohm\"}}," \
    " \"path\": [{\"name\": \"r\", \"kind\": \"series resistor\", \"side\": \"die\","              \
    "   \"resistance\": \"0 ohm\"}]"

static void judges(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        bool met, implied;
        double margin_db;
    } rows[] = {{THIRD "}", true, true, 9.542425094393248},
                {THIRD ", \"require\": [{\"quantity\": \"return loss\", \"at least\": \"9 dB\"}]}",
                 true, false, 0.542425094393248},
                {THIRD ", \"require\": [{\"quantity\": \"return loss\", \"at least\": \"10 dB\"}]}",
                 false, false, -0.457574905606752},
                /* Nothing to spare, but for rounding: met. */
                {THIRD ", \"require\": [{\"quantity\": \"return loss\", \"at least\":"
                       " \"9.542425094393249 dB\"}]}",
                 true, false, 0.0}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        asked a;
        add(&a, rows[i].text);
        check_near(rows[i].margin_db, a.result->margin_db, 1e-9, "row %zu", i);
        assert_int_equal(a.result->met, rows[i].met);
        assert_int_equal(fl_result_met(a.result), rows[i].met);
        assert_int_equal(a.result->implied, rows[i].implied);
        assert_int_equal(a.result->cases[0].worst[0].has_limit, !rows[i].implied);
        assert_string_equal(a.result->cases[0].name, "nominal");
        fl_result_free(a.result);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sweeps_the_band), cmocka_unit_test(gives_port_impedances),
        cmocka_unit_test(puts_the_worst_margin_first), cmocka_unit_test(judges)};
    return cmocka_run_group_tests_name("result/response", tests, NULL, NULL);
}
