/* Allocations fail one after the other, on real designs: each call then either gives the same
 * result all the same or says that memory ran out, changes no output, and leaks nothing (the
 * sanitizers and memcheck look after that). Linked with --wrap=aligned_alloc, the one function
 * through which memory is taken.
 *
 * Calls of a few hundred allocations meet a failure at each. The long ones, and under FL_TEST_QUICK
 * all, meet one at each way through the program to an allocation: a stack of callers, a shorter one
 * if quick, not seen before in this call. */
#include "check.h"

#include <execinfo.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdlib.h>

#include "reports/reports.h"

enum { DEPTH = 12, QUICK_DEPTH = 5, WAYS = 4096 };

static atomic_long until_failure = -1; /* allocations, or ways to one, that still succeed */
static atomic_long failures;
static bool by_way;
static atomic_uintptr_t ways[WAYS]; /* hashes of the ways seen, open addressing */

void *__real_aligned_alloc(size_t alignment, size_t size);
void *__wrap_aligned_alloc(size_t alignment, size_t size);

static bool quick(void)
{
    return getenv("FL_TEST_QUICK") != NULL;
}

/* True the first time that a stack of callers is seen. */
static bool new_way(void)
{
    void *callers[DEPTH];
    const int depth = backtrace(callers, quick() ? QUICK_DEPTH : DEPTH);
    uintptr_t hash = 5381;
    for (int i = 0; i < depth; i++)
        hash = hash * 33 ^ (uintptr_t)callers[i];
    for (size_t i = 0; i < WAYS; i++) {
        uintptr_t seen = 0;
        if (atomic_compare_exchange_strong(&ways[(hash + i) % WAYS], &seen, hash))
            return true;
        if (seen == hash)
            return false;
    }
    return false;
}

void *__wrap_aligned_alloc(size_t alignment, size_t size)
{
    if (atomic_load(&until_failure) >= 0 && (!by_way || new_way()) &&
        atomic_fetch_sub(&until_failure, 1) == 0) {
        atomic_fetch_add(&failures, 1);
        return NULL;
    }
    return __real_aligned_alloc(alignment, size);
}

static void fail_after(long successes, bool ways_only)
{
    for (size_t i = 0; i < WAYS; i++)
        atomic_store(&ways[i], 0);
    by_way = ways_only;
    atomic_store(&failures, 0);
    atomic_store(&until_failure, successes);
}

static void fail_no_more(void)
{
    atomic_store(&until_failure, -1);
}

/* Small enough to be studied some hundred times, and with a part of every sort. */
static const char small[] =
    "{\"fairlead\": 1, \"title\": \"small\", \"band\": [\"26 GHz\", \"30 GHz\"], \"points\": 2,"
    " \"ports\": {\"die\": {\"resistance\": \"50 ohm\", \"parallel capacitance\": \"20 fF\"},"
    "             \"board\": {\"impedance\": \"50 ohm\"}},"
    " \"require\": [{\"quantity\": \"return loss\", \"at least\": \"10 dB\"},"
    "               {\"quantity\": \"insertion loss\", \"at most\": \"1 dB\"}],"
    " \"quantities\": {\"gap\": {\"value\": \"250 um\", \"spread\": {\"normal\": \"12 um\"}}},"
    " \"path\": ["
    "  {\"name\": \"pad cap\", \"kind\": \"shunt capacitor\", \"side\": \"die\","
    "   \"capacitance\": {\"size\": [\"5 fF\", \"80 fF\"], \"grid\": \"1 fF\","
    "    \"spread\": [{\"normal\": \"4 %\", \"level\": \"wafer\", \"group\": \"oxide\"},"
    "                 {\"normal\": \"1 %\", \"level\": \"die\"}]}},"
    "  {\"name\": \"wires\", \"kind\": \"bond wires\", \"side\": \"package\", \"count\": 2,"
    "   \"diameter\": \"25 um\", \"span\": \"@gap\", \"loop height\": \"120 um\","
    "   \"pitch\": \"100 um\", \"die height\": \"100 um\", \"land height\": \"100 um\"}],"
    " \"cases\": [{\"name\": \"near\"}, {\"name\": \"far\", \"set\": {\"gap\": \"300 um\"}}],"
    " \"yield\": {\"samples\": 16, \"seed\": 1}}";

/* For sizing, the longest of all: one value to choose. */
static const char tiny[] =
    "{\"fairlead\": 1, \"band\": [\"26 GHz\", \"30 GHz\"], \"points\": 2,"
    " \"ports\": {\"die\": {\"impedance\": \"50 ohm\"}, \"board\": {\"impedance\": \"50 ohm\"}},"
    " \"path\": ["
    "  {\"name\": \"pad cap\", \"kind\": \"shunt capacitor\", \"side\": \"die\","
    "   \"capacitance\": {\"size\": [\"5 fF\", \"80 fF\"], \"grid\": \"1 fF\","
    "    \"spread\": {\"normal\": \"4 %\"}}},"
    "  {\"name\": \"wire\", \"kind\": \"series inductor\", \"side\": \"package\","
    "   \"inductance\": \"0.1 nH\"}],"
    " \"yield\": {\"samples\": 8, \"seed\": 1}}";

static const char absorb[] = FL_SOURCE_DIR "/examples/absorb/absorb.json";
static const char models[] = FL_SOURCE_DIR "/models";

/* What the operations work on: made once, without failures. */
typedef struct bench {
    fl_design *design;
    fl_design *tiny;
    fl_result *result;
    fl_options options;
} bench;

/* Fills a digest of what came out, to be compared with what comes out when nothing fails. */
typedef fl_status operation(const bench *on, uint64_t *digest, fl_error *error);

static uint64_t digest_of(const char *bytes, size_t length)
{
    uint64_t hash = 5381;
    for (size_t i = 0; i < length; i++)
        hash = hash * 33 ^ (unsigned char)bytes[i];
    return hash;
}

static fl_status made_design(uint64_t *digest, fl_status status, fl_design *design)
{
    if ((status == FL_OK) != (design != NULL))
        fail_msg("status %d with design %p", (int)status, (void *)design);
    *digest = design != NULL ? fl_design_warning_count(design) : 0;
    fl_design_free(design);
    return status;
}

static fl_status made_report(uint64_t *digest, fl_status status, fl_report *report)
{
    if ((status == FL_OK) != (report->text != NULL))
        fail_msg("status %d with text %p", (int)status, (void *)report->text);
    *digest = digest_of(report->text, report->length);
    fl_report_free(report);
    return status;
}

static uint64_t digest_of_pictures(const fl_result *result)
{
    fl_text text;
    fl_text_init(&text);
    fl_report_pictures_json(&text, result);
    const uint64_t digest = digest_of(text.bytes, text.length);
    fl_text_release(&text);
    return digest;
}

static fl_status made_result(uint64_t *digest, fl_status status, fl_result *result)
{
    if ((status == FL_OK) != (result != NULL))
        fail_msg("status %d with result %p", (int)status, (void *)result);
    if (result != NULL) {
        fl_report report = {NULL, 0};
        fail_no_more();
        if (fl_report_json(&report, result, NULL) != FL_OK)
            fail_msg("a result that cannot be reported");
        made_report(digest, FL_OK, &report);
        *digest ^= digest_of_pictures(result);
    }
    fl_result_free(result);
    return status;
}

static fl_status read_file(const bench *on, uint64_t *digest, fl_error *error)
{
    (void)on;
    fl_design *design = NULL;
    fl_status status = fl_design_read(&design, absorb, models, error);
    return made_design(digest, status, design);
}

static fl_status parse_text(const bench *on, uint64_t *digest, fl_error *error)
{
    (void)on;
    fl_design *design = NULL;
    fl_status status = fl_design_parse(&design, small, strlen(small), "small.json", NULL, error);
    return made_design(digest, status, design);
}

static fl_status parse_wrong(const bench *on, uint64_t *digest, fl_error *error)
{
    (void)on;
    static const char wrong[] = "{\"fairlead\": 1, \"bund\": [\"26 GHz\", \"30 GHz\"]}";
    fl_design *design = NULL;
    fl_status status = fl_design_parse(&design, wrong, strlen(wrong), "wrong.json", NULL, error);
    made_design(digest, status, design);
    return status == FL_BAD_INPUT ? FL_OK : status;
}

#define STUDY(name, call, of, shown)                                                               \
    static fl_status name(const bench *on, uint64_t *digest, fl_error *error)                      \
    {                                                                                              \
        fl_result *result = NULL;                                                                  \
        fl_options options = on->options;                                                          \
        options.pictures = shown;                                                                  \
        fl_status status = call(&result, on->of, &options, error);                                 \
        return made_result(digest, status, result);                                                \
    }

STUDY(check, fl_check, design, 0)
STUDY(response, fl_response, design, 0)
STUDY(size, fl_size, tiny, 0)
STUDY(sensitivity, fl_sensitivity, design, 0)
STUDY(yield, fl_yield, design, 0)
STUDY(pictures, fl_response, design, 1)
STUDY(production, fl_yield, tiny, 1)

static fl_status model(const bench *on, uint64_t *digest, fl_error *error)
{
    (void)on;
    const char *const given[] = {"count=2",           "diameter=25 um",
                                 "pitch=100 um",      "loop height=120 um",
                                 "die height=100 um", "land height=100 um"};
    fl_result *result = NULL;
    const char *const at[] = {"24 GHz, 28 GHz"};
    const fl_model_options options = {given, sizeof given / sizeof *given, at, 1,
                                      "span=1 mm:2 mm:2"};
    fl_status status = fl_model(&result, "bond wires", &options, error);
    return made_result(digest, status, result);
}

#define REPORT(name, call)                                                                         \
    static fl_status name(const bench *on, uint64_t *digest, fl_error *error)                      \
    {                                                                                              \
        fl_report report = {NULL, 0};                                                              \
        fl_status status = call(&report, on->result, error);                                       \
        return made_report(digest, status, &report);                                               \
    }

REPORT(text, fl_report_text)
REPORT(json, fl_report_json)
REPORT(csv, fl_report_csv)
REPORT(samples, fl_report_samples)
REPORT(sized, fl_report_design)

static fl_status touchstone(const bench *on, uint64_t *digest, fl_error *error)
{
    fl_report report = {NULL, 0};
    fl_status status = fl_report_touchstone(&report, on->result, 0, error);
    return made_report(digest, status, &report);
}

static fl_status write_folder(const bench *on, uint64_t *digest, fl_error *error)
{
    *digest = 0;
    return fl_report_write(on->result, FL_SCRATCH_DIR "/out", error);
}

/* Lets 0, 1, 2 ... allocations (or ways to one) succeed until the operation meets no failure. */
static void exhaust(const char *name, operation *run, bool ways_only, const bench *on)
{
    ways_only = ways_only || quick();
    uint64_t wanted = 0, digest = 0;
    assert_int_equal(run(on, &wanted, NULL), FL_OK);
    long n = 0;
    for (;; n++) {
        fl_error error = {FL_OK, "", ""};
        fail_after(n, ways_only);
        const fl_status status = run(on, &digest, &error);
        const bool failed = atomic_load(&failures) > 0;
        fail_no_more();
        if (!failed) {
            check_ok(status, error);
            break;
        }
        if (status == FL_OK && digest != wanted)
            fail_msg("%s, allocation %ld fails: done, but with another result", name, n);
        if (status != FL_OK && status != FL_NO_MEMORY)
            fail_msg("%s, allocation %ld fails: wanted out of memory, got status %d, %s: %s", name,
                     n, (int)status, error.place, error.message);
        if (status == FL_NO_MEMORY && (error.status != status || error.message[0] == '\0'))
            fail_msg("%s, allocation %ld fails: the error says nothing", name, n);
    }
    print_message("%s: failed at each of %ld %s\n", name, n,
                  ways_only ? "ways to an allocation" : "allocations");
    if (n == 0)
        fail_msg("%s takes no memory: is aligned_alloc still the one function?", name);
}

static int set_up(void **state)
{
    static bench on;
    fl_error error;
    fail_no_more();
    fl_options_init(&on.options);
    on.options.threads = 2;
    on.options.keep_samples = 1;
    check_ok(fl_design_parse(&on.design, small, strlen(small), "small.json", NULL, &error), error);
    check_ok(fl_design_parse(&on.tiny, tiny, strlen(tiny), "tiny.json", NULL, &error), error);
    check_ok(fl_size(&on.result, on.design, &on.options, &error), error);
    *state = &on;
    return 0;
}

static int tear_down(void **state)
{
    bench *on = *state;
    fl_result_free(on->result);
    fl_design_free(on->design);
    fl_design_free(on->tiny);
    return 0;
}

#define EXHAUST(name, ways_only)                                                                   \
    static void exhaust_##name(void **state)                                                       \
    {                                                                                              \
        exhaust(#name, name, ways_only, *state);                                                   \
    }

EXHAUST(read_file, false)
EXHAUST(parse_text, false)
EXHAUST(parse_wrong, false)
EXHAUST(check, false)
EXHAUST(response, false)
EXHAUST(size, true)
EXHAUST(sensitivity, true)
EXHAUST(yield, true)
EXHAUST(pictures, true)
EXHAUST(production, true)
EXHAUST(model, false)
EXHAUST(text, false)
EXHAUST(json, false)
EXHAUST(csv, false)
EXHAUST(samples, false)
EXHAUST(sized, false)
EXHAUST(touchstone, false)
EXHAUST(write_folder, false)

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(exhaust_read_file),   cmocka_unit_test(exhaust_parse_text),
        cmocka_unit_test(exhaust_parse_wrong), cmocka_unit_test(exhaust_check),
        cmocka_unit_test(exhaust_response),    cmocka_unit_test(exhaust_size),
        cmocka_unit_test(exhaust_sensitivity), cmocka_unit_test(exhaust_yield),
        cmocka_unit_test(exhaust_model),       cmocka_unit_test(exhaust_text),
        cmocka_unit_test(exhaust_json),        cmocka_unit_test(exhaust_csv),
        cmocka_unit_test(exhaust_samples),     cmocka_unit_test(exhaust_sized),
        cmocka_unit_test(exhaust_pictures),    cmocka_unit_test(exhaust_production),
        cmocka_unit_test(exhaust_touchstone),  cmocka_unit_test(exhaust_write_folder),
    };
    return cmocka_run_group_tests_name("memory/exhaustion", tests, set_up, tear_down);
}
