/* Conductors along an arc: chains of filaments, their images, and the coupled solution.
 *
 * All conductors have one shape, so that two of them couple by their distance alone and the
 * matrices are block Toeplitz. Where the row is its own mirror image (no return, or one either
 * side) so are currents and charges, and half of the unknowns go. */
#include "models/arc.h"

#include <math.h>

#include "base/error.h"
#include "models/filament.h"

static const double pi = 3.14159265358979323846;

void fl_arc_parabola(fl_arc *arc, const fl_parabola *parabola, size_t pieces)
{
    /* y = b u - c u^2 through the ends whose top is p: b^2 = 4 c p and b - c = d, the rise of the
     * ends; the root with the top between them is b = 2 p + 2 sqrt(p (p - d)). */
    const double rise = parabola->end - parabola->start, top = parabola->top;
    const double b = 2.0 * top + 2.0 * sqrt(top * (top - rise)), c = b - rise;
    arc->pieces = pieces;
    for (size_t i = 0; i <= pieces; i++) {
        const double u = (double)i / (double)pieces;
        arc->run[i] = parabola->span * u;
        arc->height[i] = parabola->start + u * (b - c * u);
    }
}

double fl_arc_piece(const fl_arc *arc, size_t i)
{
    return hypot(arc->run[i + 1] - arc->run[i], arc->height[i + 1] - arc->height[i]);
}

double fl_arc_length(const fl_arc *arc)
{
    double length = 0.0;
    for (size_t i = 0; i < arc->pieces; i++)
        length += fl_arc_piece(arc, i);
    return length;
}

void fl_bundle_wires(fl_bundle *bundle, const fl_arc *arc, double diameter, double pitch)
{
    *bundle = (fl_bundle){.arc = arc,
                          .signals = 1,
                          .pitch = pitch,
                          .mean = {[0] = diameter / 2.0},
                          .radius = diameter / 2.0,
                          .plane = true};
    for (size_t k = 1; k < FL_BUNDLE_MOST; k++)
        bundle->mean[k] = (double)k * pitch;
}

static fl_filament piece_of(const fl_arc *arc, size_t i, double aside)
{
    return (fl_filament){{arc->run[i], aside, arc->height[i]},
                         {arc->run[i + 1], aside, arc->height[i + 1]}};
}

/* The plane draws the charge of a round wire to its underside. In two dimensions the charge acts
 * from the height e = sqrt(h^2 - a^2) and the potential of the surface is that of two filaments
 * whose distances are a and h + e [Ramo1994]: the image is taken as so far away, not 2 h. */
static void lower_arc(fl_arc *low, const fl_arc *arc, double radius)
{
    *low = *arc;
    for (size_t i = 0; i <= arc->pieces; i++) {
        const double square = arc->height[i] * arc->height[i] - radius * radius;
        low->height[i] = 0.5 * (arc->height[i] + sqrt(square > 0.0 ? square : 0.0));
    }
}

/* Shapes of the charge along a conductor: a parabola over its length. A free end would gather
 * charge without bound as pieces get shorter; the ends of a real one lie on pads, which carry that
 * charge. Three smooth shapes leave it out, and settle whatever the number of pieces. */
enum { SHAPES = 3 };

/* All of the memory of a solution: 36 kB of the stack, so that no solution runs out of memory. */
typedef struct work {
    double shape[SHAPES][FL_ARC_PIECES];             /* charge per length at the pieces */
    double row[FL_BUNDLE_MOST][FL_ARC_PIECES];       /* 4 pi M / mu0 summed over the other, m */
    double whole[FL_BUNDLE_MOST];                    /* of whole conductors, m */
    double shaped[FL_BUNDLE_MOST * SHAPES * SHAPES]; /* 4 pi eps0 P of the shapes, m */
    double matrix[FL_BUNDLE_MOST * SHAPES * FL_BUNDLE_MOST * SHAPES];
    double x[FL_BUNDLE_MOST * SHAPES];
} work;

static void fill_shapes(work *w, const fl_arc *arc)
{
    const double half = fl_arc_length(arc) / 2.0;
    double before = 0.0;
    for (size_t i = 0; i < arc->pieces; i++) {
        const double length = fl_arc_piece(arc, i);
        const double u = (before + length / 2.0) / half - 1.0;
        before += length;
        w->shape[0][i] = 1.0;
        w->shape[1][i] = u;
        w->shape[2][i] = 1.5 * u * u - 0.5;
    }
}

/* Couplings of two pieces, in m: magnetic, and electric per charge per length. */
typedef struct coupling {
    double magnetic, electric;
} coupling;

/* Pieces i and j of conductors `places` apart in the row. */
static coupling couple(const fl_bundle *bundle, const fl_arc *low, size_t places,
                       const size_t ij[2])
{
    const fl_filament own = piece_of(bundle->arc, ij[0], 0.0);
    const fl_filament other = piece_of(bundle->arc, ij[1], bundle->mean[places]);
    const double direct = fl_filament_integral(&own, &other);
    coupling both = {fl_filament_cosine(&own, &other) * direct, direct};
    if (!bundle->plane)
        return both;
    /* The image's current flows back along the plane, and its charge is the opposite one. */
    const fl_filament from = piece_of(low, ij[0], 0.0);
    fl_filament image = piece_of(low, ij[1], (double)places * bundle->pitch);
    image.from[2] = -image.from[2];
    image.to[2] = -image.to[2];
    const double mirrored = fl_filament_integral(&from, &image);
    const double lengths = fl_filament_length(&own) * fl_filament_length(&other);
    both.magnetic -= fl_filament_cosine(&from, &image) * mirrored;
    both.electric -= mirrored * lengths / (fl_filament_length(&from) * fl_filament_length(&image));
    return both;
}

/* Fills row, whole and shaped of conductors `places` apart. */
static void fill_couplings(work *w, const fl_bundle *bundle, const fl_arc *low, size_t places)
{
    const size_t n = bundle->arc->pieces;
    double *shaped = w->shaped + places * SHAPES * SHAPES;
    for (size_t i = 0; i < n; i++) {
        for (size_t j = i; j < n; j++) {
            const coupling both = couple(bundle, low, places, (const size_t[2]){i, j});
            w->row[places][i] += both.magnetic;
            w->row[places][j] += i == j ? 0.0 : both.magnetic;
            w->whole[places] += both.magnetic * (i == j ? 1.0 : 2.0);
            for (size_t s = 0; s < (size_t)SHAPES * SHAPES; s++) {
                const double *p = w->shape[s / SHAPES], *q = w->shape[s % SHAPES];
                shaped[s] += both.electric * (i == j ? p[i] * q[i] : p[i] * q[j] + p[j] * q[i]);
            }
        }
    }
}

/* Row of conductors, and how it folds onto itself. */
typedef struct row {
    size_t count, unknown; /* conductors, and those of them with unknowns of their own */
    bool mirrored;
    const fl_bundle *bundle;
} row;

static row row_of(const fl_bundle *bundle)
{
    row r = {.count = bundle->signals + bundle->returns, .bundle = bundle};
    r.mirrored = bundle->returns != 1;
    r.unknown = r.mirrored ? (r.count + 1) / 2 : r.count;
    return r;
}

static bool is_signal(const row *r, size_t conductor)
{
    const size_t first = r->bundle->returns == 2 ? 1 : 0;
    return conductor >= first && conductor < first + r->bundle->signals;
}

/* Conductors that a conductor with an unknown stands for: itself, or also its mirror image. */
static double weight_of(const row *r, size_t conductor)
{
    return r->mirrored && conductor != r->count - 1 - conductor ? 2.0 : 1.0;
}

static size_t apart(size_t a, size_t b)
{
    return a > b ? a - b : b - a;
}

/* Fills the symmetric folded matrix from blocks [count][n * n]: an entry adds the coupling to the
 * mirror image, and rows weigh as many conductors as they stand for. */
static void fold(double *matrix, const row *r, const double *blocks, size_t n)
{
    const size_t size = r->unknown * n;
    for (size_t at = 0; at < size * size; at++) {
        const size_t a = at / size / n, i = at / size % n, b = at % size / n, j = at % size % n;
        double entry = blocks[(apart(a, b) * n + i) * n + j];
        if (weight_of(r, b) > 1.0)
            entry += blocks[(apart(a, r->count - 1 - b) * n + i) * n + j];
        matrix[at] = entry * weight_of(r, a);
    }
}

/* Solves A x = x in place for a symmetric positive definite matrix by Cholesky's factors; false if
 * it is not. */
static bool solve_definite(double *a, double *x, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j <= i; j++) {
            double sum = a[i * n + j];
            for (size_t k = 0; k < j; k++)
                sum -= a[i * n + k] * a[j * n + k];
            if (i == j && !(sum > 0.0))
                return false;
            a[i * n + j] = i == j ? sqrt(sum) : sum / a[j * n + j];
        }
        for (size_t k = 0; k < i; k++)
            x[i] -= a[i * n + k] * x[k];
        x[i] /= a[i * n + i];
    }
    for (size_t i = n; i-- > 0;) {
        for (size_t k = i + 1; k < n; k++)
            x[i] -= a[k * n + i] * x[k];
        x[i] /= a[i * n + i];
    }
    return true;
}

/* Charges or currents x [unknown][n] with one volt on the signal and nought on the returns, whose
 * work on the n parts of a conductor is `source` [n]. */
static bool solve_row(work *w, const row *r, const double *blocks, const double *source, size_t n)
{
    fold(w->matrix, r, blocks, n);
    for (size_t at = 0; at < r->unknown * n; at++)
        w->x[at] = is_signal(r, at / n) ? weight_of(r, at / n) * source[at % n] : 0.0;
    return solve_definite(w->matrix, w->x, r->unknown * n);
}

static size_t stand_in(const row *r, size_t conductor)
{
    return conductor < r->unknown ? conductor : r->count - 1 - conductor;
}

/* Currents at one ampere in all, then each piece's part of their energy. */
static bool find_inductance(fl_chain *chain, work *w, const row *r)
{
    const double one = 1.0;
    if (!solve_row(w, r, w->whole, &one, 1))
        return false;
    double current[FL_BUNDLE_MOST], total = 0.0;
    for (size_t a = 0; a < r->count; a++) {
        current[a] = w->x[stand_in(r, a)];
        total += is_signal(r, a) ? current[a] : 0.0;
    }
    for (size_t a = 0; a < r->count; a++) {
        current[a] /= total;
        chain->share += current[a] * current[a];
    }
    for (size_t k = 0; k < r->count; k++) {
        double pairs = 0.0; /* of conductors k places apart */
        for (size_t a = 0; a + k < r->count; a++)
            pairs += (k == 0 ? 1.0 : 2.0) * current[a] * current[a + k];
        for (size_t i = 0; i < r->bundle->arc->pieces; i++)
            chain->inductance[i] += fl_permeability() / (4.0 * pi) * pairs * w->row[k][i];
    }
    return true;
}

static bool find_capacitance(fl_chain *chain, work *w, const row *r)
{
    const size_t pieces = r->bundle->arc->pieces;
    double charge[SHAPES] = {0.0};
    for (size_t s = 0; s < SHAPES; s++)
        for (size_t i = 0; i < pieces; i++)
            charge[s] += w->shape[s][i] * fl_arc_piece(r->bundle->arc, i);
    if (!solve_row(w, r, w->shaped, charge, SHAPES))
        return false;
    for (size_t a = 0; a < r->count; a++) {
        const double *x = w->x + stand_in(r, a) * SHAPES;
        for (size_t i = 0; is_signal(r, a) && i < pieces; i++)
            for (size_t s = 0; s < SHAPES; s++)
                chain->capacitance[i] += 4.0 * pi * fl_permittivity() * x[s] * w->shape[s][i] *
                                         fl_arc_piece(r->bundle->arc, i);
    }
    return true;
}

static bool is_sound(const fl_chain *chain, size_t pieces, bool charges)
{
    bool sound = true;
    for (size_t i = 0; i < pieces; i++)
        sound = sound && chain->inductance[i] > 0.0 && isfinite(chain->inductance[i]) &&
                (!charges || (chain->capacitance[i] > 0.0 && isfinite(chain->capacitance[i])));
    return sound;
}

fl_status fl_bundle_solve(fl_chain *chain, const fl_bundle *bundle, bool charges, fl_error *error)
{
    fl_chain found = {.share = 0.0};
    fl_arc low;
    const row r = row_of(bundle);
    work w = {.whole = {0.0}};
    lower_arc(&low, bundle->arc, bundle->radius);
    fill_shapes(&w, bundle->arc);
    for (size_t places = 0; places < r.count; places++)
        fill_couplings(&w, bundle, &low, places);
    if (!find_inductance(&found, &w, &r) || (charges && !find_capacitance(&found, &w, &r)) ||
        !is_sound(&found, bundle->arc->pieces, charges))
        return fl_fail(error, FL_BAD_INPUT, NULL,
                       "the conductors touch, or are too near each other or the plane for their "
                       "length");
    *chain = found;
    return FL_OK;
}
