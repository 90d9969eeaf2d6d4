/**
 * Arithmetic on lanes: many samples of one study at once, as arrays of FL_LANES doubles.
 *
 * The same source is compiled for several widths of the processor's vectors, and the widest that
 * it has is chosen at run time. Every lane goes through the same sums and products in the same
 * order at every width; only which formulas do is asked of all lanes of a block together. The two
 * wide ones fuse a product with a sum, which rounds once where the plain one rounds twice: between
 * widths results differ by rounding. Whole numbers and drawn uniforms are the same.
 *
 * A march takes voltage and current through two-ports as in response/, at nodes that are
 * frequencies.
 */
#ifndef FL_BASE_VECTOR_H
#define FL_BASE_VECTOR_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/** Samples of a block; a multiple of every width. */
enum { FL_LANES = 64 };

/** Doubles of the widest pack of samples, of what a line does to it at one node, and of what a leg
 * has for a pack at all nodes. */
enum { FL_PACK_ROOM = 8, FL_TURN_ROOM = 6 * FL_PACK_ROOM, FL_FACTOR_ROOM = 3 * FL_PACK_ROOM };

/** Marks a function whose loops over lanes are compiled for several widths too, the processor's
 * chosen when the program starts. Only by GCC, whose sanitizers cannot run before the choice. */
#if defined(__x86_64__) && defined(__linux__) && defined(__GNUC__) && !defined(__clang__) &&       \
    !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
#define FL_WIDE __attribute__((target_clones("avx512f", "avx2", "default")))
#else
#define FL_WIDE
#endif

/** Bits of the first count lanes; at most FL_LANES. */
static inline uint64_t fl_first_lanes(size_t count)
{
    return count < FL_LANES ? ((uint64_t)1 << count) - 1 : UINT64_MAX;
}

/** One product of a polynomial: an earlier product times a power. */
typedef struct fl_factor {
    size_t parent, power; /* into the products; into the powers */
} fl_factor;

/** Doubles of a pair of nodes in the series of fl_nodes. */
enum { FL_TURN_TERMS = 7, FL_GROW_TERMS = 6, FL_PAIR_ROOM = 2 * FL_TURN_TERMS + 2 * FL_GROW_TERMS };

/** Frequencies of a march; arrays [count]. They lie by pairs at the same distance about the
 * centre. */
typedef struct fl_nodes {
    size_t count;
    const double *omega;   /* w, rad/s */
    const double *root;    /* sqrt(w / w0) */
    const double *weights; /* [points][count]: of the values of a dispersive line */
    size_t points;
    /* What fl_nodes_centre finds: */
    double centre, root_centre;           /* w and the root there */
    double most_offset, most_root_offset; /* largest distances from them */
    double most_omega;
    const double *series; /* [pairs][FL_PAIR_ROOM] of two nodes that lie opposite, d above the
                             centre and d below: the factors of D, D^3, ... of sin(d D); those of
                             D^2, D^4, ... of cos(d D) - 1; those of A, A^2, ... of exp(r A) - 1, r
                             the difference of the roots, of the node above and of the other */
} fl_nodes;

/** Fills in what follows from count, omega and root; series [count / 2 * FL_PAIR_ROOM]. */
void fl_nodes_centre(fl_nodes *nodes, double *series);

/** A leg of a march: an element with values in each lane, or something the same in all lanes. */
typedef enum fl_leg_kind {
    FL_LEG_SERIES,    /* V' = V + (R + j w L + S / (j w)) I; values are rows R, L, S */
    FL_LEG_BRANCH,    /* I' = I + V / (R + j w L) */
    FL_LEG_CAPACITOR, /* I' = I + V j w C / (1 + j w T); fixed is [node][2] of j w / (1 + j w T)
                         at the usual T */
    FL_LEG_LINE,      /* rows Z0, A, D: theta = A root + j w D */
    FL_LEG_OPEN_STUB, /* a line aside, rows as a line */
    FL_LEG_SHORTED_STUB,
    FL_LEG_WAVE, /* rows of Z0, then D, then A at the points of the weights */
    FL_LEG_WAVE_STUB,
    FL_LEG_CHAIN,        /* V' = a V + b I, I' = c V + d I: fixed is [node][8] of a, b, c, d */
    FL_LEG_FIXED_SERIES, /* V' = V + x I: fixed is [node][2] */
    FL_LEG_FIXED_SHUNT   /* I' = I + x V */
} fl_leg_kind;

/** Which formulas do for all lanes: those of an element without loss, of one with the usual loss,
 * a series, or any. */
typedef enum fl_leg_mode {
    FL_MODE_FIRST, /* where the voltage is known */
    FL_MODE_SIMPLE,
    FL_MODE_USUAL,
    FL_MODE_SERIES,
    FL_MODE_FULL
} fl_leg_mode;

/** Which formulas do for the turns of a line: the same for all packs, short series, or any. */
typedef enum fl_leg_turn {
    FL_TURN_FEW,
    FL_TURN_SOME,
    FL_TURN_MORE,
    FL_TURN_ANY,
    FL_TURN_FAR
} fl_leg_turn;

/** Usual values of a line, from which those of samples are not far, or none: 0, 0, {1, 0}. Of a
 * capacitor the lag T is the delay. */
typedef struct fl_usual {
    double decay, delay; /* A and D */
    double turn[2];      /* exp(2 theta) of all in a row at the centre of the nodes */
} fl_usual;

typedef struct fl_leg {
    fl_leg_kind kind;
    const double *values; /* rows of FL_LANES */
    const double *fixed;
    double times; /* so many lines alike in a row */
    fl_usual usual;
    /* What the march finds out: */
    fl_leg_mode mode;
    fl_leg_turn turn;
    size_t source; /* leg whose turns it has */
    bool near;     /* all lanes are near the usual values */
    bool steady;   /* and all the same */
    double most_delay;
    double *turns, *factors; /* of a pack: [nodes][FL_TURN_ROOM]; [FL_FACTOR_ROOM] */
} fl_leg;

/** Doubles of scratch memory of a leg. */
static inline size_t fl_leg_room(size_t nodes)
{
    return nodes * FL_TURN_ROOM + FL_FACTOR_ROOM;
}

/** Doubles of a node of fl_route.end. */
enum { FL_END = 6 };

/** From the terminated port to the driven one, and what arrives there. */
typedef struct fl_route {
    fl_leg *legs; /* [leg_count] */
    size_t leg_count;
    const double *start;         /* [node][4] voltage and current, real and imaginary */
    const double *end;           /* [node] x, y as factors, f, g of |p|^2 = f |V + x I|^2,
                            |q|^2 = g |V + y I|^2 */
    bool sized;                  /* |q|^2 is wanted itself, not only |p|^2 over it */
    double *reflected, *arrived; /* [node][FL_LANES] |p|^2, |q|^2; if not sized, up to a factor */
    double *scratch;             /* [leg_count][fl_leg_room] */
    double *left_out;            /* [nodes][FL_PACK_ROOM] */
} fl_route;

/** Most nodes from which a grid is interpolated. */
enum { FL_MOST_NODES = 50 };

/** Squared sizes at the nodes and how they become powers on a grid. With a matrix nodes and points
 * lie by pairs about the middle of the band: the value at point g is the sum over pairs h of e (sum
 * of the pair) + o (low less high), at the point opposite that with -o; a middle node pairs with
 * none and is its sum. */
typedef struct fl_regrid {
    size_t nodes, points;
    const double *matrix; /* [pairs of points / 2][pairs of nodes][4] of e, e, o, o of two points
                             one after the other; NULL: grid = nodes */
    const double *bends;  /* [nodes - 2][pairs of nodes] from sums or differences by turns to
                              Chebyshev coefficients 2, 3, ..., as much as each may bend: the first
                              one times 4, others times k^2 (k^2 - 1) / 3; with the matrix */
    const double
        *highest;        /* [pairs of nodes] from sums or differences to the highest coefficient */
    double roughest;     /* with the matrix: the highest coefficients of what is divided, summed
                              in size, over the least of the lower; a lane beyond gives NaN */
    const double *scale; /* [points] of a transmission */
    bool greatest;       /* the worst is the greatest power; else the least */
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
    /** fl_random_normal of samples first, first + 1, ... and items 0, 1, ... [rows][FL_LANES], and
     * if u is not NULL their fl_random_uniform. */
    void (*normals)(double *z, double *u, size_t rows, uint64_t seed, uint64_t first);
    /** fl_random_uniform from an item on that is a multiple of 4. */
    void (*uniforms)(double *u, size_t rows, uint64_t seed, uint64_t first, uint32_t item);
    /** fl_normal_draw of each of [rows][FL_LANES]. */
    void (*quantiles)(double *z, const double *u, size_t rows);
    /** Functions of count numbers, as many as there are: the exponential up to a size of 700, the
     * logarithm of normal ones, the arctangent, and sine and cosine. Not in place. */
    void (*exponentials)(double *y, const double *x, size_t count);
    void (*logarithms)(double *y, const double *x, size_t count);
    void (*arctangents)(double *y, const double *x, size_t count);
    void (*turns)(double *sine, double *cosine, const double *x, size_t count);
    /** products[i] = products[parent] * powers[power]; the first is 1. */
    void (*products)(double *products, const fl_factor *factors, size_t count,
                     const double *powers);
    /** out[r] = sum of rows[r][t] * products[t], in order of t. */
    void (*combine)(double *const *out, const double *const *rows, size_t row_count,
                    const double *products, size_t product_count);
    /** Waves through all legs at all nodes. */
    void (*march)(const fl_route *route, const fl_nodes *nodes);
    /** Worst of reflected / arrived over the grid, and at which point. A lane in which
     * any value is not finite, or nothing arrives, or that is too rough, gives NaN. */
    void (*worst_reflected)(double *power, double *point, const double *reflected,
                            const double *arrived, const fl_regrid *lookup);
    /** The same of scale / arrived. */
    void (*worst_transmitted)(double *power, double *point, const double *arrived,
                              const fl_regrid *lookup);
    /** -10 log10 of powers, at most FL_CEILING_DB as fl_loss_db, but for rounding. */
    void (*losses)(double *db, const double *power);
    /** Of each of count limits: lanes that are not at it or above, a bit each; NaN is not. */
    void (*below)(uint64_t *lanes, const double *row, const double *limits, size_t count);
    /** Whether all lanes, which are numbers, are at the limit or above. */
    bool (*reaches)(const double *row, double limit);
    /** Of each of count rows: adds the deviations from the centre over two sets of lanes, and says
     * twice the bin of each lane, in the lower 32 bits. */
    void (*deviations)(double (*sums)[2], uint64_t (*bins)[FL_LANES], const double *const *rows,
                       const fl_ruler *rulers, size_t count, const uint64_t lanes[2]);
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
