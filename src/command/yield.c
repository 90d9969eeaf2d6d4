/** fairlead yield. */
#include "command/verb.h"

const fl_verb fl_verb_yield = {
    .name = "yield",
    .operands = "DESIGN",
    .summary = "Monte Carlo yield at the present values",
    .example = "fairlead yield results/sized.json --samples 100000",
    .details = "Draws parts from the spreads of the design and counts those that meet every\n"
               "requirement in every case. With a plan in the design they are dice of wafers of\n"
               "lots, whose yields are told apart; --samples then says how many lots to fill.\n"
               "With a precision they are as many as it takes, and --samples is the most.\n"
               "The design's sampling says how they lie: at random, evenly for a narrower\n"
               "interval, or near failure where hardly a part fails.\n"
               "With --checkpoint a run that was interrupted or killed is continued by the same\n"
               "call with --resume, to the same bytes.\n"
               "On a terminal it ends with small plots of return loss and yield.\n"
               "The exit code is that of the nominal values: a low yield does not change it.\n",
    .options = FL_OPTIONS_RESULT | FL_OPTIONS_STUDY | FL_OPTION_CHECKPOINT | FL_OPTION_RESUME,
    .judges = true,
    .study = fl_yield,
    .run = fl_run_study};
