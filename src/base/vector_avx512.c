/* Operations on lanes with AVX-512; compiled with its flags where the compiler knows them. */
#include "base/vector.h"

#if defined(__AVX512DQ__) && defined(__FMA__)
#define FL_WIDTH 8
#include "base/vector_table.h"

const fl_vector *fl_vector_avx512(void)
{
    return &table;
}
#else
const fl_vector *fl_vector_avx512(void)
{
    return NULL;
}
#endif
