/* Values of many samples at once against one path evaluation each. */
#include "check.h"

#include "path/path.h"
#include "sample.h"

enum { SPAN, LOOP, COVER };

typedef struct lanes {
    fl_groundwork *plain, *fitted;
    fl_path *path;
    double quantities[SAMPLE_QUANTITIES][FL_LANES];
    double values[2 * FL_ELEMENTS * FL_VALUES][FL_LANES];
    bool steady[SAMPLE_SECTIONS], refused[FL_LANES];
    double *scratch;
} lanes;

static void lanes_open(lanes *own, const sample *s, bool fit)
{
    fl_error error = {0};
    memset(own, 0, sizeof *own);
    check_ok(fl_groundwork_new(&own->plain, &s->design, &error), error);
    const fl_vary vary = {.spreads = true, .quantities = s->values};
    if (fit)
        check_ok(fl_groundwork_fit(&own->fitted, own->plain, &vary, &error), error);
    const fl_groundwork *groundwork = fit ? own->fitted : own->plain;
    const fl_stretch all = fl_case_stretch(groundwork, 0);
    check_ok(fl_path_new(&own->path, groundwork, &all, &error), error);
    own->scratch = calloc(fl_path_room(own->path), sizeof *own->scratch);
    assert_non_null(own->scratch);
    for (size_t q = 0; q < s->design.quantity_count; q++)
        for (size_t i = 0; i < FL_LANES; i++)
            own->quantities[q][i] = s->values[q];
}

static void lanes_close(lanes *own)
{
    free(own->scratch);
    fl_path_free(own->path);
    fl_groundwork_free(own->fitted);
    fl_groundwork_free(own->plain);
}

/* Evaluates and compares every lane; sections that are passed over keep what they had, zero. */
static void lanes_check(lanes *own, const sample *s)
{
    const fl_path_block block = {.vector = fl_vector_widest(),
                                 .steady = own->steady,
                                 .quantities = (const double(*)[FL_LANES])own->quantities,
                                 .values = own->values,
                                 .scratch = own->scratch,
                                 .refused = own->refused};
    fl_path_lanes(own->path, &block);
    for (size_t i = 0; i < FL_LANES; i++) {
        double at[SAMPLE_QUANTITIES], wanted[2 * FL_ELEMENTS][FL_VALUES];
        for (size_t q = 0; q < s->design.quantity_count; q++)
            at[q] = own->quantities[q][i];
        assert_int_equal(own->refused[i], !fl_path_values(own->path, at, wanted, NULL));
        for (size_t e = 0; !own->refused[i] && e < own->path->element_count; e++)
            for (size_t v = 0; v < fl_form_values(own->path->elements[e].form); v++)
                check_close(own->steady[own->path->elements[e].section] ? 0.0 : wanted[e][v],
                            own->values[e * FL_VALUES + v][i], 4e-16, "lane %zu, %zu.%zu", i, e, v);
    }
}

/* Wires with spreads, a pad, and a line. */
static void wires_sample(sample *s)
{
    static const fl_spread span = {.shape = FL_NORMAL, .amount = 15e-6};
    sample_init(s, 20e9, 40e9);
    sample_add(s, "bond wires");
    sample_set(s, "count", 2.0);
    sample_set(s, "span", 400e-6);
    sample_set(s, "loop height", 130e-6);
    sample_set(s, "cover", 3.0);
    sample_set(s, "diameter", 25e-6);
    sample_set(s, "pitch", 100e-6);
    for (size_t q = SPAN; q <= LOOP; q++) {
        s->quantities[q].spreads = &span;
        s->quantities[q].spread_count = 1;
    }
    sample_add(s, "shunt capacitor");
    sample_set(s, "capacitance", 40e-15);
    sample_add(s, "line");
    sample_set(s, "impedance", 60.0);
    sample_set(s, "length", 0.5e-3);
    sample_set(s, "permittivity", 3.0);
    sample_set(s, "loss", 100.0);
}

/* By the fit; two lanes out of its range, one of them with no model there. */
static void test_fitted(void **unused)
{
    (void)unused;
    sample s;
    lanes own;
    uint64_t state = 2;
    wires_sample(&s);
    lanes_open(&own, &s, true);
    for (size_t i = 0; i < FL_LANES; i++) {
        own.quantities[SPAN][i] = sample_between(&state, 350e-6, 450e-6);
        own.quantities[LOOP][i] = sample_between(&state, 100e-6, 160e-6);
    }
    own.quantities[SPAN][9] = 550e-6;
    own.quantities[SPAN][10] = -1e-6;
    lanes_check(&own, &s);
    assert_true(own.refused[10] && !own.refused[9]);
    lanes_close(&own);
}

/* A line of which only the length varies is solved once; one is too short, one out of its range. */
static void test_lengths(void **unused)
{
    (void)unused;
    static const fl_spread spread = {.shape = FL_NORMAL, .amount = 20e-6};
    sample s;
    lanes own;
    uint64_t state = 4;
    sample_init(&s, 20e9, 40e9);
    sample_add(&s, "microstrip");
    sample_set(&s, "width", 200e-6);
    const size_t length = sample_set(&s, "length", 300e-6);
    sample_set(&s, "substrate height", 127e-6);
    sample_set(&s, "substrate permittivity", 3.5);
    s.quantities[length].spreads = &spread;
    s.quantities[length].spread_count = 1;
    lanes_open(&own, &s, true);
    for (size_t i = 0; i < FL_LANES; i++)
        own.quantities[length][i] = sample_between(&state, 200e-6, 400e-6);
    own.quantities[length][7] = -1e-6;
    own.quantities[length][8] = 1e-3;
    lanes_check(&own, &s);
    assert_true(own.refused[7] && !own.refused[8]);
    lanes_close(&own);
}

/* Without fits the costly model answers, lane by lane. */
static void test_plain(void **unused)
{
    (void)unused;
    sample s;
    lanes own;
    wires_sample(&s);
    lanes_open(&own, &s, false);
    own.quantities[SPAN][1] = 390e-6;
    own.quantities[SPAN][2] = 0.0;
    lanes_check(&own, &s);
    assert_true(own.refused[2]);
    lanes_close(&own);
}

/* Rules of every sort are judged, and sections that are steady are left alone. */
static void test_rules(void **unused)
{
    (void)unused;
    sample s;
    lanes own;
    wires_sample(&s);
    lanes_open(&own, &s, true);
    own.steady[0] = true;
    const size_t capacitance = 5, impedance = 6, length = 7, permittivity = 8, loss = 9;
    own.quantities[capacitance][0] = -1e-18;
    own.quantities[capacitance][1] = 0.0;
    own.quantities[impedance][2] = 0.0;
    own.quantities[length][3] = -1e-9;
    own.quantities[permittivity][4] = 0.999;
    own.quantities[loss][5] = 1e9;
    own.quantities[loss][6] = (double)NAN;
    lanes_check(&own, &s);
    static const bool wanted[] = {true, false, true, true, true, true, true, false};
    for (size_t i = 0; i < sizeof wanted; i++)
        assert_int_equal(own.refused[i], wanted[i]);
    lanes_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_fitted), cmocka_unit_test(test_plain),
                                       cmocka_unit_test(test_lengths),
                                       cmocka_unit_test(test_rules)};
    return cmocka_run_group_tests_name("path/lanes", tests, NULL, NULL);
}
