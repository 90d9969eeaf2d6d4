/* Starting points of the search: the design's own, then a low-discrepancy set. */
#include "studies/search.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_qrng.h>
#include <math.h>

#include "base/random.h"

/* [Sobol1967] and [Halton1960] as the library has them. Beyond these dimensions it gives points
 * that are all zero, without a word. */
enum { SOBOL_DIMENSIONS = 40, HALTON_DIMENSIONS = 1229 };

/* A landscape of n unknowns has more valleys the larger n; far up, time sets the number. */
enum { FEW = 7, MANY = 16, FEW_STARTS = 100, MORE_STARTS = 100, LEAST_STARTS = 50 };

size_t fl_starts_count(size_t unknowns)
{
    if (unknowns <= FEW)
        return FEW_STARTS;
    if (unknowns <= MANY)
        return FEW_STARTS + MORE_STARTS * (unknowns - FEW);
    size_t most = FEW_STARTS + MORE_STARTS * (MANY - FEW);
    size_t count = most * MANY * MANY / (unknowns * unknowns);
    return count > LEAST_STARTS ? count : LEAST_STARTS;
}

/* A value without a start of its own begins in the middle of its range. Grids are left aside until
 * placing. */
static void own_start(double *start, const fl_search *search)
{
    const fl_quantity *quantities = search->study->design->quantities;
    for (size_t i = 0; i < search->count; i++) {
        const fl_quantity *quantity = &quantities[search->unknowns[i]];
        double middle = 0.5 * (quantity->low + quantity->high);
        start[i] = quantity->started ? search->present[search->unknowns[i]] : middle;
    }
}

/* Neighbouring primes make the dimensions of Halton's set march in step while its points are few.
 * A turn of each dimension by a random share parts them. [Cranley1976] */
static double turned(double share, const fl_search *search, size_t dimension)
{
    double sum = share + fl_random_uniform(search->study->seed, 0, (uint32_t)dimension);
    return sum - floor(sum);
}

/* From the unit box to the ranges. */
static void spread_start(double *start, const fl_search *search, const double *shares)
{
    bool turn = search->count > SOBOL_DIMENSIONS;
    for (size_t i = 0; i < search->count; i++) {
        double share = turn ? turned(shares[i], search, i) : shares[i];
        start[i] = search->low[i] + share * (search->high[i] - search->low[i]);
    }
}

fl_status fl_starts_fill(double *starts, size_t count, const fl_search *search, fl_error *error)
{
    fl_status status = FL_OK;
    gsl_qrng *sequence = NULL;
    size_t n = search->count;
    double *shares = fl_memory_take(n, sizeof *shares);
    if (n > HALTON_DIMENSIONS) {
        status = fl_fail(error, FL_BAD_INPUT, "", "expected at most %d values to size, found %zu",
                         HALTON_DIMENSIONS, n);
        goto cleanup;
    }
    if (n == 0 || count == 0)
        goto cleanup;
    sequence =
        gsl_qrng_alloc(n <= SOBOL_DIMENSIONS ? gsl_qrng_sobol : gsl_qrng_halton, (unsigned)n);
    if (shares == NULL || sequence == NULL) {
        status = fl_fail_memory(error);
        goto cleanup;
    }
    own_start(starts, search);
    gsl_qrng_get(sequence, shares); /* the first of Sobol's points is the middle once more */
    for (size_t i = 1; i < count; i++) {
        gsl_qrng_get(sequence, shares);
        spread_start(starts + i * n, search, shares);
    }
cleanup:
    if (sequence != NULL)
        gsl_qrng_free(sequence);
    fl_memory_free(shares);
    return status;
}
