/* Checkpoints of a Monte Carlo run: its sums in a file, and the run to which they belong. */
#include "studies/checkpoint.h"

#include <string.h>
#include <time.h>

#include "base/checksum.h"
#include "base/file.h"

#ifndef FL_VERSION
#define FL_VERSION "0.0.0"
#endif

/* First bytes of a file; the digit is the version of its form and of the draws. */
static const char magic[8] = "flcheck2";

/* Longest file: beyond what a run may count and keep. */
static const size_t longest = (size_t)1 << 31;

/* Seconds of work before the first checkpoint, and most between two. */
static const double first_wait = 1.0, most_wait = 60.0;

/* What a run is known by, in this order; a later one is compared only where those before agree. */
enum { VERSION, DESIGN, FILES, VALUES, SEED, SAMPLES, KEPT, LANES, MARKS };
static const char *const others[MARKS] = {
    [VERSION] = "was written by another version of the program",
    [DESIGN] = "is of another design, or a model file has changed",
    [FILES] = "is of other data files",
    [VALUES] = "is of other values",
    [SEED] = "is of another seed",
    [SAMPLES] = "is of another number of samples",
    [KEPT] = "is of a run that keeps another number of samples: with '--out', or without",
    [LANES] = "was written on a processor with vectors of another width",
};

/** Beginning of a file, as in memory: on a machine of another byte order nothing fits. */
typedef struct head {
    char magic[8];
    uint64_t marks[MARKS];
    uint64_t done; /* samples */
    uint64_t size; /* bytes behind the head, the checksum not counted */
} head;

/* What this run would write. */
static head head_of(const fl_production *run)
{
    const fl_study *study = run->study;
    const size_t values = study->design->quantity_count * sizeof *run->counting.nominal;
    head made = {.done = run->sums.total.samples};
    memcpy(made.magic, magic, sizeof magic);
    made.marks[VERSION] = fl_checksum(FL_CHECKSUM_START, FL_VERSION, strlen(FL_VERSION));
    made.marks[DESIGN] = study->design->checksum;
    made.marks[FILES] = fl_groundwork_checksum(study->groundwork);
    made.marks[VALUES] = fl_checksum(FL_CHECKSUM_START, run->counting.nominal, values);
    made.marks[SEED] = study->seed;
    made.marks[SAMPLES] = study->samples;
    made.marks[KEPT] = run->kept_count;
    made.marks[LANES] = (uint64_t)run->setup.vector->width;
    return made;
}

/** Bytes on their way to or from a file, or only counted (at is NULL). */
typedef struct traffic {
    char *at;
    bool reading;
    size_t size;
} traffic;

/* Sizes are known before anything is read: there is always room. */
static void pass(traffic *own, void *bytes, size_t size)
{
    own->size += size;
    if (own->at == NULL || size == 0) /* nothing may be nowhere */
        return;
    memcpy(own->reading ? bytes : own->at, own->reading ? own->at : bytes, size);
    own->at += size;
}

/* A total has neither figures nor rows of wafers, which are a block's. */
static void pass_tally(traffic *own, fl_tally *tally, const fl_counting *counting)
{
    const fl_design *design = counting->design;
    pass(own, &tally->samples, sizeof tally->samples);
    pass(own, &tally->passed, sizeof tally->passed);
    pass(own, &tally->not_physical, sizeof tally->not_physical);
    pass(own, tally->case_passed, design->case_count * sizeof *tally->case_passed);
    pass(own, tally->failed, counting->run_count * sizeof *tally->failed);
    pass(own, tally->reached, design->requirement_count * sizeof *tally->reached);
    pass(own, tally->deviations, counting->spread_count * sizeof *tally->deviations);
    pass(own, tally->shares, counting->spread_count * sizeof *tally->shares);
}

/* The kept samples that are there after so many. */
static void pass_kept(traffic *own, fl_production *run, uint64_t done)
{
    const fl_design *design = run->study->design;
    for (size_t i = 0; i < run->kept_count && i < done; i++) {
        fl_kept *kept = &run->kept[i];
        pass(own, kept->quantities, design->quantity_count * sizeof *kept->quantities);
        pass(own, kept->return_loss_db, design->case_count * sizeof *kept->return_loss_db);
        pass(own, kept->margin_db, design->case_count * sizeof *kept->margin_db);
        pass(own, &kept->passed, sizeof kept->passed);
    }
}

/* One list of all that a run consists of, for counting, writing and reading. */
static void pass_all(traffic *own, fl_production *run, uint64_t done)
{
    fl_sums *sums = &run->sums;
    pass_tally(own, &sums->total, &run->counting);
    pass(own, &sums->histogram.total, sizeof sums->histogram.total);
    pass(own, sums->histogram.bins, (FL_LAST_BIN + 1) * sizeof *sums->histogram.bins);
    pass(own, &sums->wafers.samples, sizeof sums->wafers.samples);
    pass(own, sums->wafers.passed,
         sums->wafers.count * sums->wafers.columns * sizeof *sums->wafers.passed);
    pass_kept(own, run, done);
}

/* Beside its place and renamed: a run that is killed while it writes leaves the one before. */
fl_status fl_checkpoint_write(const fl_production *run, fl_error *error)
{
    if (fl_study_rank(run->study) > 0)
        return FL_OK;
    fl_production same = *run; /* nothing of it is written to */
    head begin = head_of(run);
    traffic counted = {.at = NULL}, written = {.at = NULL};
    pass_all(&counted, &same, begin.done);
    begin.size = counted.size;
    const size_t length = sizeof begin + counted.size;
    char *bytes = fl_memory_take(length + sizeof(uint64_t), 1);
    if (bytes == NULL)
        return fl_fail_memory(error);
    memcpy(bytes, &begin, sizeof begin);
    written.at = bytes + sizeof begin;
    pass_all(&written, &same, begin.done);
    const uint64_t sum = fl_checksum(FL_CHECKSUM_START, bytes, length);
    memcpy(bytes + length, &sum, sizeof sum);
    const fl_status status =
        fl_file_write(run->study->checkpoint, bytes, length + sizeof sum, error);
    fl_memory_free(bytes);
    return status;
}

/* Whose it is comes before whether it is whole: a file of another kind is not a damaged one. */
static fl_status check(const fl_production *run, const char *bytes, size_t length, fl_error *error)
{
    const char *place = run->study->checkpoint;
    const head wanted = head_of(run);
    head found = {.done = 0};
    traffic counted = {.at = NULL};
    fl_production same = *run;
    uint64_t sum = 0;
    if (length < sizeof found + sizeof sum || memcmp(bytes, magic, sizeof magic) != 0)
        return fl_fail(error, FL_BAD_INPUT, place, "this is no checkpoint of this program");
    memcpy(&found, bytes, sizeof found);
    memcpy(&sum, bytes + length - sizeof sum, sizeof sum);
    if (fl_checksum(FL_CHECKSUM_START, bytes, length - sizeof sum) != sum)
        return fl_fail(error, FL_BAD_INPUT, place,
                       "the checkpoint is damaged: its checksum does not hold");
    for (size_t i = 0; i < MARKS; i++)
        if (found.marks[i] != wanted.marks[i])
            return fl_fail(error, FL_BAD_INPUT, place, "the checkpoint %s", others[i]);
    pass_all(&counted, &same, found.done);
    if (found.done > run->study->samples || found.size != counted.size ||
        length != sizeof found + counted.size + sizeof sum)
        return fl_fail(error, FL_BAD_INPUT, place,
                       "the checkpoint is damaged: its length is not that of its run");
    return FL_OK;
}

/* Checked as a whole before the first byte is taken over. */
static fl_status resume(fl_production *run, fl_error *error)
{
    char *bytes = NULL;
    size_t length = 0;
    fl_status status = fl_file_read(&bytes, &length, run->study->checkpoint, longest, error);
    if (status == FL_OK)
        status = check(run, bytes, length, error);
    if (status == FL_OK) {
        head begin;
        traffic own = {.at = bytes + sizeof begin, .reading = true};
        memcpy(&begin, bytes, sizeof begin);
        pass_all(&own, run, begin.done);
        fl_production_resume(run);
    }
    fl_memory_free(bytes);
    return status;
}

/* Nothing to resume is a first start, so that one line of a job script serves for all starts. */
static fl_status begin(fl_production *run, fl_error *error)
{
    const fl_study *study = run->study;
    if (!fl_file_there(study->checkpoint))
        return fl_checkpoint_write(run, error);
    if (!study->resume)
        return fl_fail(error, FL_BAD_INPUT, study->checkpoint,
                       "there is a checkpoint already: resume it, or remove it");
    return resume(run, error);
}

/* The first rank finds out what there is to do: the others could meet the file that it has just
 * written. */
fl_status fl_checkpoint_begin(fl_production *run, fl_error *error)
{
    enum { STATUS, RESUMED, TOLD };
    const fl_study *study = run->study;
    const bool first = fl_study_rank(study) == 0;
    uint64_t told[TOLD] = {0};
    fl_status status = FL_OK, lost;
    if (study->checkpoint == NULL)
        return FL_OK;
    if (first)
        status = begin(run, error);
    told[STATUS] = (uint64_t)status;
    told[RESUMED] = first && run->sums.total.samples > 0;
    lost = fl_study_add(study, told, TOLD, error);
    if (lost != FL_OK || first)
        return lost != FL_OK ? lost : status;
    if (told[STATUS] != 0)
        return fl_fail(error, (fl_status)told[STATUS], study->checkpoint, "see the first rank");
    return told[RESUMED] != 0 ? resume(run, error) : FL_OK;
}

/* Of a clock that nobody sets. When a file is written has no part in any result. */
static double seconds(void)
{
    struct timespec now = {.tv_sec = 0};
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Short runs are worth no more than a second's loss. */
void fl_checkpoint_clock(fl_watch_clock *clock)
{
    *clock = (fl_watch_clock){.due = seconds() + first_wait, .wait = first_wait};
}

fl_status fl_checkpoint_due(bool *due, const fl_production *run, fl_watch_clock *clock,
                            fl_error *error)
{
    const double now = seconds();
    uint64_t votes = fl_study_rank(run->study) == 0 && now >= clock->due;
    *due = false;
    if (run->study->checkpoint == NULL)
        return FL_OK;
    const fl_status status = fl_study_add(run->study, &votes, 1, error);
    if (status != FL_OK || votes == 0)
        return status;
    *due = true;
    clock->wait = 2.0 * clock->wait < most_wait ? 2.0 * clock->wait : most_wait;
    clock->due = now + clock->wait;
    return FL_OK;
}
