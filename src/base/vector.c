/* Which width of vectors the processor has. */
#include "base/vector.h"

/* Chosen by the compiler's own reading of the processor, which also asks what the system saves. */
static bool has(int width)
{
#if defined(__x86_64__)
    const bool fuses = __builtin_cpu_supports("fma") != 0;
    if (width == 8)
        return fuses && __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512dq");
    if (width == 4)
        return fuses && __builtin_cpu_supports("avx2");
#endif
    return width == 2;
}

const fl_vector *fl_vector_of(int width)
{
    if (!has(width))
        return NULL;
    return width == 8 ? fl_vector_avx512() : width == 4 ? fl_vector_avx2() : fl_vector_plain();
}

const fl_vector *fl_vector_widest(void)
{
    const fl_vector *found = fl_vector_of(8);
    if (found == NULL)
        found = fl_vector_of(4);
    return found != NULL ? found : fl_vector_plain();
}
