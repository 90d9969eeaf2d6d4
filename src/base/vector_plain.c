/* Operations on lanes with the vectors that every processor has. */
#define FL_WIDTH 2
#include "base/vector_table.h"

const fl_vector *fl_vector_plain(void)
{
    return &table;
}
