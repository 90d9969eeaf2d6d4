/* Ranks: threads that share nothing but what they hand round stand for processes. Each must come to
 * the result of one alone, to the byte. */
#include "check.h"

#include <pthread.h>
#include <stdbool.h>
#include <stdlib.h>

#include "fairlead.h"

enum { MOST = 5 };

static const char design_head[] =
    "{\"fairlead\": 1, \"band\": [\"26 GHz\", \"30 GHz\"], \"points\": 21, \"ports\":"
    " {\"die\": {\"impedance\": \"50 ohm\"}, \"board\": {\"impedance\": \"50 ohm\"}},"
    " \"require\": [{\"quantity\": \"return loss\", \"at least\": \"15 dB\"}],"
    " \"path\": [{\"name\": \"pad\", \"kind\": \"shunt capacitor\", \"side\": \"die\","
    "   \"capacitance\": {\"size\": [\"10 fF\", \"150 fF\"], \"grid\": \"1 fF\","
    "   \"spread\": {\"normal\": \"8 %\"}}},"
    "  {\"name\": \"wire\", \"kind\": \"series inductor\", \"side\": \"package\","
    "   \"inductance\": {\"value\": \"250 pH\", \"spread\": {\"normal\": \"12 %\"}}},"
    "  {\"name\": \"land\", \"kind\": \"shunt capacitor\", \"side\": \"board\","
    "   \"capacitance\": {\"size\": [\"10 fF\", \"150 fF\"]}}],"
    " \"yield\": {\"samples\": 21000, \"seed\": 3";

/** A study, and more of the yield of its design. */
typedef struct job {
    fl_status (*call)(fl_result **, const fl_design *, const fl_options *, fl_error *);
    const char *more;
} job;

/* What the ranks of one run meet at. */
typedef struct meeting {
    pthread_barrier_t barrier;
    unsigned char *pieces;
    uint64_t *counts[MOST];
    int count, asked, lost_after; /* lost_after 0: none is lost */
} meeting;

typedef struct member {
    meeting *meeting;
    fl_ranks ranks;
    const job *job;
    fl_status status;
    char *json;
} member;

/* The first to come finds whether this meeting still takes place; all find the same. */
static bool lost(member *own)
{
    meeting *at = own->meeting;
    pthread_barrier_wait(&at->barrier);
    if (own->ranks.rank == 0)
        at->asked++;
    pthread_barrier_wait(&at->barrier);
    return at->lost_after > 0 && at->asked >= at->lost_after;
}

static int share(void *payload, void *pieces, size_t bytes)
{
    member *own = payload;
    meeting *at = own->meeting;
    if (lost(own))
        return 1;
    if (own->ranks.rank == 0)
        at->pieces = malloc(bytes * (size_t)at->count);
    pthread_barrier_wait(&at->barrier);
    const size_t place = bytes * (size_t)own->ranks.rank;
    memcpy(at->pieces + place, (unsigned char *)pieces + place, bytes);
    pthread_barrier_wait(&at->barrier);
    memcpy(pieces, at->pieces, bytes * (size_t)at->count);
    pthread_barrier_wait(&at->barrier);
    if (own->ranks.rank == 0)
        free(at->pieces);
    return 0;
}

static int add(void *payload, uint64_t *counts, size_t count)
{
    member *own = payload;
    meeting *at = own->meeting;
    if (lost(own))
        return 1;
    uint64_t *sums = calloc(count, sizeof *sums);
    at->counts[own->ranks.rank] = counts;
    pthread_barrier_wait(&at->barrier);
    for (int r = 0; r < at->count; r++)
        for (size_t i = 0; i < count; i++)
            sums[i] += at->counts[r][i];
    pthread_barrier_wait(&at->barrier);
    memcpy(counts, sums, count * sizeof *sums);
    free(sums);
    return 0;
}

static void *run(void *payload)
{
    member *own = payload;
    fl_design *design = NULL;
    fl_result *result = NULL;
    fl_report report = {0};
    fl_options options;
    fl_error error = {0};
    char text[2048];
    snprintf(text, sizeof text, "%s%s}}", design_head, own->job->more);
    fl_options_init(&options);
    options.threads = 1;
    options.keep_samples = 1;
    options.ranks = own->ranks.count > 0 ? &own->ranks : NULL;
    own->status = fl_design_parse(&design, text, strlen(text), "d", NULL, &error);
    if (own->status == FL_OK)
        own->status = own->job->call(&result, design, &options, &error);
    if (own->status == FL_OK && fl_report_json(&report, result, &error) == FL_OK)
        own->json = strdup(report.text);
    fl_report_free(&report);
    if (own->status == FL_OK && own->json != NULL) {
        check_ok(fl_report_samples(&report, result, &error), error);
        own->json = realloc(own->json, strlen(own->json) + report.length + 1);
        strcat(own->json, report.text);
        fl_report_free(&report);
    }
    fl_result_free(result);
    fl_design_free(design);
    return NULL;
}

/* JSON and samples of all ranks, which must be equal; NULL if none came to a result. */
static char *run_ranks(const job *own, int count, int lost_after)
{
    member members[MOST] = {0};
    pthread_t threads[MOST];
    meeting at = {.count = count, .lost_after = lost_after};
    pthread_barrier_init(&at.barrier, NULL, (unsigned)count);
    for (int r = 0; r < count; r++) {
        members[r] = (member){.meeting = &at, .job = own};
        members[r].ranks = (fl_ranks){r, count, share, add, &members[r]};
        pthread_create(&threads[r], NULL, run, &members[r]);
    }
    for (int r = 0; r < count; r++)
        pthread_join(threads[r], NULL);
    pthread_barrier_destroy(&at.barrier);
    assert_true(at.asked > 0);
    for (int r = 0; r < count; r++) {
        assert_int_equal(members[r].status, lost_after > 0 ? FL_FAULT : FL_OK);
        assert_int_equal(members[r].json == NULL, lost_after > 0);
        if (r > 0 && members[r].json != NULL) {
            assert_string_equal(members[0].json, members[r].json);
            free(members[r].json);
        }
    }
    return members[0].json;
}

static void as_one_alone(void **state)
{
    (void)state;
    static const job jobs[] = {{fl_size, ""},
                               {fl_yield, ""},
                               {fl_sensitivity, ""},
                               {fl_yield, ", \"sampling\": \"scrambled Sobol\""},
                               {fl_size, ", \"sampling\": \"Latin hypercube\""}};
    for (size_t i = 0; i < sizeof jobs / sizeof jobs[0]; i++) {
        member alone = {.job = &jobs[i]};
        run(&alone);
        assert_int_equal(alone.status, FL_OK);
        assert_non_null(strstr(alone.json, "\"share of variance\": "));
        for (int count = 2; count <= MOST; count++) {
            char *shared = run_ranks(&jobs[i], count, 0);
            assert_string_equal(alone.json, shared);
            free(shared);
        }
        free(alone.json);
    }
}

/* No rank comes to a result then, and none waits. */
static void one_is_lost(void **state)
{
    (void)state;
    static const job size = {fl_size, ""}, yield = {fl_yield, ""};
    assert_null(run_ranks(&size, 3, 1));
    assert_null(run_ranks(&size, 3, 2));
    assert_null(run_ranks(&yield, 3, 1));
    assert_null(run_ranks(&yield, 3, 2));
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(as_one_alone),
                                       cmocka_unit_test(one_is_lost)};
    return cmocka_run_group_tests_name("studies/ranks", tests, NULL, NULL);
}
