/* Networks from data: S-parameters referred to a resistance a port, looked up by frequency. */
#include <math.h>

#include <gsl/gsl_blas.h>
#include <gsl/gsl_eigen.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>

#include "base/arena.h"
#include "base/file.h"
#include "models/network.h"
#include "models/touchstone.h"

/* ---- S from Z, Y, H and G ---- */

/* Data of a passive network have |S| <= 1; above this the matrix is singular but for rounding. */
static const double singular_above = 1e6;

typedef struct solver {
    gsl_matrix_complex *matrix;
    gsl_permutation *permutation;
    gsl_vector_complex *solution;
} solver;

static fl_status solver_init(solver *work, size_t ports, fl_error *error)
{
    work->matrix = gsl_matrix_complex_alloc(ports, ports);
    work->permutation = gsl_permutation_alloc(ports);
    work->solution = gsl_vector_complex_alloc(ports);
    return work->matrix && work->permutation && work->solution ? FL_OK : fl_fail_memory(error);
}

static void solver_release(solver *work)
{
    gsl_matrix_complex_free(work->matrix);
    gsl_permutation_free(work->permutation);
    gsl_vector_complex_free(work->solution);
}

/* A row of Z is a voltage, of Y a current; H begins with a voltage and G with a current. */
static bool gives_voltage(fl_touchstone_kind kind, size_t port)
{
    return kind == FL_TOUCHSTONE_Z || (kind == FL_TOUCHSTONE_H && port == 0) ||
           (kind == FL_TOUCHSTONE_G && port == 1);
}

/** Refers each entry to the references, as v / sqrt(R) and i sqrt(R), unless the data are so
 * already. A column is of what the row of its port is not. */
static void normalise(double (*matrix)[2], const fl_touchstone *data)
{
    for (size_t i = 0; i < data->ports && !data->normalised; ++i)
        for (size_t j = 0; j < data->ports; ++j) {
            double *entry = matrix[i * data->ports + j];
            const double row = sqrt(data->reference[i]), column = sqrt(data->reference[j]);
            const double factor = (gives_voltage(data->kind, i) ? 1.0 / row : row) *
                                  (gives_voltage(data->kind, j) ? 1.0 / column : column);
            entry[0] *= factor;
            entry[1] *= factor;
        }
}

static bool bounded(const gsl_vector_complex *vector)
{
    for (size_t i = 0; i < vector->size; ++i) {
        const gsl_complex value = gsl_vector_complex_get(vector, i);
        if (!(hypot(GSL_REAL(value), GSL_IMAG(value)) <= singular_above))
            return false;
    }
    return true;
}

/**
 * S of a normalised matrix m, in its place: (m + 1) S' = m - 1, and a row of S is that of S' where
 * m gives a voltage, its negative where a current. [Kurokawa1965] for real references: with x the
 * rows and y the columns, a = (x + y) / 2 and b = +-(x - y) / 2. Returns false when m + 1 is
 * singular.
 */
static bool scatter(double (*matrix)[2], const fl_touchstone *data, solver *work)
{
    const size_t ports = data->ports;
    gsl_matrix_complex_view given = gsl_matrix_complex_view_array(matrix[0], ports, ports);
    int swaps = 0;
    gsl_matrix_complex_memcpy(work->matrix, &given.matrix);
    for (size_t i = 0; i < ports; ++i) {
        double *diagonal = gsl_matrix_complex_ptr(work->matrix, i, i)->dat;
        diagonal[0] += 1.0;
        matrix[i * ports + i][0] -= 1.0;
    }
    if (gsl_linalg_complex_LU_decomp(work->matrix, work->permutation, &swaps) != GSL_SUCCESS)
        return false;
    for (size_t j = 0; j < ports; ++j) {
        gsl_vector_complex_view column = gsl_matrix_complex_column(&given.matrix, j);
        if (gsl_linalg_complex_LU_solve(work->matrix, work->permutation, &column.vector,
                                        work->solution) != GSL_SUCCESS ||
            !bounded(work->solution))
            return false;
        for (size_t i = 0; i < ports; ++i) {
            const gsl_complex value = gsl_vector_complex_get(work->solution, i);
            const double sign = gives_voltage(data->kind, i) ? 1.0 : -1.0;
            matrix[i * ports + j][0] = sign * GSL_REAL(value);
            matrix[i * ports + j][1] = sign * GSL_IMAG(value);
        }
    }
    return true;
}

/** Turns all matrices into S, in place. */
static fl_status convert(fl_touchstone *data, const char *file, fl_error *error)
{
    solver work = {0};
    fl_status status = FL_OK;
    if (data->kind == FL_TOUCHSTONE_S)
        return FL_OK;
    status = solver_init(&work, data->ports, error);
    if (status != FL_OK)
        goto cleanup;
    for (size_t k = 0; k < data->count; ++k) {
        double(*matrix)[2] = data->matrices + k * data->ports * data->ports;
        normalise(matrix, data);
        if (!scatter(matrix, data, &work)) {
            char place[256];
            fl_touchstone_place(place, file, data->lines[k]);
            status = fl_fail(error, FL_BAD_INPUT, place,
                             "the %c-parameters have no S-parameters: the matrix and the "
                             "references together are singular",
                             "SYZHG"[data->kind]);
            goto cleanup;
        }
    }
cleanup:
    solver_release(&work);
    return status;
}

/* ---- judging ---- */

typedef struct judge {
    gsl_matrix_complex *scaled;  /* S over its largest entry */
    gsl_matrix_complex *product; /* its S^H S */
    gsl_vector *values;
    gsl_eigen_herm_workspace *work;
} judge;

static fl_status judge_init(judge *work, size_t ports, fl_error *error)
{
    work->scaled = gsl_matrix_complex_alloc(ports, ports);
    work->product = gsl_matrix_complex_alloc(ports, ports);
    work->values = gsl_vector_alloc(ports);
    work->work = gsl_eigen_herm_alloc(ports);
    return work->scaled && work->product && work->values && work->work ? FL_OK
                                                                       : fl_fail_memory(error);
}

static void judge_release(judge *work)
{
    gsl_matrix_complex_free(work->scaled);
    gsl_matrix_complex_free(work->product);
    gsl_vector_free(work->values);
    if (work->work)
        gsl_eigen_herm_free(work->work);
}

static double largest_entry(const double (*s)[2], size_t count)
{
    double largest = 0.0;
    for (size_t i = 0; i < count; ++i)
        largest = fmax(largest, hypot(s[i][0], s[i][1]));
    return largest;
}

/** Product S^H S of the scaled matrix. */
static void multiply(judge *work)
{
    const gsl_complex one = {{1.0, 0.0}};
    const gsl_complex zero = {{0.0, 0.0}};
    gsl_blas_zgemm(CblasConjTrans, CblasNoTrans, one, work->scaled, work->scaled, zero,
                   work->product);
}

/** Largest singular value: the root of the largest eigenvalue of S^H S. */
static double largest_gain(const double (*s)[2], size_t ports, judge *work)
{
    /* Entries this small against the largest change nothing, but underflow would keep the
     * eigenvalue iteration from ending. */
    const double negligible = 1e-20;
    const double scale = largest_entry(s, ports * ports);
    if (!(scale > 0.0))
        return 0.0;
    for (size_t i = 0; i < ports * ports; ++i) {
        double *entry = gsl_matrix_complex_ptr(work->scaled, i / ports, i % ports)->dat;
        for (size_t part = 0; part < 2; ++part) {
            const double value = s[i][part] / scale;
            entry[part] = fabs(value) < negligible ? 0.0 : value;
        }
    }
    multiply(work);
    gsl_eigen_herm(work->product, work->values, work->work);
    return scale * sqrt(fmax(0.0, gsl_vector_max(work->values)));
}

static double largest_skew(const double (*s)[2], size_t ports)
{
    double skew = 0.0;
    for (size_t i = 0; i < ports; ++i)
        for (size_t j = 0; j < i; ++j) {
            const double *a = s[i * ports + j];
            const double *b = s[j * ports + i];
            skew = fmax(skew, hypot(a[0] - b[0], a[1] - b[1]));
        }
    return skew;
}

static fl_status judge_all(fl_network_quality *quality, const fl_touchstone *data, fl_error *error)
{
    judge work = {0};
    fl_status status = judge_init(&work, data->ports, error);
    if (status != FL_OK)
        goto cleanup;
    *quality = (fl_network_quality){.gain = -1.0, .skew = -1.0};
    for (size_t k = 0; k < data->count; ++k) {
        const double(*s)[2] = (const double(*)[2])(data->matrices + k * data->ports * data->ports);
        const double gain = largest_gain(s, data->ports, &work);
        const double skew = largest_skew(s, data->ports);
        if (gain > quality->gain) {
            quality->gain = gain;
            quality->gain_frequency = data->frequencies[k];
        }
        if (skew > quality->skew) {
            quality->skew = skew;
            quality->skew_frequency = data->frequencies[k];
        }
    }
cleanup:
    judge_release(&work);
    return status;
}

/* ---- reading ---- */

/** Takes frequencies and references over, and lays the curves out. */
static fl_status take(fl_network *network, fl_touchstone *data, fl_error *error)
{
    const size_t curves = data->ports * data->ports;
    network->ports = data->ports;
    network->count = data->count;
    network->knots = fl_memory_take(data->count, curves * sizeof *network->knots);
    if (!network->knots)
        return fl_fail_memory(error);
    for (size_t curve = 0; curve < curves; ++curve)
        for (size_t k = 0; k < data->count; ++k) {
            fl_knot *knot = &network->knots[curve * data->count + k];
            knot->value[0] = data->matrices[k * curves + curve][0];
            knot->value[1] = data->matrices[k * curves + curve][1];
        }
    network->reference = data->reference;
    network->frequencies = data->frequencies;
    data->reference = NULL;
    data->frequencies = NULL;
    fl_knots_slopes(network->knots, curves, network->frequencies, network->count);
    return FL_OK;
}

static fl_status read_file(fl_touchstone *data, const char *file, fl_error *error)
{
    char *text = NULL;
    size_t length = 0;
    fl_status status = fl_file_read(&text, &length, file, FL_TOUCHSTONE_LIMIT, error);
    if (status == FL_OK)
        status = fl_touchstone_parse(data, text, length, file, error);
    fl_memory_free(text);
    return status;
}

fl_status fl_network_read(fl_network **network, const char *file, fl_error *error)
{
    fl_touchstone data = {0};
    fl_network *made = NULL;
    /* The handler that is there by default aborts the program. */
    gsl_set_error_handler_off();
    fl_status status = read_file(&data, file, error);
    if (status != FL_OK)
        goto cleanup;
    made = fl_memory_take(1, sizeof *made);
    if (!made) {
        status = fl_fail_memory(error);
        goto cleanup;
    }
    status = convert(&data, file, error);
    if (status == FL_OK)
        status = judge_all(&made->quality, &data, error);
    if (status == FL_OK)
        status = take(made, &data, error);
    if (status != FL_OK)
        goto cleanup;
    *network = made;
    made = NULL;
cleanup:
    fl_touchstone_release(&data);
    fl_network_free(made);
    return status;
}
