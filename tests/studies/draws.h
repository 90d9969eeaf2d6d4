/** Draws of groups and of single quantities, for tests of samplers. */
#ifndef FL_TESTS_STUDIES_DRAWS_H
#define FL_TESTS_STUDIES_DRAWS_H

#include "check.h"
#include "studies/studies.h"

enum { GROUP_A, GROUP_B, GROUP_C, GROUP_D, GROUPS };
static const char *const group_names[GROUPS] = {"a", "b", "c", "d"};

/* Draws 0 to 3 of the groups at the lot, 4 and 5 of a and b at the wafer, 6 to 8 on their own. */
static const fl_draw draws[] = {
    {FL_LEVEL_LOT, GROUP_A, "a"},   {FL_LEVEL_LOT, GROUP_B, "b"},   {FL_LEVEL_LOT, GROUP_C, "c"},
    {FL_LEVEL_LOT, GROUP_D, "d"},   {FL_LEVEL_WAFER, GROUP_A, "a"}, {FL_LEVEL_WAFER, GROUP_B, "b"},
    {FL_LEVEL_DIE, FL_NONE, "own"}, {FL_LEVEL_LOT, FL_NONE, "own"}, {FL_LEVEL_DIE, FL_NONE, "own"},
};
enum { DRAWS = sizeof draws / sizeof *draws };

static fl_design with_quantity(const fl_quantity *quantity)
{
    return (fl_design){.quantities = quantity,
                       .quantity_count = 1,
                       .groups = group_names,
                       .group_count = GROUPS,
                       .draws = draws,
                       .draw_count = DRAWS};
}

__attribute__((unused)) static const fl_correlation half[] = {{{GROUP_A, GROUP_B}, 0.5},
                                                              {{GROUP_D, GROUP_B}, -0.3}};

#endif
