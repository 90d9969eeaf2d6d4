/* S-parameters of one case, and of one section alone. */
#include <math.h>

#include "response/sweep.h"

/* After the march to a port: its reflection, and the wave that comes out at the other one. */
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

static bool finite(const fl_scatter *scatter)
{
    for (size_t n = 0; n < scatter->count; n++)
        for (int part = 0; part < 2; part++)
            if (!isfinite(scatter->s11[n][part]) || !isfinite(scatter->s21[n][part]) ||
                !isfinite(scatter->s12[n][part]) || !isfinite(scatter->s22[n][part]))
                return false;
    return true;
}

fl_status fl_scatter_fill(fl_scatter *scatter, const fl_design *design,
                          const fl_groundwork *groundwork, size_t case_index,
                          const double *quantities, fl_error *error)
{
    fl_sweep *sweep = NULL;
    fl_scratch scratch;
    fl_status status = fl_sweep_new(&sweep, design, groundwork, case_index, scatter->frequencies,
                                    scatter->count, error);
    if (status != FL_OK)
        return status;
    status = fl_scratch_init(&scratch, sweep, error);
    if (status != FL_OK) {
        fl_sweep_free(sweep);
        return status;
    }
    bool well = fl_sweep_fill(sweep, &scratch, quantities, false);
    if (well) {
        fl_march(sweep, &scratch, FL_PORT_DIE, false);
        take_port(sweep, &scratch, scatter->s11, scatter->s21);
        fl_march(sweep, &scratch, FL_PORT_BOARD, false);
        take_port(sweep, &scratch, scatter->s22, scatter->s12);
        well = finite(scatter);
    }
    if (!well)
        status = fl_fail(error, FL_BAD_INPUT, design->file,
                         "case '%s': expected values that give a finite response, found some that "
                         "do not",
                         design->cases[case_index].name);
    fl_scratch_release(&scratch);
    fl_sweep_free(sweep);
    return status;
}
