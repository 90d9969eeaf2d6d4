/**
 * Ranks by the message passing interface. It is started only in a process that a launcher began:
 * starting it costs most of a second. The ranks and the standard error that was closed are all that
 * is kept outside functions: the interface itself is of the whole process.
 */
#include "command/ranks.h"
#include "command/verb.h"

#include <limits.h>
#include <mpi.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

/* How long a rank waits for the others to end as it does, before it ends them. */
enum { PATIENCE_STEPS = 300, STEP_NS = 10000000 };

static fl_ranks ranks;
static int spoken = -1; /* standard error, as it was before a rank fell silent */

/* Set by the launchers that exist: without one there is nobody to join. */
static bool launched(void)
{
    static const char *const names[] = {"OMPI_COMM_WORLD_SIZE", "PMI_SIZE", "PMIX_RANK"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        if (getenv(names[i]))
            return true;
    return false;
}

static int share(void *payload, void *pieces, size_t bytes)
{
    (void)payload;
    if (bytes > INT_MAX)
        return 1;
    return MPI_Allgather(MPI_IN_PLACE, 0, MPI_DATATYPE_NULL, pieces, (int)bytes, MPI_BYTE,
                         MPI_COMM_WORLD) != MPI_SUCCESS;
}

static int add(void *payload, uint64_t *counts, size_t count)
{
    (void)payload;
    if (count > INT_MAX)
        return 1;
    return MPI_Allreduce(MPI_IN_PLACE, counts, (int)count, MPI_UINT64_T, MPI_SUM, MPI_COMM_WORLD) !=
           MPI_SUCCESS;
}

/* One voice for all: results and messages are the same in every rank. */
static void fall_silent(void)
{
    spoken = dup(STDERR_FILENO);
    if (!freopen("/dev/null", "w", stdout) || !freopen("/dev/null", "w", stderr))
        MPI_Abort(MPI_COMM_WORLD, FL_EXIT_FAILED);
}

const fl_ranks *fl_ranks_join(int *argc, char ***argv)
{
    int given = MPI_THREAD_SINGLE;
    if (!launched())
        return NULL;
    if (MPI_Init_thread(argc, argv, MPI_THREAD_FUNNELED, &given) != MPI_SUCCESS ||
        given < MPI_THREAD_FUNNELED) {
        fputs("fairlead: the ranks of this run could not be joined\n", stderr);
        exit(FL_EXIT_FAILED);
    }
    MPI_Comm_set_errhandler(MPI_COMM_WORLD, MPI_ERRORS_RETURN);
    MPI_Comm_rank(MPI_COMM_WORLD, &ranks.rank);
    MPI_Comm_size(MPI_COMM_WORLD, &ranks.count);
    ranks.share = share;
    ranks.add = add;
    if (ranks.rank > 0)
        fall_silent();
    return &ranks;
}

/* A rank that failed alone leaves the others waiting in a step it will never reach: they would
 * wait for ever. */
static void end_all(int code)
{
    char text[80];
    const int length = snprintf(text, sizeof text,
                                "fairlead: rank %d of %d ended alone with code "
                                "%d; no result\n",
                                ranks.rank, ranks.count, code);
    if (write(spoken >= 0 ? spoken : STDERR_FILENO, text, (size_t)length) < 0)
        code = FL_EXIT_FAILED;
    MPI_Abort(MPI_COMM_WORLD, code);
}

/* The first rank may still be writing files when the others are done, who then wait as long as it
 * takes. After a failure there is an end to patience. */
static bool all_here(bool failed)
{
    const struct timespec step = {.tv_nsec = STEP_NS};
    MPI_Request request;
    int here = 0;
    if (MPI_Ibarrier(MPI_COMM_WORLD, &request) != MPI_SUCCESS)
        return false;
    for (int i = 0; !here && (!failed || i < PATIENCE_STEPS); i++) {
        if (MPI_Test(&request, &here, MPI_STATUS_IGNORE) != MPI_SUCCESS)
            return false;
        if (!here)
            nanosleep(&step, NULL);
    }
    return here != 0;
}

int fl_ranks_leave(int code)
{
    if (ranks.count == 0)
        return code;
    if (!all_here(code > FL_EXIT_MISSED))
        end_all(code > FL_EXIT_MISSED ? code : FL_EXIT_FAILED);
    MPI_Finalize();
    return ranks.rank == 0 || code > FL_EXIT_MISSED ? code : FL_EXIT_DONE;
}
