/* Cost of powers with their derivatives over that of powers alone, for some numbers of parameters.
 *
 *     build/release/tests/bench/gradient [SECONDS]
 *
 * The scalar route that sizing takes, on the problem of yield.json and on a chain of 64 sections
 * that has a parameter each. The two are timed in turn, and the best of each counts. */
#include "bench/chain.h"
#include "bench/rig.h"

enum { MOST = 64, CALLS = 50 };

/** Both evaluations of one design. */
typedef struct pair {
    rig rig;
    fl_work *work;
    double *power, *gradient;
    fl_unknowns unknowns;
} pair;

static double time_calls(pair *own, bool slopes)
{
    const fl_margins *margins = own->rig.margins;
    const double begin = now();
    for (int i = 0; i < CALLS; i++) {
        const bool physical =
            slopes ? fl_margins_gradient(margins, own->work, own->rig.nominal, &own->unknowns,
                                         own->power, own->gradient)
                   : fl_margins_power(margins, own->work, own->rig.nominal, own->power);
        if (!physical) {
            fprintf(stderr, "gradient: the design is not physical\n");
            exit(3);
        }
    }
    return (now() - begin) / CALLS;
}

static void compare(pair *own, const char *name, size_t parameters, double seconds)
{
    double value = HUGE_VAL, both = HUGE_VAL;
    const double begin = now();
    own->unknowns.count = parameters;
    while (now() - begin < seconds) {
        value = fmin(value, time_calls(own, false));
        both = fmin(both, time_calls(own, true));
    }
    printf("%s parameters %zu value %.4e gradient %.4e ratio %.2f\n", name, parameters, value, both,
           both / value);
}

static void run_design(const char *name, fl_design *design, double seconds)
{
    pair own;
    size_t indices[MOST], most = 0;
    fl_error error;
    rig_open(&own.rig, design, fl_vector_widest()->width);
    for (size_t i = 0; i < design->quantity_count && most < MOST; i++)
        if (design->quantities[i].spread_count > 0)
            indices[most++] = i;
    own.unknowns = (fl_unknowns){indices, most};
    const size_t entries = fl_margins_entry_count(own.rig.margins);
    own.power = fl_arena_take(&own.rig.arena, entries, sizeof *own.power);
    own.gradient = fl_arena_take(&own.rig.arena, entries * most, sizeof *own.gradient);
    stop_on(own.power == NULL || own.gradient == NULL ? fl_fail_memory(&error) : FL_OK, &error);
    stop_on(fl_work_new(&own.work, own.rig.margins, &error), &error);
    for (size_t parameters = 1; parameters < most; parameters *= 2)
        compare(&own, name, parameters, seconds);
    compare(&own, name, most, seconds);
    fl_work_free(own.work);
    rig_close(&own.rig);
}

int main(int count, char **words)
{
    const double seconds = count > 1 ? strtod(words[1], NULL) : 0.3;
    const chain long_one = {MOST, 51, 1};
    fl_design *design = NULL;
    fl_error error;
    stop_on(fl_design_read(&design, FL_SOURCE_DIR "/tests/bench/yield.json", NULL, &error), &error);
    run_design("yield", design, seconds);
    fl_design_free(design);
    stop_on(chain_design(&design, &long_one, &error), &error);
    run_design("chain", design, seconds);
    fl_design_free(design);
    return 0;
}
