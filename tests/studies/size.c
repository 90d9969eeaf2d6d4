/* The main job against closed forms of filter and matching theory, and against enumeration. */
#include "circuit.h"

static const double PI = 3.14159265358979323846;
static const double LIGHT = 299792458.0; /* m/s */

static void size_it(const circuit *own, fl_sizing *sizing)
{
    fl_error error;
    check_ok(fl_sizing_run(sizing, &own->study, &error), error);
    assert_false(sizing->interrupted);
}

/* ---- two capacitors about a held inductance ---- */

/* |G|^2 = K^2 / (1 + K^2) with K an odd cubic of x = f / f2: of equal ripple while l^2 <= 2 - q,
 * else worst at the band edge: K(x) = x (l - c1 - c2) / 2 + x^3 l c1 c2 / 2 beside a part with
 * c1 - c2, with l = w2 L / R, c = w2 R C. An odd cubic of given leading part is least when it is
 * proportional to T3. Derived, no published source; a search over both capacitances agrees. The
 * band begins at f2 / 1000 where the row says 0: K vanishes with x and is worst elsewhere, so
 * that the lowest thousandth of the band decides nothing. */
static const struct {
    double henry, low, high;         /* nH, GHz */
    double farad, reflection, value; /* fF, dB */
    double tolerance, share;         /* of the reflection; of the capacitance */
} pi_rows[] = {
    {0.10, 0, 40, 21.0495, 0.0043962, 47.1384, 1e-6, 1e-3},
    {0.10, 0, 60, 22.7611, 0.0173458, 35.2161, 1e-6, 1e-3},
    {0.20, 0, 30, 45.5222, 0.0173458, 35.2161, 1e-6, 1e-3},
    {0.20, 0, 40, 53.6211, 0.0569634, 24.8881, 1e-6, 1e-3},
    {0.30, 0, 20, 68.2832, 0.0173458, 35.2161, 1e-6, 1e-3},
    {0.50, 0, 10, 108.7551, 0.0091679, 40.7546, 1e-6, 1e-3},
    {0.35, 0, 25, 107.2521, 0.0970652, 20.2587, 1e-6, 1e-3},
    {0.30, 0, 30, 93.8159, 0.1224609, 18.2401, 1e-6, 1e-3},
    {0.40, 0, 24, 109.9405, 0.1854463, 14.6356, 1e-6, 1e-3},
    {0.50, 0, 20, 126.6515, 0.2245467, 12.9739, 1e-6, 1e-3},
    {0.20, 0, 67, 28.2137, 0.4785553, 6.4014, 1e-6, 1e-3},
    {0.20, 24, 30, 46.4355, 0.0115522, 38.7467, 1e-6, 1e-3},
    {0.25, 27, 31, 71.5488, 0.0265618, 31.5149, 1e-6, 1e-3},
    {0.15, 37, 43.5, 36.5242, 0.0129807, 37.7340, 1e-6, 1e-3},
    {0.10, 57, 71, 25.4060, 0.0226726, 32.8900, 1e-6, 1e-3},
    {0.08, 76, 81, 19.8433, 0.0060126, 44.4188, 1e-6, 1e-3},
    {0.30, 26.5, 29.5, 97.0231, 0.1058733, 19.5043, 1e-6, 1e-3},
    {0.20, 10, 40, 53.6211, 0.0569634, 24.8881, 1e-6, 1e-3},
    {0.35, 24, 30, 80.4136, 0.2703388, 11.3618, 1e-6, 1e-3},
};

/* The same by formula: the second route beside the table. */
static double pi_reflection(double henry, double low, double high)
{
    double l = 2.0 * PI * high * henry / 50.0, r = low / high;
    double q = r <= 0.5 ? 0.75 : 1.0 - r + r * r, m = r <= 0.5 ? 0.25 : r * (1.0 - r);
    if (l * l > 2.0 - q)
        return (l * l - 1.0) / (l * l + 1.0);
    double c = (1.0 - sqrt(1.0 - q * l * l)) / (q * l), k = 0.5 * l * c * c * m;
    return k / sqrt(1.0 + k * k);
}

static void test_held_inductance(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof pi_rows / sizeof *pi_rows; i++) {
        double high = 1e9 * pi_rows[i].high;
        double low = pi_rows[i].low > 0.0 ? 1e9 * pi_rows[i].low : high / 1000.0;
        double henry = 1e-9 * pi_rows[i].henry;
        circuit own;
        fl_sizing sizing;
        circuit_pi(&own, (double[]){low, high}, henry, "{\"size\": [\"1 fF\", \"500 fF\"]}", "");
        size_it(&own, &sizing);
        check_near(pi_rows[i].reflection, reflection(sizing.margin_db), pi_rows[i].tolerance,
                   "row %zu: reflection", i);
        check_near(pi_rows[i].value, sizing.margin_db, 1e-3, "row %zu: dB", i);
        check_near(pi_reflection(henry, low, high), reflection(sizing.margin_db), 1e-7,
                   "row %zu: formula", i);
        for (size_t k = 0; k < 2; k++) {
            check_close(1e-15 * pi_rows[i].farad, sizing.quantities[k], pi_rows[i].share,
                        "row %zu: capacitor %zu", i, k);
            assert_int_equal(sizing.bounds[k], FL_BOUND_NONE);
        }
        fl_sizing_release(&sizing);
        circuit_close(&own);
    }
}

/* ---- ladders ---- */

enum { MOST_ELEMENTS = 7 };

/* Chebyshev prototype of a ripple in dB [Matthaei1964] sec. 4.05. */
static void chebyshev(double *g, size_t n, double ripple_db)
{
    double a[MOST_ELEMENTS] = {0.0}, b[MOST_ELEMENTS] = {0.0};
    double order = (double)n;
    double epsilon = sqrt(pow(10.0, 0.1 * ripple_db) - 1.0);
    double gamma = sinh(asinh(1.0 / epsilon) / order);
    for (size_t k = 1; k <= n; k++) {
        a[k - 1] = sin((2.0 * (double)k - 1.0) * PI / (2.0 * order));
        b[k - 1] = gamma * gamma + pow(sin((double)k * PI / order), 2.0);
    }
    g[0] = 2.0 * a[0] / gamma;
    for (size_t k = 1; k < n; k++)
        g[k] = 4.0 * a[k - 1] * a[k] / (b[k - 1] * g[k - 1]);
}

/* A shunt-first ladder to 30 GHz in 50 ohm; the free elements have a range of 0.05 to 5 times. */
static void ladder(circuit *own, const double *g, size_t n, const bool *free)
{
    static const double top = 30e9;
    const char *port = "\"impedance\": \"50 ohm\"";
    double farad = 1.0 / (2.0 * PI * top * 50.0), henry = 50.0 / (2.0 * PI * top);
    circuit_begin(own, top / 1000.0, top, port, port);
    for (size_t i = 0; i < n; i++) {
        bool shunt = i % 2 == 0;
        double unit = shunt ? farad : henry;
        const char *kind = shunt ? "shunt capacitor" : "series inductor";
        const char *name = shunt ? "capacitance" : "inductance", *symbol = shunt ? "F" : "H";
        if (free[i])
            circuit_part(own, kind, "\"%s\": {\"size\": [\"%.17g %s\", \"%.17g %s\"]}", name,
                         0.05 * unit, symbol, 5.0 * unit, symbol);
        else
            circuit_part(own, kind, "\"%s\": \"%.17g %s\"", name, g[i] * unit, symbol);
    }
    circuit_end(own, "");
}

/* 20 dB of return loss: ripple 0.043648 dB. */
static const double ripple20_db = 0.043648054024501;

/* n = 5 with the middle element held: the optimum is the prototype itself. */
static void test_chebyshev_five(void **state)
{
    (void)state;
    double g[5];
    const bool free[5] = {true, true, false, true, true};
    circuit own;
    fl_sizing sizing;
    chebyshev(g, 5, ripple20_db);
    ladder(&own, g, 5, free);
    size_it(&own, &sizing);
    check_near(20.0, sizing.margin_db, 1e-4, "return loss");
    for (size_t i = 0, k = 0; i < 5; i++) {
        double unit = (i % 2 == 0 ? 1.0 / 50.0 : 50.0) / (2.0 * PI * 30e9);
        if (free[i])
            check_close(g[i] * unit, sizing.quantities[k], 1e-4, "element %zu", i + 1);
        k += free[i] || own.design->quantity_count == 5 ? 1 : 0;
    }
    fl_sizing_release(&sizing);
    circuit_close(&own);
}

/* With its inductors held a prototype is not the best there is. Values: computed by search on
 * 20 001 frequencies, no published source. */
static void test_held_inductors(void **state)
{
    (void)state;
    double g[5];
    const double better[5] = {0.7255, 0, 1.5298, 0, 0.7255};
    const bool free[5] = {true, false, true, false, true};
    circuit own;
    fl_sizing sizing;
    chebyshev(g, 5, ripple20_db);
    ladder(&own, g, 5, free);
    size_it(&own, &sizing);
    check_near(22.953, sizing.margin_db, 1e-3, "return loss");
    for (size_t i = 0; i < own.design->quantity_count; i++) {
        size_t element = own.design->quantity_count == 3 ? 2 * i : i;
        if (own.design->quantities[i].sized)
            check_close(better[element] / (2.0 * PI * 30e9 * 50.0), sizing.quantities[i], 1e-3,
                        "element %zu", element + 1);
    }
    fl_sizing_release(&sizing);
    circuit_close(&own);
}

/* ---- resistance beside capacitance, matched with n - 1 elements and the source resistance ---- */

/* Worst return loss of a load of 50 ohm beside a capacitance with w2 R C = g1. */
static double matched_db(double g1, size_t n, double source)
{
    static const double top = 30e9;
    double farad = 1.0 / (2.0 * PI * top * 50.0), henry = 50.0 / (2.0 * PI * top);
    char die[128], board[128];
    circuit own;
    fl_sizing sizing;
    snprintf(die, sizeof die, "\"resistance\": \"50 ohm\", \"parallel capacitance\": \"%.17g F\"",
             g1 * farad);
    snprintf(board, sizeof board, "\"impedance\": \"%.17g ohm\"", source);
    circuit_begin(&own, top / 1000.0, top, die, board);
    if (n == 1)
        circuit_part(&own, "series resistor", "\"resistance\": \"0 ohm\"");
    if (n >= 2)
        circuit_part(&own, "series inductor",
                     "\"inductance\": {\"size\": [\"%.17g H\", \"%.17g H\"]}", 0.02 * henry,
                     5.0 * henry);
    if (n >= 3)
        circuit_part(&own, "shunt capacitor",
                     "\"capacitance\": {\"size\": [\"%.17g F\", \"%.17g F\"]}", 0.02 * farad,
                     8.0 * farad);
    circuit_end(&own, ", \"points\": 21");
    size_it(&own, &sizing);
    double margin_db = sizing.margin_db;
    fl_sizing_release(&sizing);
    circuit_close(&own);
    return margin_db;
}

/* The best over the source resistance, by golden section on its logarithm. */
static double best_matched_db(double g1, size_t n)
{
    const double golden = 0.61803398874989485;
    double low = log(5.0), high = log(100.0);
    double left = high - golden * (high - low), right = low + golden * (high - low);
    double at_left = matched_db(g1, n, exp(left)), at_right = matched_db(g1, n, exp(right));
    for (int i = 0; i < 20; i++) {
        if (at_left > at_right) {
            high = right;
            right = left;
            at_right = at_left;
            left = high - golden * (high - low);
            at_left = matched_db(g1, n, exp(left));
        } else {
            low = left;
            left = right;
            at_left = at_right;
            right = low + golden * (high - low);
            at_right = matched_db(g1, n, exp(right));
        }
    }
    return fmax(at_left, at_right);
}

/* [Fano1950] [Levy1964]: n = 1 and n = 2 in closed form; n = 3 lies between the equal-ripple value
 * and the limit exp(-pi / g1), found is the best of a search over all elements (good to 2e-5). */
static const struct {
    double g1, equal_ripple3, found3;
} load_rows[] = {
    {1.0, 0.1110106, 0.10967},
    {2.0, 0.3090899, 0.30617},
};

static void test_capacitive_load(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof load_rows / sizeof *load_rows; i++) {
        double g1 = load_rows[i].g1, d = 1.0 / g1;
        double one = sqrt(1.0 + d * d) - d;
        check_near(-20.0 * log10(one), best_matched_db(g1, 1), 0.01, "g1 %g, n 1", g1);
        check_near(-40.0 * log10(one), best_matched_db(g1, 2), 0.01, "g1 %g, n 2", g1);
        double three = reflection(best_matched_db(g1, 3));
        check_near(load_rows[i].found3, three, 4e-5, "g1 %g, n 3", g1);
        assert_true(three < load_rows[i].equal_ripple3);
        assert_true(three > exp(-PI * d));
    }
}

/* ---- band-pass ---- */

/* The prototype of three elements carried to a band, its series inductance held; nothing better
 * was found by local searches over the five free values. */
static const struct {
    double henry, low, high, series, shunt, tank; /* nH, GHz, fF, fF, pH */
    double value_db, tolerance;
} pass_rows[] = {
    {1.00, 26, 30, 32.4747, 210.4953, 154.2777, 47.1384, 1e-3},
    {0.50, 24, 30, 70.3619, 102.8170, 342.1706, 55.0405, 1e-3},
    {0.40, 37, 43, 39.8025, 81.4130, 195.5583, 61.0336, 1e-3},
    {0.30, 57, 66, 22.4440, 61.3542, 109.7431, 57.8809, 1e-3},
};

static void tank(circuit *own, double femtofarad, double picohenry)
{
    circuit_part(own, "shunt capacitor", "\"capacitance\": {\"size\": [\"%g fF\", \"%g fF\"]}",
                 0.3 * femtofarad, 3.0 * femtofarad);
    circuit_part(own, "shunt inductor", "\"inductance\": {\"size\": [\"%g pH\", \"%g pH\"]}",
                 0.3 * picohenry, 3.0 * picohenry);
}

static void test_band_pass(void **state)
{
    (void)state;
    const char *port = "\"impedance\": \"50 ohm\"";
    for (size_t i = 0; i < sizeof pass_rows / sizeof *pass_rows; i++) {
        circuit own;
        fl_sizing sizing;
        circuit_begin(&own, 1e9 * pass_rows[i].low, 1e9 * pass_rows[i].high, port, port);
        tank(&own, pass_rows[i].shunt, pass_rows[i].tank);
        circuit_part(&own, "series inductor", "\"inductance\": \"%g nH\"", pass_rows[i].henry);
        circuit_part(&own, "series capacitor",
                     "\"capacitance\": {\"size\": [\"%g fF\", \"%g fF\"]}",
                     0.3 * pass_rows[i].series, 3.0 * pass_rows[i].series);
        tank(&own, pass_rows[i].shunt, pass_rows[i].tank);
        circuit_end(&own, "");
        size_it(&own, &sizing);
        print_message("band-pass row %zu: table %.4f dB, found %.4f dB\n", i, pass_rows[i].value_db,
                      sizing.margin_db);
        assert_true(sizing.margin_db >= pass_rows[i].value_db - pass_rows[i].tolerance);
        fl_sizing_release(&sizing);
        circuit_close(&own);
    }
}

/* ---- transformers of quarter-wave lines ---- */

/* Lines a quarter wave long at 30 GHz from 50 ohm to ratio * 50 ohm, over the band in which the
 * Chebyshev transformer of that ripple holds. */
static void transformer(circuit *own, size_t sections, double ratio, double ripple)
{
    static const double centre = 30e9;
    char board[64];
    double most = ripple / sqrt(1.0 - ripple * ripple);
    double at_zero = (ratio - 1.0) / (2.0 * sqrt(ratio)); /* K of the bare step, at theta = 0 */
    double secant = cosh(acosh(at_zero / most) / (double)sections);
    double edge = acos(1.0 / secant) / (0.5 * PI);
    snprintf(board, sizeof board, "\"impedance\": \"%.17g ohm\"", 50.0 * ratio);
    circuit_begin(own, edge * centre, (2.0 - edge) * centre, "\"impedance\": \"50 ohm\"", board);
    for (size_t i = 0; i < sections; i++)
        circuit_part(own, "line",
                     "\"impedance\": {\"size\": [\"45 ohm\", \"%.17g ohm\"]}, \"permittivity\": 1, "
                     "\"length\": \"%.17g m\"",
                     55.0 * ratio, LIGHT / (4.0 * centre));
    circuit_end(own, "");
}

/* [Pozar2011] Table 5.2 after [Matthaei1964], exact formula to 1e-4; one section: sqrt(ratio), the
 * reflection over the band of 29 % in Example 5.5 is 0.2. */
static const struct {
    size_t sections;
    double ratio, ripple, first, second;
    double tolerance;
} line_rows[] = {
    {1, 5, 0.20, 2.2360680, 0, 1e-4},    {2, 2, 0.05, 1.2193, 1.6402, 2e-4},
    {2, 4, 0.05, 1.4500, 2.7585, 2e-4},  {2, 4, 0.20, 1.5651, 2.5558, 2e-4},
    {2, 10, 0.05, 1.8233, 5.4845, 2e-4}, {2, 10, 0.20, 1.9680, 5.0813, 2e-4},
};

static void test_transformers(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof line_rows / sizeof *line_rows; i++) {
        circuit own;
        fl_sizing sizing;
        transformer(&own, line_rows[i].sections, line_rows[i].ratio, line_rows[i].ripple);
        size_it(&own, &sizing);
        check_near(line_rows[i].ripple, reflection(sizing.margin_db), 1e-6, "row %zu", i);
        double found[2] = {0.0, 0.0};
        for (size_t k = 0, n = 0; k < own.design->quantity_count && n < 2; k++)
            if (own.design->quantities[k].sized)
                found[n++] = sizing.quantities[k] / 50.0;
        check_close(line_rows[i].first, found[0], line_rows[i].tolerance, "row %zu: first", i);
        check_close(line_rows[i].second, found[1], line_rows[i].tolerance, "row %zu: second", i);
        fl_sizing_release(&sizing);
        circuit_close(&own);
    }
}

/* ---- cases and requirements ---- */

/* One capacitance for two inductances, one a case: against a scan of the capacitance. */
static void test_cases_scan(void **state)
{
    (void)state;
    const char *port = "\"impedance\": \"50 ohm\"";
    circuit own;
    fl_sizing sizing;
    fl_error error;
    circuit_begin(&own, 24e9, 30e9, port, port);
    circuit_part(&own, "shunt capacitor", "\"capacitance\": \"@c\"");
    circuit_part(&own, "series inductor", "\"inductance\": \"@l\"");
    circuit_part(&own, "shunt capacitor", "\"capacitance\": \"@c\"");
    circuit_end(&own, ", \"quantities\": {\"c\": {\"size\": [\"1 fF\", \"200 fF\"]}, "
                      "\"l\": \"0.22 nH\"}, "
                      "\"cases\": [{\"name\": \"short\"}, {\"name\": \"long\", \"set\": "
                      "{\"l\": \"0.27 nH\"}}]");
    size_it(&own, &sizing);
    size_t sized = 0;
    while (!own.design->quantities[sized].sized)
        sized++;
    double quantities[4], best_db = -HUGE_VAL;
    fl_design_start(own.design, quantities);
    for (int i = 0; i <= 2000; i++) {
        fl_peaks peaks;
        quantities[sized] = 60e-15 + i * 0.01e-15;
        check_ok(fl_peaks_find(&peaks, &own.study, quantities, &error), error);
        assert_int_equal(peaks.count, 2);
        best_db = fmax(best_db, peaks.margin_db);
        fl_peaks_release(&peaks);
    }
    check_near(best_db, sizing.margin_db, 0.005, "best of a scan in steps of 0.01 fF");
    assert_true(sizing.margin_db >= best_db - 1e-3);
    fl_sizing_release(&sizing);
    circuit_close(&own);
}

/* A size per case: each case is as good as it would be alone. */
static void test_per_case(void **state)
{
    (void)state;
    const char *port = "\"impedance\": \"50 ohm\"";
    circuit own;
    fl_sizing sizing;
    circuit_begin(&own, 24e9, 30e9, port, port);
    circuit_part(&own, "shunt capacitor", "\"capacitance\": \"@c\"");
    circuit_part(&own, "series inductor", "\"inductance\": \"@l\"");
    circuit_part(&own, "shunt capacitor", "\"capacitance\": \"@c\"");
    circuit_end(&own,
                ", \"quantities\": {\"c\": {\"size\": [\"1 fF\", \"200 fF\"], \"per case\": true}, "
                "\"l\": \"0.2 nH\"}, \"cases\": [{\"name\": \"short\"}, {\"name\": \"long\", "
                "\"set\": {\"l\": \"0.35 nH\"}}]");
    size_it(&own, &sizing);
    check_near(11.3618, sizing.margin_db, 1e-3, "the long case alone decides");
    for (size_t i = 0; i < own.design->quantity_count; i++)
        if (own.design->quantities[i].sized && own.design->quantities[i].only_case == 1)
            check_close(80.4136e-15, sizing.quantities[i], 1e-3, "capacitance of the long case");
    fl_sizing_release(&sizing);
    circuit_close(&own);
}

/* With a limit and a weight the margin is weight * (return loss - limit). */
static void test_weight(void **state)
{
    (void)state;
    circuit own;
    fl_sizing sizing;
    circuit_pi(&own, (double[]){24e9, 30e9}, 0.35e-9, "{\"size\": [\"1 fF\", \"500 fF\"]}",
               ", \"require\": [{\"quantity\": \"return loss\", \"port\": \"die\", \"at least\": "
               "\"15 dB\", \"weight\": 2}, {\"quantity\": \"rejection\", \"at least\": \"1 dB\", "
               "\"band\": [\"90 GHz\", \"95 GHz\"]}]");
    size_it(&own, &sizing);
    check_near(2.0 * (11.3618 - 15.0), sizing.margin_db, 2e-3, "weighted margin");
    fl_sizing_release(&sizing);
    circuit_close(&own);
}

/* ---- bounds, nothing to size ---- */

static void test_bounds(void **state)
{
    (void)state;
    circuit own;
    fl_sizing sizing;
    const double band[2] = {26.5e9, 29.5e9};
    circuit_pi(&own, band, 0.3e-9, "{\"size\": [\"1 fF\", \"80.2 fF\"]}", "");
    size_it(&own, &sizing);
    assert_int_equal(sizing.bounds[0], FL_BOUND_HIGH);
    assert_true(sizing.quantities[0] == 80.2e-15);
    fl_sizing_release(&sizing);
    circuit_close(&own);
    circuit_pi(&own, band, 0.3e-9, "{\"size\": [\"120.5 fF\", \"400 fF\"], \"grid\": \"1 fF\"}",
               "");
    size_it(&own, &sizing);
    assert_int_equal(sizing.bounds[0], FL_BOUND_LOW);
    assert_true(sizing.quantities[0] == 121e-15);
    fl_sizing_release(&sizing);
    circuit_close(&own);
}

static void test_nothing_to_size(void **state)
{
    (void)state;
    circuit own;
    fl_sizing sizing;
    circuit_pi(&own, (double[]){1e9, 30e9}, 0.2e-9, "\"1e-9 fF\"", "");
    size_it(&own, &sizing);
    /* a series inductance alone: |G| = x / sqrt(4 + x^2), x = w L / 50 ohm */
    check_near(9.0505, sizing.margin_db, 1e-4, "bare inductance at 30 GHz");
    assert_int_equal(sizing.starts, 0);
    fl_sizing_release(&sizing);
    circuit_close(&own);
}

/* ---- interruption and threads ---- */

typedef struct fuse {
    int calls, limit;
} fuse;

static int burn(void *payload, const char *stage, double done)
{
    fuse *own = payload;
    assert_non_null(stage);
    assert_true(done >= 0.0 && done <= 1.0);
    return ++own->calls > own->limit;
}

static void test_interrupt(void **state)
{
    (void)state;
    static const int limits[] = {0, 1, 2, 50, 101, 110, 120, 200, 600};
    const char *texts[] = {"{\"size\": [\"1 fF\", \"500 fF\"], \"start\": \"90 fF\"}",
                           "{\"size\": [\"1 fF\", \"500 fF\"], \"start\": \"90 fF\", "
                           "\"grid\": \"2 fF\"}"};
    for (size_t i = 0; i < sizeof limits / sizeof *limits; i++)
        for (size_t k = 0; k < 2; k++) {
            circuit own;
            fl_sizing sizing;
            fl_peaks start;
            fl_error error;
            double present[8];
            fuse own_fuse = {.limit = limits[i]};
            circuit_pi(&own, (double[]){26.5e9, 29.5e9}, 0.3e-9, texts[k], "");
            fl_design_start(own.design, present);
            check_ok(fl_peaks_find(&start, &own.study, present, &error), error);
            own.study.progress = burn;
            own.study.payload = &own_fuse;
            own.study.threads = 1 + (int)(i % 2);
            check_ok(fl_sizing_run(&sizing, &own.study, &error), error);
            assert_int_equal(sizing.interrupted, own_fuse.calls > own_fuse.limit);
            assert_true(sizing.margin_db >= start.margin_db - 1e-3);
            if (k == 1)
                check_near(round(sizing.quantities[0] / 2e-15), sizing.quantities[0] / 2e-15, 1e-9,
                           "on the grid after %d calls", limits[i]);
            fl_peaks_release(&start);
            fl_sizing_release(&sizing);
            circuit_close(&own);
        }
}

/* Five unknowns, three of them on grids, with loss. */
static void five(circuit *own)
{
    const char *port = "\"impedance\": \"50 ohm\"";
    circuit_begin(own, 26.5e9, 29.5e9, port, port);
    circuit_part(own, "shunt capacitor",
                 "\"capacitance\": {\"size\": [\"10 fF\", \"150 fF\"], \"grid\": \"1 fF\"}");
    circuit_part(own, "series inductor", "\"inductance\": \"0.35 nH\", \"quality factor\": 40");
    circuit_part(own, "shunt capacitor", "\"capacitance\": \"60 fF\"");
    circuit_part(own, "line",
                 "\"impedance\": {\"size\": [\"30 ohm\", \"90 ohm\"]}, \"permittivity\": 2.9, "
                 "\"length\": {\"size\": [\"0.1 mm\", \"2 mm\"], \"grid\": \"10 um\"}, "
                 "\"loss\": \"0.1 dB/mm\"");
    circuit_part(own, "open stub",
                 "\"impedance\": {\"size\": [\"30 ohm\", \"90 ohm\"]}, \"permittivity\": 2.9, "
                 "\"length\": {\"size\": [\"0.1 mm\", \"1.2 mm\"], \"grid\": \"10 um\"}");
    circuit_end(own, "");
}

static void test_threads(void **state)
{
    (void)state;
    fl_sizing one, many;
    circuit own;
    five(&own);
    size_it(&own, &one);
    for (int threads = 2; threads <= 3; threads++) {
        own.study.threads = threads;
        size_it(&own, &many);
        assert_memory_equal(one.quantities, many.quantities,
                            own.design->quantity_count * sizeof *one.quantities);
        assert_memory_equal(&one.margin_db, &many.margin_db, sizeof one.margin_db);
        assert_memory_equal(&one.free_margin_db, &many.free_margin_db, sizeof one.margin_db);
        assert_int_equal(one.evaluations, many.evaluations);
        fl_sizing_release(&many);
    }
    assert_true(one.free_margin_db >= one.margin_db);
    fl_sizing_release(&one);
    circuit_close(&own);
}

/* ---- grids ---- */

/* Best margin over all points of a lattice of up to three sized quantities, by enumeration on 301
 * frequencies. */
static double enumerate_db(const circuit *own)
{
    const fl_design *design = own->design;
    double frequencies[301], quantities[16], first[3], last[3], k[3];
    size_t sized[3], axes = 0;
    fl_margins *margins = NULL;
    fl_work *work = NULL;
    fl_error error;
    fl_band_grid(frequencies, &design->bands[0], 301);
    fl_grid grid = {.frequencies = frequencies, .count = 301};
    check_ok(fl_margins_new(&margins, design, own->networks, &grid, &error), error);
    check_ok(fl_work_new(&work, margins, &error), error);
    double *power = fl_memory_take(fl_margins_entry_count(margins), sizeof *power);
    fl_design_start(design, quantities);
    for (size_t i = 0; i < design->quantity_count; i++) {
        const fl_quantity *quantity = &design->quantities[i];
        if (!quantity->sized)
            continue;
        assert_true(fl_grid_range(&first[axes], &last[axes], quantity->grid, quantity->low,
                                  quantity->high));
        k[axes] = first[axes];
        sized[axes++] = i;
    }
    double best_db = -HUGE_VAL;
    for (size_t axis = 0; axis < axes;) {
        for (size_t i = 0; i < axes; i++)
            quantities[sized[i]] = fl_grid_multiple(design->quantities[sized[i]].grid, k[i]);
        assert_true(fl_margins_power(margins, work, quantities, power));
        best_db = fmax(best_db, fl_margins_worst(margins, design, power, NULL).margin_db);
        for (axis = 0; axis < axes && ++k[axis] > last[axis]; axis++)
            k[axis] = first[axis];
    }
    fl_memory_free(power);
    fl_work_free(work);
    fl_margins_free(margins);
    return best_db;
}

/* Inductance, band and ranges such that the best points of the lattice are not near roundings. */
static const struct {
    double henry, low, high;
    const char *first, *inductance, *second; /* sizes */
    double tolerance;                        /* dB: 301 frequencies against the whole band */
} lattice_rows[] = {
    {0.30e-9, 26.5e9, 29.5e9, "[\"5 fF\", \"250 fF\"], \"grid\": \"7 fF\"", NULL,
     "[\"5 fF\", \"250 fF\"], \"grid\": \"11 fF\"", 1e-3},
    {0.20e-9, 24e9, 30e9, "[\"5 fF\", \"150 fF\"], \"grid\": \"4 fF\"", NULL,
     "[\"5 fF\", \"150 fF\"], \"grid\": \"3 fF\"", 1e-3},
    {0.25e-9, 27e9, 31e9, "[\"10 fF\", \"150 fF\"], \"grid\": \"10 fF\"", NULL,
     "[\"10 fF\", \"150 fF\"], \"grid\": \"15 fF\"", 1e-3},
    {0, 24e9, 30e9, "[\"60 fF\", \"150 fF\"], \"grid\": \"7 fF\"",
     "[\"100 pH\", \"500 pH\"], \"grid\": \"30 pH\"", "[\"40 fF\", \"150 fF\"], \"grid\": \"9 fF\"",
     1e-3},
    {0, 20e9, 30e9, "[\"50 fF\", \"200 fF\"], \"grid\": \"12 fF\"",
     "[\"80 pH\", \"500 pH\"], \"grid\": \"17 pH\"", "[\"10 fF\", \"150 fF\"], \"grid\": \"5 fF\"",
     1e-3},
};

static void test_enumeration(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof lattice_rows / sizeof *lattice_rows; i++) {
        circuit own;
        fl_sizing sizing;
        const char *held = lattice_rows[i].inductance;
        circuit_begin(&own, lattice_rows[i].low, lattice_rows[i].high,
                      "\"impedance\": [\"42 ohm\", \"-6 ohm\"]", "\"impedance\": \"50 ohm\"");
        circuit_part(&own, "shunt capacitor", "\"capacitance\": {\"size\": %s}",
                     lattice_rows[i].first);
        if (held != NULL)
            circuit_part(&own, "series inductor", "\"inductance\": {\"size\": %s}", held);
        else
            circuit_part(&own, "series inductor", "\"inductance\": \"%.17g H\"",
                         lattice_rows[i].henry);
        circuit_part(&own, "shunt capacitor", "\"capacitance\": {\"size\": %s}",
                     lattice_rows[i].second);
        circuit_end(&own, "");
        size_it(&own, &sizing);
        check_near(enumerate_db(&own), sizing.margin_db, lattice_rows[i].tolerance, "row %zu", i);
        assert_true(sizing.margin_db <= sizing.free_margin_db);
        fl_sizing_release(&sizing);
        circuit_close(&own);
    }
}

/* A placed value reads as it would be written. */
static void test_short_text(void **state)
{
    (void)state;
    circuit own;
    fl_sizing sizing;
    char text[FL_UNIT_ROOM];
    circuit_pi(&own, (double[]){26.5e9, 29.5e9}, 0.3e-9,
               "{\"size\": [\"1 fF\", \"300 fF\"], \"grid\": \"1 fF\"}", "");
    size_it(&own, &sizing);
    fl_unit_text(text, sizing.quantities[0], FL_CAPACITANCE, 0);
    assert_string_equal(text, "97 fF");
    fl_sizing_release(&sizing);
    circuit_close(&own);
}

/* One value on a coarse grid, the other free: the free one makes up for the step. */
static void test_grid_beside_free(void **state)
{
    (void)state;
    const char *port = "\"impedance\": \"50 ohm\"";
    circuit own;
    fl_sizing sizing;
    circuit_begin(&own, 24e9, 30e9, port, port);
    circuit_part(&own, "shunt capacitor", "\"capacitance\": \"@c\"");
    circuit_part(&own, "series inductor",
                 "\"inductance\": {\"size\": [\"150 pH\", \"500 pH\"], \"grid\": \"200 pH\"}");
    circuit_part(&own, "shunt capacitor", "\"capacitance\": \"@c\"");
    circuit_end(&own, ", \"quantities\": {\"c\": {\"size\": [\"10 fF\", \"150 fF\"]}}");
    size_it(&own, &sizing);
    /* 200 pH is the better multiple: the row of the held inductance */
    check_near(38.7467, sizing.margin_db, 1e-3, "at 200 pH");
    for (size_t i = 0; i < own.design->quantity_count; i++)
        if (own.design->quantities[i].dimension == FL_CAPACITANCE)
            check_close(46.4355e-15, sizing.quantities[i], 1e-3, "sized anew");
        else
            assert_true(sizing.quantities[i] == 200e-12);
    fl_sizing_release(&sizing);
    circuit_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_held_inductance), cmocka_unit_test(test_chebyshev_five),
        cmocka_unit_test(test_held_inductors),  cmocka_unit_test(test_capacitive_load),
        cmocka_unit_test(test_band_pass),       cmocka_unit_test(test_transformers),
        cmocka_unit_test(test_cases_scan),      cmocka_unit_test(test_per_case),
        cmocka_unit_test(test_weight),          cmocka_unit_test(test_bounds),
        cmocka_unit_test(test_nothing_to_size), cmocka_unit_test(test_interrupt),
        cmocka_unit_test(test_threads),         cmocka_unit_test(test_enumeration),
        cmocka_unit_test(test_short_text),      cmocka_unit_test(test_grid_beside_free),
    };
    return cmocka_run_group_tests_name("studies/size", tests, NULL, NULL);
}
