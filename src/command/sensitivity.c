/** fairlead sensitivity. */
#include "command/verb.h"

const fl_verb fl_verb_sensitivity = {
    .name = "sensitivity",
    .operands = "DESIGN",
    .summary = "what a change of each value does, at the present values",
    .example = "fairlead sensitivity results/sized.json",
    .details = "Prints what one percent more or less of each value that is sized or carries a\n"
               "spread does to the worst return loss, what one sigma does, and its share of\n"
               "the variance over production.\n",
    .options = FL_OPTIONS_RESULT | FL_OPTIONS_STUDY,
    .judges = true,
    .study = fl_sensitivity,
    .run = fl_run_study};
