/* Checkpoints: runs ended anywhere come to the bits of one that was not; nothing else is taken. */
#include "studies/checkpoint.h"

#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/file.h"
#include "circuit.h"

static const char FILE_NAME[] = FL_SCRATCH_DIR "/run.check";

/* Progress that lets so many rounds pass. */
static int stop_after(void *payload, const char *stage, double done)
{
    int *left = payload;
    (void)stage, (void)done;
    return --*left <= 0;
}

static void rig_open(circuit *own, const char *yield)
{
    const char *port = "\"impedance\": \"50 ohm\"";
    char more[512];
    circuit_begin(own, 29e9, 30e9, port, port);
    circuit_part(own, "series inductor",
                 "\"inductance\": {\"value\": \"0.2 nH\", \"spread\": [{\"normal\": \"16 pH\"}, "
                 "{\"normal\": \"12 pH\", \"level\": \"wafer\"}]}");
    circuit_part(own, "shunt capacitor",
                 "\"capacitance\": {\"value\": \"20 fF\", \"spread\": {\"uniform\": \"3 fF\"}}");
    snprintf(more, sizeof more,
             ", \"points\": 5, \"cases\": [{\"name\": \"a\"}, {\"name\": \"b\", \"set\": {\"p2 "
             "capacitance\": {\"value\": \"30 fF\", \"spread\": {\"normal\": \"2 fF\"}}}}], "
             "\"require\": [{\"quantity\": \"return loss\", \"at least\": \"9 dB\"}], "
             "\"yield\": {%s}",
             yield);
    circuit_end(own, more);
    own->study.kept = 10000;
    unlink(FILE_NAME);
}

static fl_status run(fl_yielding *yielding, const circuit *own, fl_error *error)
{
    double nominal[8];
    assert_true(own->design->quantity_count <= 8);
    fl_design_start(own->design, nominal);
    *error = (fl_error){.message = ""};
    return fl_yielding_run(yielding, &own->study, nominal, error);
}

static void same(const fl_yielding *a, const fl_yielding *b, const fl_design *design)
{
    const size_t cases = design->case_count;
    assert_int_equal(a->interrupted, b->interrupted);
    assert_int_equal(a->samples, b->samples);
    assert_int_equal(a->passed, b->passed);
    assert_int_equal(a->not_physical, b->not_physical);
    assert_memory_equal(&a->estimate, &b->estimate, 4 * sizeof(double));
    assert_memory_equal(&a->effective, &b->effective, sizeof(double));
    assert_int_equal(a->stopping.looks, b->stopping.looks);
    for (size_t i = 0; i < cases; i++)
        assert_memory_equal(&a->cases[i], &b->cases[i], sizeof a->cases[i]);
    assert_int_equal(a->failure_count, b->failure_count);
    assert_memory_equal(a->failures, b->failures, a->failure_count * sizeof *a->failures);
    assert_memory_equal(a->shifts, b->shifts, a->shift_count * sizeof *a->shifts);
    assert_memory_equal(a->percentiles, b->percentiles, 7 * sizeof *a->percentiles);
    assert_int_equal(a->curve_count, b->curve_count);
    assert_memory_equal(a->curve, b->curve, a->curve_count * sizeof *a->curve);
    assert_int_equal(a->wafers.count, b->wafers.count);
    assert_memory_equal(a->wafer_passed, b->wafer_passed, a->wafers.count * sizeof(uint64_t));
    assert_int_equal(a->kept_count, b->kept_count);
    for (size_t i = 0; i < a->kept_count; i++) {
        assert_memory_equal(a->kept[i].quantities, b->kept[i].quantities,
                            design->quantity_count * sizeof(double));
        assert_memory_equal(a->kept[i].return_loss_db, b->kept[i].return_loss_db,
                            cases * sizeof(double));
        assert_memory_equal(a->kept[i].margin_db, b->kept[i].margin_db, cases * sizeof(double));
        assert_int_equal(a->kept[i].passed, b->kept[i].passed);
    }
}

static const char *const yields[] = {
    "\"samples\": 400077",
    "\"plan\": {\"lots\": 4, \"wafers\": 3, \"dice per wafer\": 26667}",
    "\"precision\": \"0.25 %\"",
    "\"precision\": \"1.5 %\", \"plan\": {\"wafers\": 3, \"dice per wafer\": 2667}",
};

/* Ended again and again after a few rounds, each time on other threads; then resumed once more when
 * it is done. */
static void test_resume(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof yields / sizeof *yields; i++) {
        circuit own;
        fl_yielding whole, parts;
        fl_error error;
        int left = 0, times = 0;
        rig_open(&own, yields[i]);
        check_ok(run(&whole, &own, &error), error);
        assert_false(fl_file_there(FILE_NAME));
        own.study.checkpoint = FILE_NAME;
        own.study.resume = true;
        own.study.progress = stop_after;
        own.study.payload = &left;
        for (bool more = true; more; times++) {
            left = 1 + times % 3;
            own.study.threads = 1 + times % 4;
            check_ok(run(&parts, &own, &error), error);
            assert_int_equal(parts.lost.status, FL_OK);
            more = parts.interrupted;
            if (more)
                fl_yielding_release(&parts);
        }
        assert_true(times > 1);
        same(&whole, &parts, own.design);
        fl_yielding_release(&parts);
        check_ok(run(&parts, &own, &error), error);
        same(&whole, &parts, own.design);
        fl_yielding_release(&parts);
        fl_yielding_release(&whole);
        circuit_close(&own);
    }
}

/* Leaves the checkpoint of an interrupted run. */
static void leave(circuit *own, int rounds)
{
    fl_yielding part;
    fl_error error;
    rig_open(own, yields[0]);
    own->study.checkpoint = FILE_NAME;
    own->study.progress = stop_after;
    own->study.payload = &rounds;
    check_ok(run(&part, own, &error), error);
    assert_true(part.interrupted);
    fl_yielding_release(&part);
    own->study.progress = NULL;
    own->study.resume = true;
}

static void refused(const circuit *own, const char *message)
{
    fl_yielding yielding;
    fl_error error;
    assert_int_equal(run(&yielding, own, &error), FL_BAD_INPUT);
    assert_string_equal(error.place, FILE_NAME);
    if (strstr(error.message, message) == NULL)
        fail_msg("wanted '%s', got '%s'", message, error.message);
    fl_yielding_release(&yielding);
}

static void test_others(void **state)
{
    (void)state;
    circuit own;
    leave(&own, 2);
    const fl_study study = own.study;
    own.study.resume = false;
    refused(&own, "there is a checkpoint already");
    own.study = study;
    own.study.seed = 2;
    refused(&own, "another seed");
    own.study = study;
    own.study.samples--;
    refused(&own, "another number of samples");
    own.study = study;
    own.study.kept = 0;
    refused(&own, "keeps another number of samples");
    own.study = study;
    own.design->checksum++;
    refused(&own, "another design");
    own.design->checksum--;
    fl_yielding yielding;
    fl_error error;
    double nominal[8];
    fl_design_start(own.design, nominal);
    nominal[0] *= 1.001;
    assert_int_equal(fl_yielding_run(&yielding, &own.study, nominal, &error), FL_BAD_INPUT);
    assert_string_equal(error.message, "the checkpoint is of other values");
    fl_yielding_release(&yielding);
    check_ok(run(&yielding, &own, &error), error);
    fl_yielding_release(&yielding);
    circuit_close(&own);
}

/* One bit anywhere, a byte too few or too many, another file: told, and nothing is done. */
static void test_damage(void **state)
{
    (void)state;
    circuit own;
    char *bytes = NULL;
    size_t length = 0;
    fl_error error;
    leave(&own, 1);
    check_ok(fl_file_read(&bytes, &length, FILE_NAME, (size_t)1 << 28, &error), error);
    for (size_t i = 8; i < length; i += 1 + length / 13) {
        bytes[i] ^= 16;
        check_ok(fl_file_write(FILE_NAME, bytes, length, &error), error);
        bytes[i] ^= 16;
        refused(&own, "the checkpoint is damaged");
    }
    const size_t lengths[] = {0, 5, 8, 60, length / 2, length - 1};
    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++) {
        check_ok(fl_file_write(FILE_NAME, bytes, lengths[i], &error), error);
        refused(&own, lengths[i] > 90 ? "is damaged" : "no checkpoint of this program");
    }
    check_ok(fl_file_write(FILE_NAME,
                           "{\"fairlead\": 1, \"what\": \"a design of more than a head\", "
                           "\"comment\": \"it must be long enough for one, and more\"}",
                           105, &error),
             error);
    refused(&own, "no checkpoint of this program");
    check_ok(fl_file_write(FILE_NAME, bytes, length, &error), error);
    fl_yielding yielding;
    check_ok(run(&yielding, &own, &error), error);
    fl_yielding_release(&yielding);
    fl_memory_free(bytes);
    circuit_close(&own);
}

/* Takes the folder of the checkpoint away, then interrupts. */
static int remove_folder(void *payload, const char *stage, double done)
{
    (void)payload, (void)stage, (void)done;
    unlink(FL_SCRATCH_DIR "/gone/run.check");
    rmdir(FL_SCRATCH_DIR "/gone");
    return 1;
}

/* A place that cannot be written to is known before the work; one that is lost later costs no
 * result. */
static void test_places(void **state)
{
    (void)state;
    circuit own;
    fl_yielding yielding;
    fl_error error;
    rig_open(&own, yields[0]);
    own.study.checkpoint = FL_SCRATCH_DIR "/gone/run.check";
    rmdir(FL_SCRATCH_DIR "/gone");
    assert_int_equal(run(&yielding, &own, &error), FL_IO);
    fl_yielding_release(&yielding);
    assert_int_equal(mkdir(FL_SCRATCH_DIR "/gone", 0777), 0);
    own.study.progress = remove_folder;
    check_ok(run(&yielding, &own, &error), error);
    assert_true(yielding.interrupted && yielding.samples > 0);
    assert_int_equal(yielding.lost.status, FL_IO);
    fl_yielding_release(&yielding);
    circuit_close(&own);
}

/* Not due at once; due after the first second. */
static void test_clock(void **state)
{
    (void)state;
    const fl_study study = {.checkpoint = "anywhere"};
    const fl_production run = {.study = &study};
    fl_watch_clock clock;
    fl_error error;
    bool due = true;
    fl_checkpoint_clock(&clock);
    check_ok(fl_checkpoint_due(&due, &run, &clock, &error), error);
    assert_false(due);
    double wait = clock.wait;
    for (int i = 0; i < 9; i++) {
        clock.due = 0.0;
        check_ok(fl_checkpoint_due(&due, &run, &clock, &error), error);
        assert_true(due);
        check_ok(fl_checkpoint_due(&due, &run, &clock, &error), error);
        assert_false(due);
        assert_true(clock.wait == fmin(2.0 * wait, 60.0));
        wait = clock.wait;
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_resume), cmocka_unit_test(test_others), cmocka_unit_test(test_damage),
        cmocka_unit_test(test_places), cmocka_unit_test(test_clock),
    };
    return cmocka_run_group_tests_name("studies/checkpoint", tests, NULL, NULL);
}
