/** fairlead size. */
#include "command/verb.h"

const fl_verb fl_verb_size = {
    .name = "size",
    .operands = "DESIGN",
    .summary = "choose the values; then response, sensitivity and yield",
    .example = "fairlead size absorb.json --out results",
    .details = "Chooses every value that the design declares with \"size\", so that the smallest\n"
               "margin over requirements, band and cases is as large as it can be, and reports\n"
               "the values, the response, the sensitivity to each value, and the yield.\n"
               "The folder then holds sized.json too, the design with these values as starts,\n"
               "and copies of the files that it names from beside the design.\n"
               "On a terminal it ends with small plots of return loss and yield.\n"
               "Interrupted once, it reports the best values so far; twice, it ends at once.\n",
    .options = FL_OPTIONS_RESULT | FL_OPTIONS_STUDY,
    .judges = true,
    .study = fl_size,
    .run = fl_run_study};
