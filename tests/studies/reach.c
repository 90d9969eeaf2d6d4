/* Points of failure where they are known: of sums of values, whatever their spreads. */
#include "base/random.h"
#include "circuit.h"
#include "studies/rare.h"

static const double PI = 3.14159265358979323846;

/** Two inductors in series, 0.1 nH each, that fail from a sum on. */
typedef struct row {
    const char *spread;  /* of both */
    const char *between; /* more keys */
    double sum, sigmas;  /* H; wanted */
} row;

static void open_run(fl_production *run, circuit *own, double *nominal, const row *at)
{
    const char *port = "\"impedance\": \"50 ohm\"";
    const double x = 2.0 * PI * 30e9 * at->sum / 50.0;
    static fl_yielding yielding;
    char end[512];
    fl_error error;
    circuit_begin(own, 28e9, 30e9, port, port);
    for (size_t i = 0; i < 2; i++)
        circuit_part(own, "series inductor",
                     "\"inductance\": {\"value\": \"0.1 nH\", \"spread\": {%s, \"group\": \"%c\"}}",
                     at->spread, i == 0 ? 'a' : 'b');
    snprintf(end, sizeof end,
             ", \"points\": 9%s, \"require\": [{\"quantity\": \"return loss\", \"at least\": "
             "\"%.17g dB\"}]",
             at->between, 10.0 * log10((4.0 + x * x) / (x * x)));
    circuit_end(own, end);
    fl_design_start(own->design, nominal);
    *run = (fl_production){.study = &own->study};
    fl_arena_init(&run->arena);
    yielding = (fl_yielding){.seed = 1};
    fl_arena_init(&yielding.arena);
    check_ok(fl_production_make(run, &yielding, nominal, &error), error);
    fl_arena_release(&yielding.arena);
}

/* Of normal values with correlation r the sum has the variance 2 (1 + r) of one. Of uniform or cut
 * ones the nearest point is where both are alike: each at the share of its distribution, for a cut
 * one c + (1 - 2 c) Phi(z), c = Phi(-limit). */
static void test_known(void **state)
{
    (void)state;
    const double c = fl_normal_share(-3.0);
    const double cut = sqrt(2.0) * fl_normal_quantile((fl_normal_share(2.5) - c) / (1.0 - 2.0 * c));
    const double uniform = sqrt(2.0) * fl_normal_quantile(0.5 + 0.5 * 0.9);
    const row rows[] = {
        {"\"normal\": \"5 pH\"", "", 230e-12, 30.0 / (5.0 * sqrt(2.0))},
        {"\"normal\": \"5 pH\"", ", \"correlations\": [[\"a\", \"b\", 0.5]]", 230e-12,
         30.0 / (5.0 * sqrt(3.0))},
        {"\"normal\": \"5 pH\"", ", \"correlations\": [[\"a\", \"b\", -0.5]]", 220e-12, 20.0 / 5.0},
        {"\"normal\": \"10 pH\", \"within\": \"30 pH\"", "", 250e-12, cut},
        {"\"uniform\": \"10 pH\"", "", 218e-12, uniform},
    };
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        circuit own;
        fl_production run;
        fl_rare_points points;
        fl_error error;
        double nominal[8];
        open_run(&run, &own, nominal, &rows[r]);
        check_ok(fl_rare_find(&points, &run, &error), error);
        assert_true(points.count >= 1);
        check_near(rows[r].sigmas, points.items[0].is.sigmas, 2e-3, "sigmas of row %zu", r);
        for (size_t i = 1; i < points.count; i++)
            assert_true(points.items[i].is.sigmas >= points.items[i - 1].is.sigmas);
        fl_production_release(&run);
        circuit_close(&own);
    }
}

/* No sum of uniform values comes so far: no point. */
static void test_out_of_reach(void **state)
{
    (void)state;
    const row at = {"\"uniform\": \"10 pH\"", "", 221e-12, 0.0};
    circuit own;
    fl_production run;
    fl_rare_points points;
    fl_error error;
    double nominal[8];
    open_run(&run, &own, nominal, &at);
    check_ok(fl_rare_find(&points, &run, &error), error);
    assert_int_equal(points.count, 0);
    fl_production_release(&run);
    circuit_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_known),
        cmocka_unit_test(test_out_of_reach),
    };
    return cmocka_run_group_tests_name("studies/reach", tests, NULL, NULL);
}
