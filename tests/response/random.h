/** Random groundwork of every lumped kind, lines and stubs, and margins set up for them. */
#ifndef FL_TESTS_RANDOM_H
#define FL_TESTS_RANDOM_H

#include "sample.h"

/* Random parameters over the ranges of the trade at 20 to 40 GHz, some elements lossy. */
static void add_random_section(sample *s, uint64_t *state)
{
    static const char *const kinds[] = {"series inductor",
                                        "shunt inductor",
                                        "series capacitor",
                                        "shunt capacitor",
                                        "series resistor",
                                        "shunt resistor",
                                        "line",
                                        "open stub",
                                        "shorted stub"};
    const size_t kind = (size_t)(sample_random(state) * 9.0);
    sample_add(s, kinds[kind]);
    if (kind < 2)
        sample_set(s, "inductance", sample_between(state, 50e-12, 500e-12));
    if (kind == 2 || kind == 3)
        sample_set(s, "capacitance", sample_between(state, 20e-15, 300e-15));
    if (kind < 4 && sample_random(state) < 0.5)
        sample_set(s, "quality factor", sample_between(state, 5.0, 100.0));
    else if (kind < 4)
        sample_set(s, "resistance", sample_between(state, 0.1, 3.0));
    if (kind == 4)
        sample_set(s, "resistance", sample_between(state, 0.1, 20.0));
    if (kind == 5)
        sample_set(s, "resistance", sample_between(state, 100.0, 2000.0));
    if (kind < 6)
        return;
    sample_set(s, "impedance", sample_between(state, 25.0, 120.0));
    sample_set(s, "length", sample_between(state, 0.1e-3, 2e-3));
    sample_set(s, "permittivity", sample_between(state, 1.0, 10.0));
    if (sample_random(state) < 0.7)
        sample_set(s, "loss", sample_between(state, 10.0, 800.0));
}

static void random_port(fl_port *port, uint64_t *state)
{
    port->form = (fl_port_form)(int)(sample_random(state) * 5.0);
    port->resistance = sample_between(state, 10.0, 200.0);
    port->reactance = sample_between(state, -60.0, 60.0);
    port->capacitance = sample_between(state, 20e-15, 300e-15);
    port->inductance = sample_between(state, 50e-12, 500e-12);
}

__attribute__((unused)) static void random_sample(sample *s, uint64_t *state)
{
    sample_init(s, 20e9, 40e9);
    const size_t sections = 1 + (size_t)(sample_random(state) * 8.0);
    for (size_t i = 0; i < sections; i++)
        add_random_section(s, state);
    random_port(&s->design.ports[FL_PORT_DIE], state);
    random_port(&s->design.ports[FL_PORT_BOARD], state);
    sample_require(s, FL_RETURN_LOSS, FL_PORT_BOARD, true, 15.0);
    sample_require(s, FL_INSERTION_LOSS, FL_PORT_BOARD, false, 1.0);
    sample_require(s, FL_RETURN_LOSS, FL_PORT_DIE, true, 10.0);
    /* Sometimes no reflection at the board is asked, so that transmission comes the other way. */
    if (sample_random(state) < 0.5)
        s->design.requirements++, s->design.requirement_count--;
}

typedef struct bench {
    fl_groundwork *groundwork;
    fl_margins *margins;
    fl_work *work;
    const fl_run *runs;
    size_t run_count, entries;
    double grid[11], *power, *gradient;
} bench;

__attribute__((unused)) static void bench_open(bench *b, const sample *s)
{
    fl_error error = {0};
    memset(b, 0, sizeof *b);
    fl_band_grid(b->grid, &s->band, 11);
    const fl_grid grid = {b->grid, 11};
    check_ok(fl_groundwork_new(&b->groundwork, &s->design, &error), error);
    check_ok(fl_margins_new(&b->margins, &s->design, b->groundwork, &grid, &error), error);
    check_ok(fl_work_new(&b->work, b->margins, &error), error);
    b->runs = fl_margins_runs(b->margins, &b->run_count);
    b->entries = fl_margins_entry_count(b->margins);
    b->power = calloc(b->entries, sizeof(double));
    b->gradient = calloc(b->entries * (s->design.quantity_count + 1), sizeof(double));
    assert_true(b->power != NULL && b->gradient != NULL);
}

__attribute__((unused)) static void bench_close(bench *b)
{
    fl_work_free(b->work);
    fl_margins_free(b->margins);
    fl_groundwork_free(b->groundwork);
    free(b->power);
    free(b->gradient);
}

#endif
