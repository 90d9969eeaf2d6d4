/* Operations on lanes with AVX2; compiled with its flags where the compiler knows them. */
#include "base/vector.h"

#if defined(__AVX2__) && defined(__FMA__)
#define FL_WIDTH 4
#include "base/vector_table.h"

const fl_vector *fl_vector_avx2(void)
{
    return &table;
}
#else
const fl_vector *fl_vector_avx2(void)
{
    return NULL;
}
#endif
