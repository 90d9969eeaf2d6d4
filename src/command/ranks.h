/**
 * Ranks of a run that was started as several processes. ranks_mpi.c has them if the build was asked
 * for them, else ranks_alone.c, where a process is always alone.
 */
#ifndef FL_COMMAND_RANKS_H
#define FL_COMMAND_RANKS_H

#include "fairlead.h"

/** Joins the others, if this process was started with some; before anything is printed. All but
 * the first then print nothing. NULL: alone. */
const fl_ranks *fl_ranks_join(int *argc, char ***argv);

/** Ends a run with an exit code, last of all. Returns it, unless the ranks do not end alike: then
 * this ends all of them with a message. */
int fl_ranks_leave(int code);

#endif
