/** fairlead response. */
#include "command/verb.h"

const fl_verb fl_verb_response = {
    .name = "response",
    .operands = "DESIGN",
    .summary = "response and margins at the present values",
    .example = "fairlead response absorb.json --out results",
    .details = "Prints where each requirement is worst in each case, and the losses over the\n"
               "band, at the present values.\n",
    .options = FL_OPTIONS_RESULT,
    .judges = true,
    .study = fl_response,
    .run = fl_run_study};
