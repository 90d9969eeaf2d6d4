/**
 * Arithmetic on lanes: many samples of one study at once, as arrays of FL_LANES doubles.
 *
 * The same source is compiled for several widths of the processor's vectors, and the widest that
 * it has is chosen at run time. Every lane goes through the same sums and products in the same
 * order at every width, without fused operations: the bits do not depend on the width.
 *
 * A wave state is [node][4][FL_LANES], a node being a frequency: voltage (real, imaginary) and
 * current (real, imaginary), marched through two-ports as in response/.
 */
#ifndef FL_BASE_VECTOR_H
#define FL_BASE_VECTOR_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/** Samples of a block; a multiple of every width. */
enum { FL_LANES = 64 };

/** Doubles of one row of lanes of a wave state. */
enum { FL_WAVE_ROWS = 4, FL_WAVE = FL_WAVE_ROWS * FL_LANES };

/** Bits of the first count lanes; at most FL_LANES. */
static inline uint64_t fl_first_lanes(size_t count)
{
    return count < FL_LANES ? ((uint64_t)1 << count) - 1 : UINT64_MAX;
}

/** One product of a polynomial: an earlier product times a power. */
typedef struct fl_factor {
    size_t parent, power; /* into the products; into the powers */
} fl_factor;

/** Frequencies of a march; arrays [count]. */
typedef struct fl_nodes {
    size_t count;
    const double *omega;   /* w, rad/s */
    const double *root;    /* sqrt(w / w0) */
    const double *weights; /* [points][count]: of the values of a dispersive line */
    size_t points;
} fl_nodes;

/** Squared sizes at the nodes and how they become powers on a grid. */
typedef struct fl_regrid {
    size_t nodes, points;
    const double *matrix; /* [points / 4][nodes][4], points a multiple of 4; NULL: grid = nodes */
    const double *scale;  /* [points] of a transmission */
    bool greatest;        /* the worst is the greatest power; else the least */
} fl_regrid;

/** Where values go among bins: bin 0 to last, the middle one about the centre. */
typedef struct fl_ruler {
    double centre;
    double scale; /* bins in a unit of the value */
    double last;
} fl_ruler;

/** The operations, at one width. Arrays without a size are [FL_LANES]. */
typedef struct fl_vector {
    int width; /* doubles at a time */
    /** fl_random_uniform of samples first, first + 1, ... */
    void (*uniforms)(double *u, uint64_t seed, uint64_t first, uint32_t item);
    /** fl_normal_quantile of each, to its bits. */
    void (*quantiles)(double *z, const double *u);
    /** products[i] = products[parent] * powers[power]; the first is 1. */
    void (*products)(double *products, const fl_factor *factors, size_t count,
                     const double *powers);
    /** out[r] = sum of rows[r][t] * products[t], in order of t. */
    void (*combine)(double *const *out, const double *const *rows, size_t row_count,
                    const double *products, size_t product_count);
    /** V' = V + (R + j w L + S / (j w)) I; values are rows R, L, S. */
    void (*series)(double *state, const double *values, const fl_nodes *nodes);
    /** I' = I + V / (R + j w L) */
    void (*branch)(double *state, const double *values, const fl_nodes *nodes);
    /** I' = I + V j w C / (1 + j w T) */
    void (*capacitor)(double *state, const double *values, const fl_nodes *nodes);
    /** A line of rows Z0, A, D: theta = A root + j w D; or a stub at its begin. */
    void (*line)(double *state, const double *values, const fl_nodes *nodes);
    void (*open_stub)(double *state, const double *values, const fl_nodes *nodes);
    void (*shorted_stub)(double *state, const double *values, const fl_nodes *nodes);
    /** The same with rows of Z0, then D, then A at the points of the weights. */
    void (*wave)(double *state, const double *values, const fl_nodes *nodes);
    void (*wave_stub)(double *state, const double *values, const fl_nodes *nodes);
    /** V' = a V + b I, I' = c V + d I, the same in all lanes: fixed is [node][8] of a, b, c, d. */
    void (*chain)(double *state, const double *fixed, size_t nodes);
    /** V' = V + x I, or I' = I + x V; fixed is [node][2]. */
    void (*fixed_series)(double *state, const double *fixed, size_t nodes);
    void (*fixed_shunt)(double *state, const double *fixed, size_t nodes);
    /** |V - Z* I|^2 and |V + Z I|^2, [node][FL_LANES] each; ports is [node][2] of Z. */
    void (*squares)(double *reflected, double *arrived, const double *state, const double *ports,
                    size_t nodes);
    /** Worst of reflected / arrived over the grid, and at which point (the first of equals). A lane
     * in which any power is not finite gives NaN. */
    void (*worst_reflected)(double *power, double *point, const double *reflected,
                            const double *arrived, const fl_regrid *lookup);
    /** The same of scale / arrived. */
    void (*worst_transmitted)(double *power, double *point, const double *arrived,
                              const fl_regrid *lookup);
    /** -10 log10 of powers, at most FL_CEILING_DB as fl_loss_db, but for rounding. */
    void (*losses)(double *db, const double *power);
    /** Lanes below the limit, a bit each. */
    uint64_t (*below)(const double *row, double limit);
    /** Sums of the deviations from the centre over two sets of lanes, and the bin of each. */
    void (*deviations)(double sums[2], uint64_t *bins, const double *row, const fl_ruler *ruler,
                       const uint64_t lanes[2]);
} fl_vector;

/** The operations at a width of 2 (any processor), 4 or 8 doubles; NULL if the processor, or the
 * compiler that made this, has it not. */
const fl_vector *fl_vector_of(int width);

/** The widest there is. */
const fl_vector *fl_vector_widest(void);

/** The same without a look at the processor; NULL if not compiled. Use fl_vector_of. */
const fl_vector *fl_vector_plain(void);
const fl_vector *fl_vector_avx2(void);
const fl_vector *fl_vector_avx512(void);

#endif
