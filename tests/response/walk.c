/* The impedance on its way from die to board: against nodal analysis and pieces of lines. */
#include "check.h"

#include "nodal.h"
#include "random.h"

typedef struct walked {
    fl_arena arena;
    fl_walk walk;
} walked;

static void walk_of(walked *out, const sample *s, double frequency, double reference)
{
    fl_error error = {0};
    fl_groundwork *groundwork = NULL;
    fl_arena_init(&out->arena);
    out->walk = (fl_walk){.frequency = frequency, .reference = reference};
    check_ok(fl_groundwork_new(&groundwork, &s->design, &error), error);
    check_ok(fl_walk_fill(&out->walk, &out->arena, groundwork, 0, s->values, &error), error);
    fl_groundwork_free(groundwork);
}

/** The last point of a step as a complex number. */
static double complex end_of(const walked *of, size_t step)
{
    const fl_walk_step *own = &of->walk.steps[step];
    return own->reflection[own->count - 1][0] + J * own->reflection[own->count - 1][1];
}

static void check_complex(double complex wanted, double complex got, double tolerance,
                          const char *what, size_t index)
{
    check_near(creal(wanted), creal(got), tolerance, "%s %zu, real", what, index);
    check_near(cimag(wanted), cimag(got), tolerance, "%s %zu, imaginary", what, index);
}

/** Into the board port of the first sections: Z from S22 in power waves, then against 40 ohm. */
static double complex nodal_reflection(const sample *s, size_t sections, double frequency)
{
    sample cut = *s;
    double complex scatter[2][2];
    cut.only.section_count = sections;
    nodal_sample(&cut, frequency, scatter);
    const double complex port =
        nodal_port(&s->design.ports[FL_PORT_BOARD], 2.0 * acos(-1.0) * frequency);
    const double complex z = (conj(port) + scatter[1][1] * port) / (1.0 - scatter[1][1]);
    return (z - 40.0) / (z + 40.0);
}

/* Every step's end is what nodal analysis gives of the path cut off there. */
static void test_nodal(void **unused)
{
    (void)unused;
    uint64_t state = 21;
    for (int trial = 0; trial < 60; trial++) {
        sample s;
        walked out;
        random_sample(&s, &state);
        walk_of(&out, &s, 31e9, 40.0);
        assert_int_equal(out.walk.step_count, s.only.section_count + 1);
        assert_int_equal(out.walk.steps[0].count, 1);
        const double complex die =
            nodal_port(&s.design.ports[FL_PORT_DIE], 2.0 * acos(-1.0) * 31e9);
        check_complex((die - 40.0) / (die + 40.0), end_of(&out, 0), 1e-12, "die port", 0);
        for (size_t k = 1; k < out.walk.step_count; k++)
            check_complex(nodal_reflection(&s, k, 31e9), end_of(&out, k), 1e-9, "section", k);
        fl_arena_release(&out.arena);
    }
}

/** A section whose parameter runs from nothing to its value along the way through it. */
typedef struct piece {
    const char *kind, *parameter;
    double value;
} piece;

static const piece pieces[] = {{"line", "length", 1.3e-3},
                               {"series inductor", "inductance", 0.3e-9},
                               {"series resistor", "resistance", 20.0},
                               {"shunt capacitor", "capacitance", 90e-15}};

static void one_piece(sample *s, const piece *own, double share)
{
    sample_init(s, 20e9, 40e9);
    s->design.ports[FL_PORT_DIE].resistance = 20.0;
    s->design.ports[FL_PORT_DIE].reactance = -15.0;
    sample_add(s, own->kind);
    sample_set(s, own->parameter, share * own->value);
    if (strcmp(own->kind, "line") == 0) {
        sample_set(s, "impedance", 70.0);
        sample_set(s, "permittivity", 4.0);
        sample_set(s, "loss", 500.0);
    }
}

/* Point k of n is the end of the same section with k / n of its length or value. */
static void test_pieces(void **unused)
{
    (void)unused;
    for (size_t p = 0; p < sizeof pieces / sizeof *pieces; p++) {
        sample s;
        walked whole, part;
        one_piece(&s, &pieces[p], 1.0);
        walk_of(&whole, &s, 33e9, 50.0);
        const fl_walk_step *step = &whole.walk.steps[1];
        assert_int_equal(step->count, 8);
        for (size_t k = 1; k <= step->count; k++) {
            one_piece(&s, &pieces[p], (double)k / 8.0);
            walk_of(&part, &s, 33e9, 50.0);
            check_complex(end_of(&part, 1),
                          step->reflection[k - 1][0] + J * step->reflection[k - 1][1], 1e-12,
                          pieces[p].kind, k);
            fl_arena_release(&part.arena);
        }
        fl_arena_release(&whole.arena);
    }
}

/* A dispersive line: half of it is half its length, too; a chain of lines has points on each. */
static void test_dispersive(void **unused)
{
    (void)unused;
    walked out[2];
    for (int halves = 0; halves < 2; halves++) {
        sample s;
        sample_init(&s, 20e9, 40e9);
        s.design.ports[FL_PORT_DIE].resistance = 20.0;
        sample_add(&s, "microstrip");
        sample_set(&s, "width", 0.28e-3);
        sample_set(&s, "length", halves ? 0.6e-3 : 1.2e-3);
        sample_set(&s, "substrate height", 127e-6);
        sample_set(&s, "substrate permittivity", 3.5);
        sample_set(&s, "substrate loss tangent", 0.01);
        sample_add(&s, "bond wires");
        sample_set(&s, "span", 300e-6);
        sample_set(&s, "loop height", 120e-6);
        sample_set(&s, "diameter", 25e-6);
        walk_of(&out[halves], &s, 37e9, 50.0);
        assert_int_equal(out[halves].walk.steps[1].count, 8);
        assert_true(out[halves].walk.steps[2].count >= 8);
    }
    const double *half = out[0].walk.steps[1].reflection[3];
    check_complex(end_of(&out[1], 1), half[0] + J * half[1], 1e-12, "half", 1);
    fl_arena_release(&out[0].arena);
    fl_arena_release(&out[1].arena);
}

/* Measured data have no inside. */
static void test_data(void **unused)
{
    (void)unused;
    sample s;
    walked out;
    sample_init(&s, 20e9, 40e9);
    sample_add(&s, "measured")->file = FL_SOURCE_DIR "/tests/data/network/three-port.s3p";
    sample_set(&s, "die port", 1.0);
    sample_set(&s, "board port", 2.0);
    walk_of(&out, &s, 30e9, 50.0);
    assert_int_equal(out.walk.steps[1].count, 1);
    fl_arena_release(&out.arena);
}

/* Values that cannot be give an error and no walk. */
static void test_not_physical(void **unused)
{
    (void)unused;
    sample s;
    fl_error error = {0};
    fl_arena arena;
    fl_groundwork *groundwork = NULL;
    fl_walk walk = {.frequency = 30e9, .reference = 50.0};
    sample_init(&s, 20e9, 40e9);
    sample_add(&s, "shunt capacitor");
    sample_set(&s, "capacitance", 1e-15);
    fl_arena_init(&arena);
    check_ok(fl_groundwork_new(&groundwork, &s.design, &error), error);
    s.values[0] = -1e-15;
    assert_int_equal(fl_walk_fill(&walk, &arena, groundwork, 0, s.values, &error), FL_BAD_INPUT);
    assert_int_equal(walk.step_count, 0);
    fl_arena_release(&arena);
    fl_groundwork_free(groundwork);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_nodal), cmocka_unit_test(test_pieces),
                                       cmocka_unit_test(test_dispersive),
                                       cmocka_unit_test(test_data),
                                       cmocka_unit_test(test_not_physical)};
    return cmocka_run_group_tests_name("response/walk", tests, NULL, NULL);
}
