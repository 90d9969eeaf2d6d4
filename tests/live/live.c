/* Live models against the engine itself, to the bit; and damaged bytes. */
#include "examples.h"

#include "base/checksum.h"

enum { POINTS = 21 };

static void take_losses(fl_live_losses *losses, const double *frequencies, double *room)
{
    *losses = (fl_live_losses){POINTS, frequencies, room, room + POINTS};
}

static void check_losses(const live_example *own, const fl_groundwork *fitted, const fl_live *live,
                         size_t index)
{
    fl_error error = {0};
    double frequencies[POINTS], room[2 * POINTS], s[4][POINTS][2];
    fl_scatter scatter = {POINTS, frequencies, s[0], s[1], s[2], s[3]};
    fl_live_losses losses;
    fl_band_grid(frequencies, &own->design->bands[0], POINTS);
    take_losses(&losses, frequencies, room);
    check_ok(fl_live_respond(live, &losses, index, &error), error);
    check_ok(fl_scatter_fill(&scatter, fitted, index, own->quantities, &error), error);
    double(*reflected)[2] = fl_live_port(live) == FL_PORT_DIE ? s[0] : s[3];
    for (size_t i = 0; i < POINTS; i++) {
        const double *r = reflected[i], *t = s[1][i];
        check_near(fl_loss_db(r[0] * r[0] + r[1] * r[1]), losses.return_loss_db[i], 0.0, "return");
        check_near(fl_loss_db(t[0] * t[0] + t[1] * t[1]), losses.insertion_loss_db[i], 0.0, "loss");
    }
}

static void check_place(live_example *own, fl_study *study, fl_live *live)
{
    fl_error error = {0};
    fl_peaks wanted = {0}, got = {0};
    uint64_t counts[2][8];
    fl_quick direct = {.case_passed = counts[0]}, quick;
    for (size_t i = 0; i < own->design->case_count; i++)
        check_losses(own, study->groundwork, live, i);
    check_ok(fl_peaks_find(&wanted, study, own->quantities, &error), error);
    check_ok(fl_live_peaks(live, &got, &error), error);
    check_near(wanted.margin_db, got.margin_db, 0.0, "margin");
    assert_memory_equal(wanted.worst, got.worst, wanted.count * sizeof *wanted.worst);
    study->samples = 130;
    check_ok(fl_quick_run(&direct, study, own->quantities, &error), error);
    check_ok(fl_live_produce(live, &quick, 130, &error), error);
    assert_int_equal(direct.passed, quick.passed);
    assert_memory_equal(direct.case_passed, quick.case_passed,
                        own->design->case_count * sizeof(uint64_t));
    fl_peaks_release(&wanted);
    fl_peaks_release(&got);
}

static void test_same(void **state)
{
    (void)state;
    for (size_t k = 0; k < LIVE_EXAMPLES; k++) {
        live_example own;
        fl_error error = {0};
        fl_live *live = NULL;
        fl_groundwork *fitted = NULL;
        live_example_open(&own, live_examples[k]);
        check_ok(fl_live_open(&live, own.bytes.bytes, own.bytes.length, &error), error);
        const fl_vary vary = {true, true, own.quantities, 1};
        check_ok(fl_groundwork_fit(&fitted, own.design->groundwork, &vary, &error), error);
        fl_study study = own.study;
        study.groundwork = fitted;
        for (double share = 0.0; share < 1.1; share += 0.45) {
            for (size_t i = 0; share > 0.0 && i < own.design->quantity_count; i++) {
                const fl_quantity *quantity = &own.design->quantities[i];
                if (quantity->sized)
                    own.quantities[i] = fl_live_set(
                        live, i, quantity->low + share * (quantity->high - quantity->low));
            }
            check_place(&own, &study, live);
        }
        fl_groundwork_free(fitted);
        fl_live_free(live);
        live_example_close(&own);
    }
}

/* Within its range, sizes alone, and back. */
static void test_set(void **state)
{
    (void)state;
    live_example own;
    fl_error error = {0};
    fl_live *live = NULL;
    live_example_open(&own, live_examples[3]);
    check_ok(fl_live_open(&live, own.bytes.bytes, own.bytes.length, &error), error);
    const fl_design *design = fl_live_design(live);
    for (size_t i = 0; i < design->quantity_count; i++) {
        const fl_quantity *quantity = &design->quantities[i];
        const double low = quantity->sized ? quantity->low : quantity->value;
        const double high = quantity->sized ? quantity->high : quantity->value;
        check_near(low, fl_live_set(live, i, -1e300), 0.0, "%s, low", quantity->name);
        check_near(high, fl_live_set(live, i, HUGE_VAL), 0.0, "%s, high", quantity->name);
        check_near(high, fl_live_set(live, i, (double)NAN), 0.0, "%s, none", quantity->name);
    }
    check_near(0.0, fl_live_set(live, design->quantity_count, 1.0), 0.0, "none");
    fl_live_reset(live);
    assert_memory_equal(fl_live_quantities(live), own.quantities,
                        design->quantity_count * sizeof(double));
    fl_live_free(live);
    live_example_close(&own);
}

/* The design file that is saved is the one that the command would write. */
static void test_save(void **state)
{
    (void)state;
    for (size_t k = 0; k < LIVE_EXAMPLES; k++) {
        live_example own;
        fl_error error = {0};
        fl_live *live = NULL;
        char *texts[2] = {NULL, NULL};
        size_t lengths[2];
        live_example_open(&own, live_examples[k]);
        check_ok(fl_live_open(&live, own.bytes.bytes, own.bytes.length, &error), error);
        for (size_t i = 0; i < own.design->quantity_count; i++)
            own.quantities[i] = fl_live_set(live, i, 1.01 * own.quantities[i]);
        check_ok(fl_live_save(live, &texts[0], &lengths[0], &error), error);
        check_ok(fl_design_with_starts(&texts[1], &lengths[1], own.design, own.quantities, &error),
                 error);
        assert_string_equal(texts[0], texts[1]);
        fl_memory_free(texts[0]);
        fl_memory_free(texts[1]);
        fl_live_free(live);
        live_example_close(&own);
    }
}

static void check_refused(const char *bytes, size_t length, const char *why)
{
    fl_error error = {0};
    fl_live *live = NULL;
    assert_int_equal(fl_live_open(&live, bytes, length, &error), FL_BAD_INPUT);
    assert_null(live);
    if (strstr(error.message, why) == NULL)
        fail_msg("wanted '%s' in '%s'", why, error.message);
}

static void test_refused(void **state)
{
    (void)state;
    live_example own;
    live_example_open(&own, live_examples[3]);
    char *bytes = own.bytes.bytes;
    const size_t length = own.bytes.length;
    check_refused("", 0, "other bytes");
    check_refused(bytes, 15, "other bytes");
    check_refused(bytes, length - 1, "damaged");
    bytes[length / 2] ^= 1;
    check_refused(bytes, length, "damaged");
    bytes[8] = 9;
    check_refused(bytes, length, "version 1, found 9");
    live_example_close(&own);
}

enum { DAMAGES = 300 };

/* Bytes that are damaged and yet have a right sum: they are refused, or answer something. */
static bool ask_damaged(const char *bytes, size_t length)
{
    fl_live *live = NULL;
    fl_peaks peaks = {0};
    fl_quick quick;
    double frequency = 28e9, losses[2];
    fl_live_losses one = {1, &frequency, &losses[0], &losses[1]};
    char *text = NULL;
    size_t text_length;
    if (fl_live_open(&live, bytes, length, NULL) != FL_OK)
        return false;
    const fl_design *design = fl_live_design(live);
    for (size_t i = 0; i < design->case_count; i++)
        fl_live_respond(live, &one, i, NULL);
    if (design->points <= 101 && design->case_count * design->requirement_count <= 20) {
        fl_live_peaks(live, &peaks, NULL);
        fl_peaks_release(&peaks);
        fl_live_produce(live, &quick, 10, NULL);
    }
    if (fl_live_save(live, &text, &text_length, NULL) == FL_OK)
        fl_memory_free(text);
    fl_live_free(live);
    return true;
}

/* Spoils one to three bytes behind the head, and puts the sum right. */
static void spoil(unsigned char *bytes, size_t length, uint64_t *random)
{
    const size_t head = sizeof FL_LIVE_MARK - 1 + 4 + 8;
    for (uint64_t times = 1 + (*random >> 40) % 3; times > 0; times--) {
        *random = *random * 6364136223846793005u + 1442695040888963407u;
        const size_t at = head + (size_t)(*random >> 33) % (length - head);
        const unsigned char byte = (unsigned char)(*random >> 20);
        bytes[at] = byte < 60 ? 0xFF : byte < 120 ? (unsigned char)(bytes[at] + 1) : byte;
    }
    const uint64_t sum = fl_checksum(FL_CHECKSUM_START, bytes + head, length - head);
    for (size_t i = 0; i < 8; i++)
        bytes[head - 8 + i] = (unsigned char)(sum >> 8 * i & 0xFF);
}

static void test_damaged(void **state)
{
    (void)state;
    uint64_t random = 20;
    for (size_t k = 0; k < LIVE_EXAMPLES; k++) {
        live_example own;
        size_t opened = 0;
        live_example_open(&own, live_examples[k]);
        char *spoilt = fl_memory_take(own.bytes.length, 1);
        for (int turn = 0; turn < DAMAGES; turn++) {
            memcpy(spoilt, own.bytes.bytes, own.bytes.length);
            spoil((unsigned char *)spoilt, own.bytes.length, &random);
            opened += ask_damaged(spoilt, own.bytes.length);
        }
        /* Both happen: what is wrong in a name or a number is not seen. */
        assert_true(opened > 0 && opened < DAMAGES);
        fl_memory_free(spoilt);
        live_example_close(&own);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_same), cmocka_unit_test(test_set),
                                       cmocka_unit_test(test_save), cmocka_unit_test(test_refused),
                                       cmocka_unit_test(test_damaged)};
    return cmocka_run_group_tests_name("live/live", tests, NULL, NULL);
}
