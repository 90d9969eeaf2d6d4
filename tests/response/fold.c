/* Folded margins against unfolded ones: the same powers and gradients. */
#include "check.h"

#include "random.h"

static char three_port[] = FL_SOURCE_DIR "/tests/data/network/three-port.s3p";

/* Data that are not reciprocal stand somewhere in the path, or do not. */
static void data_somewhere(sample *s, uint64_t *state)
{
    const size_t count = s->only.section_count;
    sample_add(s, "measured")->file = three_port;
    sample_set(s, "die port", 3.0);
    sample_set(s, "board port", 1.0);
    const size_t at = (size_t)(sample_random(state) * (double)(count + 1));
    const fl_section data = s->sections[count];
    memmove(s->sections + at + 1, s->sections + at, (count - at) * sizeof *s->sections);
    s->sections[at] = data;
}

/* Some quantities move. */
static size_t choose(size_t *unknowns, const sample *s, uint64_t *state)
{
    const double share = sample_random(state);
    size_t count = 0;
    for (size_t q = 0; q < s->design.quantity_count; q++)
        if (sample_random(state) < share)
            unknowns[count++] = q;
    return count;
}

/* Margins of the same design that are folded at its values. */
typedef struct folded {
    fl_margins *margins;
    fl_work *work;
    double *power, *gradient;
} folded;

static void folded_open(folded *own, const bench *b, const sample *s, const fl_unknowns *unknowns)
{
    fl_error error = {0};
    const fl_grid grid = {b->grid, 11};
    check_ok(fl_margins_new(&own->margins, &s->design, b->groundwork, &grid, &error), error);
    check_ok(fl_margins_fold(own->margins, s->values, unknowns, &error), error);
    check_ok(fl_work_new(&own->work, own->margins, &error), error);
    own->power = calloc(b->entries, sizeof(double));
    own->gradient = calloc(b->entries * (unknowns->count + 1), sizeof(double));
    assert_true(own->power != NULL && own->gradient != NULL);
}

static void folded_close(folded *own)
{
    fl_work_free(own->work);
    fl_margins_free(own->margins);
    free(own->power);
    free(own->gradient);
}

/* Both routes are exact: what is left is rounding, which stubs near their poles enlarge in both
 * (tests/response/march.c). Where the poles are shows in the slopes. */
static void compare(bench *b, folded *own, const sample *s, const fl_unknowns *unknowns, int trial)
{
    assert_true(
        fl_margins_gradient(b->margins, b->work, s->values, unknowns, b->power, b->gradient));
    assert_true(fl_margins_power(own->margins, own->work, s->values, own->power));
    for (size_t i = 0; i < b->entries; i++)
        check_near(b->power[i], own->power[i], 1e-12, "trial %d entry %zu", trial, i);
    assert_true(fl_margins_gradient(own->margins, own->work, s->values, unknowns, own->power,
                                    own->gradient));
    for (size_t i = 0; i < b->entries; i++)
        check_near(b->power[i], own->power[i], 1e-12, "trial %d entry %zu", trial, i);
    for (size_t u = 0; u < unknowns->count; u++)
        for (size_t i = 0; i < b->entries; i++) {
            const double value = s->values[unknowns->indices[u]];
            const double wanted = b->gradient[u * b->entries + i] * value;
            check_near(wanted, own->gradient[u * b->entries + i] * value,
                       1e-12 * (1.0 + fabs(wanted)), "trial %d quantity %zu entry %zu", trial,
                       unknowns->indices[u], i);
        }
}

/* Any share of the path moves, none and all of it too; with data and without; reflections at both
 * ports and the transmission, by the march to the board and by that to the die. */
static void test_same_response(void **unused)
{
    (void)unused;
    uint64_t state = 11;
    for (int trial = 0; trial < 400; trial++) {
        sample s;
        bench b;
        folded own;
        size_t indices[SAMPLE_QUANTITIES];
        random_sample(&s, &state);
        if (trial % 2 == 1)
            data_somewhere(&s, &state);
        const fl_unknowns unknowns = {indices, choose(indices, &s, &state)};
        bench_open(&b, &s);
        folded_open(&own, &b, &s, &unknowns);
        for (int turn = 0; turn < 3; turn++) {
            for (size_t u = 0; u < unknowns.count && turn > 0; u++)
                s.values[indices[u]] *= sample_between(&state, 1.0, 1.2);
            compare(&b, &own, &s, &unknowns, trial);
        }
        folded_close(&own);
        bench_close(&b);
    }
}

/* A capacitor of this value between two of which one may move. */
static void three_capacitors(sample *s, double steady)
{
    sample_init(s, 20e9, 40e9);
    sample_add(s, "shunt capacitor");
    sample_set(s, "capacitance", 50e-15);
    sample_add(s, "shunt capacitor");
    sample_set(s, "capacitance", steady);
    sample_require(s, FL_RETURN_LOSS, FL_PORT_BOARD, true, 15.0);
}

/* What moves is judged as ever, and what does not stays refused if it cannot be; what it is given
 * as later counts no more. */
static void test_not_physical(void **unused)
{
    (void)unused;
    for (int can_be = 0; can_be < 2; can_be++) {
        sample s;
        bench b;
        folded own;
        const size_t moving = 0;
        const fl_unknowns unknowns = {&moving, 1};
        three_capacitors(&s, can_be ? 60e-15 : -60e-15);
        bench_open(&b, &s);
        folded_open(&own, &b, &s, &unknowns);
        assert_int_equal(fl_margins_power(own.margins, own.work, s.values, own.power), can_be);
        s.values[1] = -1e-15;
        assert_int_equal(fl_margins_power(own.margins, own.work, s.values, own.power), can_be);
        s.values[0] = -1e-15;
        assert_false(fl_margins_power(own.margins, own.work, s.values, own.power));
        folded_close(&own);
        bench_close(&b);
    }
}

/* Values at which the sections that move cannot be do not matter to those that do not. */
static void test_folded_anywhere(void **unused)
{
    (void)unused;
    sample s;
    bench b;
    folded own;
    const size_t moving = 0;
    const fl_unknowns unknowns = {&moving, 1};
    three_capacitors(&s, 60e-15);
    s.values[0] = -1e-15;
    bench_open(&b, &s);
    folded_open(&own, &b, &s, &unknowns);
    s.values[0] = 50e-15;
    compare(&b, &own, &s, &unknowns, 0);
    s.values[1] = (double)NAN; /* counts no more: all that is left of it is its two-port */
    assert_true(fl_margins_power(own.margins, own.work, s.values, own.power));
    folded_close(&own);
    bench_close(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_same_response),
                                       cmocka_unit_test(test_not_physical),
                                       cmocka_unit_test(test_folded_anywhere)};
    return cmocka_run_group_tests_name("response/fold", tests, NULL, NULL);
}
