/* S-parameters of one case, and of one section alone. */
#include <math.h>

#include "response/sweep.h"

/* After the march to a port: its reflection, and the wave that comes out at the other one, 2
 * sqrt(R1 R2) / q per wave in [Kurokawa1965]. The march to the die gives S11 and S21, that to the
 * board S22 and S12. */
static void take_port(const fl_sweep *sweep, const fl_scratch *scratch, double (*reflection)[2],
                      double (*transmission)[2])
{
    for (size_t n = 0; n < sweep->lanes.count; n++) {
        const double resistances =
            sweep->ports[FL_PORT_DIE].re[n] * sweep->ports[FL_PORT_BOARD].re[n];
        const fl_complex top = {2.0 * sqrt(resistances), 0.0};
        const fl_complex through = fl_divide(top, fl_lane(&scratch->q, n));
        const fl_complex back = fl_lane(&scratch->reflection, n);
        reflection[n][0] = back.re;
        reflection[n][1] = back.im;
        transmission[n][0] = through.re;
        transmission[n][1] = through.im;
    }
}

/* Whether all parameters are numbers that can be shown. */
static bool finite(const fl_scatter *scatter)
{
    for (size_t n = 0; n < scatter->count; n++)
        for (int part = 0; part < 2; part++)
            if (!isfinite(scatter->s11[n][part]) || !isfinite(scatter->s21[n][part]) ||
                !isfinite(scatter->s12[n][part]) || !isfinite(scatter->s22[n][part]))
                return false;
    return true;
}

/* A sweep and its scratch memory, for one evaluation. */
typedef struct single {
    fl_sweep *sweep;
    fl_scratch scratch;
} single;

/* Owns nothing when it fails. */
static fl_status single_open(single *one, const fl_groundwork *groundwork,
                             const fl_stretch *stretch, const fl_grid *grid, fl_error *error)
{
    fl_status status = fl_sweep_new(&one->sweep, groundwork, stretch, grid, error);
    if (status != FL_OK)
        return status;
    status = fl_scratch_init(&one->scratch, one->sweep, error);
    if (status != FL_OK)
        fl_sweep_free(one->sweep);
    return status;
}

/* Only after single_open went well. */
static void single_close(single *one)
{
    fl_scratch_release(&one->scratch);
    fl_sweep_free(one->sweep);
}

/* A message for what only numbers can show: sections were within their bounds. */
static fl_status refuse(fl_error *error)
{
    return fl_fail(error, FL_BAD_INPUT, "",
                   "expected values that give a finite response, found some that do not");
}

fl_status fl_scatter_fill(fl_scatter *scatter, const fl_groundwork *groundwork, size_t case_index,
                          const double *quantities, fl_error *error)
{
    return fl_scatter_fill_without(scatter, groundwork, case_index, NULL, quantities, error);
}

/* One sweep, marched to both ports. */
fl_status fl_scatter_fill_without(fl_scatter *scatter, const fl_groundwork *groundwork,
                                  size_t case_index, const bool *left_out, const double *quantities,
                                  fl_error *error)
{
    single one = {.sweep = NULL};
    const fl_grid grid = {scatter->frequencies, scatter->count};
    const fl_stretch stretch = fl_case_stretch(groundwork, case_index);
    const fl_status status = single_open(&one, groundwork, &stretch, &grid, error);
    if (status != FL_OK)
        return status;
    bool well = fl_sweep_fill(one.sweep, &one.scratch, quantities, false);
    if (well) {
        if (left_out != NULL)
            fl_sweep_leave_out(one.sweep, &one.scratch, left_out);
        fl_march(one.sweep, &one.scratch, FL_PORT_DIE, false);
        take_port(one.sweep, &one.scratch, scatter->s11, scatter->s21);
        fl_march(one.sweep, &one.scratch, FL_PORT_BOARD, false);
        take_port(one.sweep, &one.scratch, scatter->s22, scatter->s12);
        well = finite(scatter);
    }
    single_close(&one);
    return well ? FL_OK : refuse(error);
}

/* The ports of the sweep are written over with 50 ohm; the path is the one section. */
fl_status fl_section_alone(double *return_loss_db, const fl_groundwork *groundwork,
                           size_t case_index, size_t section, const double *quantities,
                           fl_error *error)
{
    single one = {.sweep = NULL};
    double power = 0.0;
    const double centre = fl_groundwork_setting(groundwork)->w0 / (2.0 * acos(-1.0));
    const fl_grid grid = {&centre, 1};
    const fl_stretch stretch = {case_index, section, 1};
    const fl_status status = single_open(&one, groundwork, &stretch, &grid, error);
    if (status != FL_OK)
        return status;
    for (int port = 0; port < FL_PORTS; port++)
        fl_lane_set(&one.sweep->ports[port], 0, (fl_complex){50.0, 0.0});
    const bool well = fl_sweep_fill(one.sweep, &one.scratch, quantities, false);
    if (well) {
        fl_march(one.sweep, &one.scratch, FL_PORT_BOARD, false);
        fl_march_reflected(one.sweep, &one.scratch, &power);
    }
    single_close(&one);
    if (!well || !isfinite(power))
        return refuse(error);
    *return_loss_db = fl_loss_db(power);
    return FL_OK;
}
