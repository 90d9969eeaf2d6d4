/** fairlead check. */
#include "command/verb.h"

const fl_verb fl_verb_check = {
    .name = "check",
    .operands = "DESIGN",
    .summary = "read a design; print its sections with their electrical values",
    .example = "fairlead check absorb.json",
    .details = "Reads the design with all files it names, and prints each section with its\n"
               "electrical values at the band centre and each quantity with its spread, at the\n"
               "present values: the fixed ones, the start of a size, or the middle of its range.\n",
    .options = FL_OPTIONS_RESULT,
    .study = fl_check,
    .run = fl_run_study};
