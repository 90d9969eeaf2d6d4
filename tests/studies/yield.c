/* Monte Carlo yields against closed forms, on one thread and on many. */
#include "base/random.h"
#include "check.h"
#include "sample.h"
#include "studies/studies.h"

/* A series inductance alone between two 50 ohm ports: |G| = x / sqrt(4 + x^2), x = w L / 50 ohm,
 * grows with frequency and inductance. The band ends at the frequency of the row. */
enum { INDUCTORS = 2, SAMPLES = 20000 };

/* Standard errors allowed; one figure in 15 000 would be further off by chance. */
static const double ALLOWED = 4.0;

static const double PI = 3.14159265358979323846;

typedef struct rig {
    sample parts;
    fl_spread spreads[INDUCTORS];
    fl_draw draws[INDUCTORS];
    const char *groups[INDUCTORS];
    fl_correlation correlation;
    fl_groundwork *groundwork;
    fl_study study;
} rig;

typedef struct inductor {
    double nominal, amount, within; /* H */
    fl_shape shape;
    size_t draw;
} inductor;

static void rig_open(rig *own, const inductor *inductors, size_t count, double top, double limit_db)
{
    fl_error error;
    memset(own, 0, sizeof *own);
    sample_init(&own->parts, 0.95 * top, top);
    fl_design *design = &own->parts.design;
    for (size_t i = 0; i < count; i++) {
        sample_add(&own->parts, "series inductor");
        size_t quantity = sample_set(&own->parts, "inductance", inductors[i].nominal);
        own->spreads[i] = (fl_spread){.shape = inductors[i].shape,
                                      .amount = inductors[i].amount,
                                      .within = inductors[i].within,
                                      .level = FL_LEVEL_LOT,
                                      .draw = inductors[i].draw};
        own->parts.quantities[quantity].spreads = &own->spreads[i];
        own->parts.quantities[quantity].spread_count = 1;
        own->draws[i] = (fl_draw){FL_LEVEL_LOT, i, "group"};
        own->groups[i] = "group";
    }
    sample_require(&own->parts, FL_RETURN_LOSS, FL_PORT_BOARD, true, limit_db);
    design->points = 3;
    design->draws = own->draws;
    design->draw_count = count;
    design->groups = own->groups;
    design->group_count = count;
    design->confidence = 0.95;
    check_ok(fl_groundwork_new(&own->groundwork, design, &error), error);
    own->study = (fl_study){.design = design,
                            .groundwork = own->groundwork,
                            .seed = 1,
                            .samples = SAMPLES,
                            .threads = 2};
}

static void rig_close(rig *own)
{
    fl_groundwork_free(own->groundwork);
}

static double return_loss(double inductance, double frequency)
{
    double x = 2.0 * PI * frequency * inductance / 50.0;
    return 10.0 * log10((4.0 + x * x) / (x * x));
}

static double standard_error(double share, double samples)
{
    return sqrt(share * (1.0 - share) / samples);
}

typedef struct yield_row {
    const char *name;
    double top, limit_db;
    inductor inductors[INDUCTORS];
    size_t count;
    double correlation;
    double yield;
} yield_row;

/* With the limit L* = 2 * 50 ohm * G / (w sqrt(1 - G^2)), yield = P(L <= L*) of the total. L* is
 * 0.23023378890366618 nH at 30 GHz and 8 dB. Sums of normals are normal: sigmas add as squares,
 * with correlation r by s1^2 + s2^2 + 2 r s1 s2, with one draw as they are. */
static const yield_row yield_rows[] = {
    {"one, 8 dB", 30e9, 8.0, {{0.2e-9, 0.02e-9, 0.0, FL_NORMAL, 0}}, 1, 0.0, 0.9346935575101123},
    {"one, 15 dB", 30e9, 15.0, {{0.1e-9, 0.01e-9, 0.0, FL_NORMAL, 0}}, 1, 0.0, 0.3397537089307156},
    {"one, 60 GHz",
     60e9,
     14.0,
     {{0.05e-9, 0.004e-9, 0.0, FL_NORMAL, 0}},
     1,
     0.0,
     0.8420710328323384},
    {"two",
     30e9,
     8.0,
     {{0.12e-9, 0.012e-9, 0.0, FL_NORMAL, 0}, {0.08e-9, 0.016e-9, 0.0, FL_NORMAL, 1}},
     2,
     0.0,
     0.9346935575101123},
    {"two, correlated",
     30e9,
     8.0,
     {{0.12e-9, 0.012e-9, 0.0, FL_NORMAL, 0}, {0.08e-9, 0.016e-9, 0.0, FL_NORMAL, 1}},
     2,
     0.5,
     0.8929925621993207},
    {"two, one draw",
     30e9,
     8.0,
     {{0.12e-9, 0.012e-9, 0.0, FL_NORMAL, 0}, {0.08e-9, 0.008e-9, 0.0, FL_NORMAL, 0}},
     2,
     0.0,
     0.9346935575101123},
    /* (L* - 0.16 nH) / 0.08 nH */
    {"uniform", 30e9, 8.0, {{0.2e-9, 0.04e-9, 0.0, FL_UNIFORM, 0}}, 1, 0.0, 0.8779223612958273},
    /* (P(1.5116894451833) - P(-2)) / (P(2) - P(-2)) of the normal distribution */
    {"cut at 2 sigma",
     30e9,
     8.0,
     {{0.2e-9, 0.02e-9, 0.04e-9, FL_NORMAL, 0}},
     1,
     0.0,
     0.9554150630618009},
    {"all pass", 30e9, 8.0, {{0.2e-9, 0.02e-9, 0.0, FL_UNIFORM, 0}}, 1, 0.0, 1.0},
};

static void test_closed_forms(void **state)
{
    (void)state;
    for (size_t r = 0; r < sizeof yield_rows / sizeof *yield_rows; r++) {
        const yield_row *row = &yield_rows[r];
        rig own;
        fl_yielding yielding;
        fl_error error;
        rig_open(&own, row->inductors, row->count, row->top, row->limit_db);
        own.correlation = (fl_correlation){{0, 1}, row->correlation};
        own.parts.design.correlations = &own.correlation;
        own.parts.design.correlation_count = row->correlation != 0.0;
        check_ok(fl_yielding_run(&yielding, &own.study, own.parts.values, &error), error);
        check_near(row->yield, yielding.estimate, ALLOWED * standard_error(row->yield, SAMPLES),
                   "%s", row->name);
        assert_int_equal(yielding.samples, SAMPLES);
        assert_true(yielding.low <= yielding.estimate && yielding.estimate <= yielding.high);
        /* The reflection grows with frequency: all failures at the high third. */
        assert_int_equal(yielding.failure_count, yielding.passed < SAMPLES);
        for (size_t i = 0; i < yielding.failure_count; i++) {
            assert_int_equal(yielding.failures[i].count, SAMPLES - yielding.passed);
            assert_int_equal(yielding.failures[i].third[2], yielding.failures[i].count);
        }
        fl_yielding_release(&yielding);
        rig_close(&own);
    }
}

static const inductor one[] = {{0.2e-9, 0.02e-9, 0.0, FL_NORMAL, 0}};

/* Means of the passing and the failing, percentiles and the curve, all from the normal law. */
static void test_distribution(void **state)
{
    (void)state;
    rig own;
    fl_yielding yielding;
    fl_error error;
    rig_open(&own, one, 1, 30e9, 8.0);
    check_ok(fl_yielding_run(&yielding, &own.study, own.parts.values, &error), error);
    double t = 1.5116894451833, density = exp(-0.5 * t * t) / sqrt(2.0 * PI);
    double pass = 0.9346935575101123, fail = 1.0 - pass;
    /* The standard deviation of either part is below that of the whole. */
    const fl_shift *shift = &yielding.shifts[0];
    assert_int_equal(yielding.shift_count, 1);
    check_near(0.2e-9 - 0.02e-9 * density / pass, shift->passing,
               ALLOWED * 0.02e-9 / sqrt(pass * SAMPLES), "mean of those that pass");
    check_near(0.2e-9 + 0.02e-9 * density / fail, shift->failing,
               ALLOWED * 0.02e-9 / sqrt(fail * SAMPLES), "mean of those that fail");
    check_close((shift->failing - shift->passing) / 0.02e-9, shift->sigmas, 1e-12, "shift");
    /* The one input explains all; 32 steps for a line lose below 2 %. */
    check_near(0.99, shift->share, 0.01, "share of variance");
    assert_int_equal(yielding.percentile_count, 7);
    for (size_t i = 0; i < yielding.percentile_count; i++) {
        double p = yielding.percentiles[i].percent / 100.0;
        double z = fl_normal_quantile(1.0 - p);
        double error_z = ALLOWED * standard_error(p, SAMPLES) * sqrt(2.0 * PI) * exp(0.5 * z * z);
        double got = yielding.percentiles[i].return_loss_db;
        double least = return_loss(0.2e-9 + 0.02e-9 * (z + error_z), 30e9) - 0.001;
        double most = return_loss(0.2e-9 + 0.02e-9 * (z - error_z), 30e9);
        if (!(got >= least && got <= most))
            fail_msg("%g %%: %g dB, wanted %g to %g", 100.0 * p, got, least, most);
    }
    bool limit_seen = false;
    for (size_t i = 0; i < yielding.curve_count; i++) {
        const fl_curve_point *point = &yielding.curve[i];
        double power = pow(10.0, -0.1 * point->return_loss_db);
        double most = 100.0 * sqrt(power / (1.0 - power)) / (2.0 * PI * 30e9);
        double wanted =
            point->return_loss_db > 0.0 ? fl_normal_share((most - 0.2e-9) / 0.02e-9) : 1.0;
        check_near(wanted, point->yield, ALLOWED * standard_error(wanted, SAMPLES) + 1e-12,
                   "yield at %g dB", point->return_loss_db);
        limit_seen =
            limit_seen || (point->return_loss_db == 8.0 && point->yield == yielding.estimate);
    }
    assert_true(limit_seen);
    fl_yielding_release(&yielding);
    rig_close(&own);
}

static void same_bits(const fl_yielding *a, const fl_yielding *b)
{
    assert_int_equal(a->passed, b->passed);
    assert_memory_equal(&a->estimate, &b->estimate, 4 * sizeof(double));
    assert_int_equal(a->failure_count, b->failure_count);
    assert_memory_equal(a->failures, b->failures, a->failure_count * sizeof *a->failures);
    assert_int_equal(a->shift_count, b->shift_count);
    assert_memory_equal(a->shifts, b->shifts, a->shift_count * sizeof *a->shifts);
    assert_memory_equal(a->percentiles, b->percentiles, 7 * sizeof *a->percentiles);
    assert_int_equal(a->curve_count, b->curve_count);
    assert_memory_equal(a->curve, b->curve, a->curve_count * sizeof *a->curve);
    for (size_t i = 0; i < a->kept_count; i++)
        assert_memory_equal(a->kept[i].quantities, b->kept[i].quantities,
                            INDUCTORS * sizeof(double));
}

static void test_threads(void **state)
{
    (void)state;
    static const int threads[] = {2, 3, 7, 64};
    fl_error error;
    fl_yielding alone, many;
    rig own;
    rig_open(&own, yield_rows[3].inductors, 2, 30e9, 8.0);
    own.study.samples = 65536 + 4 * 1024 + 77; /* a whole round, whole blocks and a piece */
    own.study.kept = 300;
    own.study.threads = 1;
    check_ok(fl_yielding_run(&alone, &own.study, own.parts.values, &error), error);
    assert_int_equal(alone.kept_count, 300);
    for (size_t i = 0; i < sizeof threads / sizeof *threads; i++) {
        own.study.threads = threads[i];
        check_ok(fl_yielding_run(&many, &own.study, own.parts.values, &error), error);
        same_bits(&alone, &many);
        fl_yielding_release(&many);
    }
    fl_yielding_release(&alone);
    rig_close(&own);
}

static int stop_at_once(void *payload, const char *stage, double done)
{
    assert_string_equal(stage, "yield");
    *(double *)payload = done;
    return 1;
}

static void test_interruption(void **state)
{
    (void)state;
    fl_error error;
    fl_yielding part, whole;
    double done = 0.0;
    rig own;
    rig_open(&own, one, 1, 30e9, 8.0);
    own.study.samples = 100000;
    own.study.progress = stop_at_once;
    own.study.payload = &done;
    check_ok(fl_yielding_run(&part, &own.study, own.parts.values, &error), error);
    assert_true(part.interrupted);
    assert_true(part.samples > 0 && part.samples < 100000);
    check_near((double)part.samples / 1e5, done, 0.0, "progress");
    /* The samples so far are those of a shorter run, and a stop after the last one is none. */
    own.study.samples = part.samples;
    check_ok(fl_yielding_run(&whole, &own.study, own.parts.values, &error), error);
    assert_false(whole.interrupted);
    same_bits(&part, &whole);
    fl_yielding_release(&part);
    fl_yielding_release(&whole);
    rig_close(&own);
}

/* An inductance below zero cannot be: it fails, and is counted apart. */
static void test_not_physical(void **state)
{
    (void)state;
    static const inductor wild[] = {{0.02e-9, 0.02e-9, 0.0, FL_NORMAL, 0}};
    fl_error error;
    fl_yielding yielding;
    rig own;
    rig_open(&own, wild, 1, 30e9, 1.0);
    own.study.kept = 100;
    check_ok(fl_yielding_run(&yielding, &own.study, own.parts.values, &error), error);
    double wanted = fl_normal_share(-1.0);
    check_near(wanted, (double)yielding.not_physical / SAMPLES,
               ALLOWED * standard_error(wanted, SAMPLES), "share that cannot be");
    assert_int_equal(yielding.passed, SAMPLES - yielding.not_physical);
    assert_int_equal(yielding.cases[0].passed, yielding.passed);
    assert_int_equal(yielding.failures[0].count, yielding.not_physical);
    check_near(0.0, yielding.percentiles[0].return_loss_db, 0.0, "a percentile without a value");
    for (size_t i = 0; i < yielding.kept_count; i++) {
        const fl_kept *kept = &yielding.kept[i];
        check_near(0.02e-9 + 0.02e-9 * fl_random_normal(1, i, 0), kept->quantities[0], 0.0,
                   "value of kept sample %zu", i);
        assert_int_equal(kept->passed, kept->quantities[0] >= 0.0);
        if (kept->passed)
            check_near(return_loss(kept->quantities[0], 30e9), kept->return_loss_db[0], 1e-9,
                       "kept sample %zu", i);
        else
            assert_true(isnan(kept->return_loss_db[0]) && isnan(kept->margin_db[0]));
    }
    fl_yielding_release(&yielding);
    rig_close(&own);
}

/* A requirement nobody made fails nothing, whatever its limit; the curve tells what there is. */
static void test_implied(void **state)
{
    (void)state;
    fl_error error;
    fl_yielding yielding;
    rig own;
    rig_open(&own, one, 1, 30e9, 10.0);
    own.parts.requirements[0].implied = true;
    check_ok(fl_yielding_run(&yielding, &own.study, own.parts.values, &error), error);
    assert_int_equal(yielding.passed, SAMPLES);
    assert_int_equal(yielding.failure_count, 0);
    assert_true(isnan(yielding.shifts[0].failing) && isnan(yielding.shifts[0].sigmas));
    assert_true(yielding.curve_count > 5 && yielding.percentile_count == 7);
    fl_yielding_release(&yielding);
    rig_close(&own);
}

/* Two cases, the second with 0.01 nH more: all that pass it pass the first, with the same draws. */
static void test_cases(void **state)
{
    (void)state;
    fl_error error;
    fl_yielding yielding;
    rig own;
    rig_open(&own, one, 1, 30e9, 8.0);
    sample_require(&own.parts, FL_INSERTION_LOSS, FL_PORT_BOARD, false, 0.5);
    fl_section section = own.parts.sections[0];
    fl_term terms[FL_PARTIALS];
    memcpy(terms, section.terms, section.kind->parameter_count * sizeof *terms);
    terms[0].plus = 0.01e-9;
    section.terms = terms;
    const fl_case cases[] = {own.parts.only,
                             {.name = "longer", .sections = &section, .section_count = 1}};
    own.parts.design.cases = cases;
    own.parts.design.case_count = 2;
    check_ok(fl_yielding_run(&yielding, &own.study, own.parts.values, &error), error);
    /* 0.5 dB through is -10 log10(1 - 0.1087) of reflection, 9.638 dB: L* = 0.18528 nH. */
    double power = 1.0 - pow(10.0, -0.05);
    double most = 100.0 * sqrt(power / (1.0 - power)) / (2.0 * PI * 30e9);
    double first = fl_normal_share((most - 0.2e-9) / 0.02e-9);
    double second = fl_normal_share((most - 0.21e-9) / 0.02e-9);
    check_near(first, yielding.cases[0].estimate, ALLOWED * standard_error(first, SAMPLES),
               "first");
    check_near(second, yielding.cases[1].estimate, ALLOWED * standard_error(second, SAMPLES),
               "second");
    assert_int_equal(yielding.passed, yielding.cases[1].passed);
    /* Most frequent first: the loss in the longer case, then in the other, then the return loss. */
    static const size_t wanted[][2] = {{1, 1}, {0, 1}, {1, 0}, {0, 0}};
    assert_int_equal(yielding.failure_count, 4);
    for (size_t i = 0; i < 4; i++) {
        assert_int_equal(yielding.failures[i].case_index, wanted[i][0]);
        assert_int_equal(yielding.failures[i].requirement, wanted[i][1]);
    }
    fl_yielding_release(&yielding);
    /* Without a return loss there is no distribution of it. */
    own.parts.design.requirements = &own.parts.requirements[1];
    own.parts.design.requirement_count = 1;
    check_ok(fl_yielding_run(&yielding, &own.study, own.parts.values, &error), error);
    assert_int_equal(yielding.percentile_count, 0);
    assert_int_equal(yielding.curve_count, 0);
    fl_yielding_release(&yielding);
    rig_close(&own);
}

/* The same laws from design files: what the reader makes of levels, groups and correlations. */
static void test_design_files(void **state)
{
    (void)state;
    static const char form[] =
        "{\"fairlead\": 1, \"band\": [\"29 GHz\", \"30 GHz\"], \"points\": 3,"
        "\"ports\": {\"die\": {\"impedance\": \"50 ohm\"}, \"board\": {\"impedance\": \"50 ohm\"}},"
        "\"require\": [{\"quantity\": \"return loss\", \"at least\": \"8 dB\"}], %s"
        "\"path\": [{\"name\": \"a\", \"kind\": \"series inductor\", \"side\": \"die\","
        "\"inductance\": {\"value\": \"0.12 nH\", \"spread\": %s}},"
        "{\"name\": \"b\", \"kind\": \"series inductor\", \"side\": \"die\","
        "\"inductance\": {\"value\": \"0.08 nH\", \"spread\": %s}}]}";
    static const struct {
        const char *top, *first, *second;
        double yield;
    } rows[] = {
        {"", "{\"normal\": \"10 %\"}", "{\"normal\": \"16 pH\"}", 0.9346935575101123},
        {"", "{\"normal\": \"12 pH\", \"group\": \"g\"}",
         "{\"normal\": \"10 %\", \"group\": \"g\"}", 0.9346935575101123},
        {"\"correlations\": [[\"g\", \"h\", 0.5]],", "{\"normal\": \"12 pH\", \"group\": \"g\"}",
         "{\"normal\": \"20 %\", \"group\": \"h\"}", 0.8929925621993207},
        /* Other levels, other draws: no correlation acts, and a group is not shared. */
        {"\"correlations\": [[\"g\", \"h\", 0.5]],",
         "{\"normal\": \"12 pH\", \"group\": \"g\", \"level\": \"lot\"}",
         "{\"normal\": \"16 pH\", \"group\": \"h\", \"level\": \"wafer\"}", 0.9346935575101123},
        {"", "[{\"normal\": \"12 pH\", \"group\": \"g\", \"level\": \"lot\"}]",
         "[{\"normal\": \"16 pH\", \"group\": \"g\"}]", 0.9346935575101123},
    };
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        char text[2048];
        fl_error error;
        fl_design *design = NULL;
        fl_groundwork *groundwork = NULL;
        fl_yielding yielding;
        double start[INDUCTORS];
        int length = snprintf(text, sizeof text, form, rows[r].top, rows[r].first, rows[r].second);
        check_ok(fl_design_parse(&design, text, (size_t)length, "row", NULL, &error), error);
        check_ok(fl_groundwork_new(&groundwork, design, &error), error);
        assert_int_equal(design->quantity_count, INDUCTORS);
        fl_design_start(design, start);
        fl_study study = {
            .design = design, .groundwork = groundwork, .samples = SAMPLES, .threads = 2};
        check_ok(fl_yielding_run(&yielding, &study, start, &error), error);
        check_near(rows[r].yield, yielding.estimate,
                   ALLOWED * standard_error(rows[r].yield, SAMPLES), "row %zu", r);
        fl_yielding_release(&yielding);
        fl_groundwork_free(groundwork);
        fl_design_free(design);
    }
}

/* Over many seeds the interval holds the true yield at least as often as it promises. */
static void test_coverage(void **state)
{
    (void)state;
    enum { RUNS = 400 };
    const double truth = 0.9346935575101123;
    fl_error error;
    int held = 0;
    rig own;
    rig_open(&own, one, 1, 30e9, 8.0);
    own.study.samples = 200;
    own.study.threads = 1;
    for (uint64_t seed = 0; seed < RUNS; seed++) {
        fl_yielding yielding;
        own.study.seed = seed;
        check_ok(fl_yielding_run(&yielding, &own.study, own.parts.values, &error), error);
        held += yielding.low <= truth && truth <= yielding.high;
        fl_yielding_release(&yielding);
    }
    /* The exact coverage of 200 trials at this share is between 0.95 and 0.975. */
    double coverage = (double)held / RUNS;
    double room = 3.0 * standard_error(0.95, RUNS);
    if (!(coverage >= 0.95 - room && coverage <= 0.975 + room))
        fail_msg("coverage %g, wanted %g to %g", coverage, 0.95 - room, 0.975 + room);
    rig_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_closed_forms), cmocka_unit_test(test_distribution),
        cmocka_unit_test(test_threads),      cmocka_unit_test(test_interruption),
        cmocka_unit_test(test_not_physical), cmocka_unit_test(test_implied),
        cmocka_unit_test(test_cases),        cmocka_unit_test(test_design_files),
        cmocka_unit_test(test_coverage),
    };
    return cmocka_run_group_tests_name("studies/yield", tests, NULL, NULL);
}
