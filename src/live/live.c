/* A live model opened, moved and asked. */
#include <math.h>
#include <string.h>

#include "base/checksum.h"
#include "live/parts.h"

/* ---- opening ---- */

/* By their order in the bytes sections refer to them. */
static const fl_kind **unpack_kinds(fl_unpack *from, size_t *count)
{
    *count = fl_unpack_count(from, sizeof(uint32_t));
    const fl_kind **kinds = fl_unpack_take(from, *count, sizeof *kinds);
    for (size_t i = 0; fl_unpack_well(from) && i < *count; i++)
        kinds[i] = fl_kind_unpack(from);
    return kinds;
}

/* In the order of pack_all. Nothing may be left over. */
static bool unpack_all(fl_live *live, fl_unpack *from)
{
    size_t count = 0;
    live->study.seed = fl_unpack_whole(from);
    const fl_kind **kinds = unpack_kinds(from, &count);
    if (!fl_unpack_well(from))
        return false;
    fl_design *design = fl_design_unpack(from, kinds, count);
    if (design == NULL)
        return false;
    live->study.design = design;
    live->study.groundwork = fl_groundwork_unpack(from, design);
    if (live->study.groundwork == NULL)
        return false;
    fl_start_list_unpack(&live->starts, from, design);
    fl_unpack_must(from, from->at == from->end);
    live->quantities = fl_unpack_take(from, design->quantity_count, sizeof *live->quantities);
    live->case_passed = fl_unpack_take(from, design->case_count, sizeof *live->case_passed);
    return fl_unpack_well(from);
}

/* The version is looked at before the rest, which may be of another kind. */
static fl_status check_head(fl_unpack *from, fl_error *error)
{
    const size_t mark = sizeof FL_LIVE_MARK - 1;
    const size_t length = (size_t)(from->end - from->at);
    if (length < mark + sizeof(uint32_t) + sizeof(uint64_t) ||
        memcmp(from->at, FL_LIVE_MARK, mark) != 0)
        return fl_fail(error, FL_BAD_INPUT, "", "expected a live model, found other bytes");
    from->at += mark;
    const size_t version = fl_unpack_index(from, UINT32_MAX);
    if (version != FL_LIVE_VERSION)
        return fl_fail(error, FL_BAD_INPUT, "", "expected a live model of version %d, found %zu",
                       FL_LIVE_VERSION, version);
    const uint64_t sum = fl_unpack_whole(from);
    const char *rest = (const char *)from->at;
    if (sum != fl_checksum(FL_CHECKSUM_START, rest, (size_t)(from->end - from->at)))
        return fl_fail(error, FL_BAD_INPUT, "", "the live model is damaged");
    return FL_OK;
}

/* Nothing of the bytes is pointed to: the page may drop them. */
fl_status fl_live_open(fl_live **live, const char *bytes, size_t length, fl_error *error)
{
    fl_unpack from;
    fl_live *made = fl_memory_take(1, sizeof *made);
    if (made == NULL)
        return fl_fail_memory(error);
    fl_arena_init(&made->arena);
    fl_unpack_init(&from, &made->arena, bytes, length);
    fl_status status = check_head(&from, error);
    if (status == FL_OK && !unpack_all(made, &from))
        status = from.no_memory ? fl_fail_memory(error)
                                : fl_fail(error, FL_BAD_INPUT, "", "the live model is damaged");
    if (status != FL_OK) {
        fl_live_free(made);
        return status;
    }
    made->study.threads = 1;
    fl_live_reset(made);
    *live = made;
    return FL_OK;
}

/* All that came as bytes is in one arena, the groundwork too. */
void fl_live_free(fl_live *live)
{
    if (live == NULL)
        return;
    fl_arena_release(&live->arena);
    fl_memory_free(live);
}

/* ---- values ---- */

const fl_design *fl_live_design(const fl_live *live)
{
    return live->study.design;
}

const double *fl_live_quantities(const fl_live *live)
{
    return live->quantities;
}

/* The fits hold over the ranges of the sizes and no farther. */
double fl_live_set(fl_live *live, size_t quantity, double value)
{
    const fl_design *design = live->study.design;
    if (quantity >= design->quantity_count)
        return 0.0;
    const fl_quantity *moved = &design->quantities[quantity];
    if (moved->sized && !isnan(value))
        live->quantities[quantity] = fmin(fmax(value, moved->low), moved->high);
    return live->quantities[quantity];
}

void fl_live_reset(fl_live *live)
{
    fl_design_start(live->study.design, live->quantities);
}

/* ---- answers ---- */

int fl_live_port(const fl_live *live)
{
    const fl_design *design = live->study.design;
    for (size_t i = 0; i < design->requirement_count; i++)
        if (design->requirements[i].asked == FL_RETURN_LOSS)
            return design->requirements[i].port;
    return FL_PORT_BOARD;
}

/* Of one S-parameter. */
static double loss_of(const double s[2])
{
    return fl_loss_db(s[0] * s[0] + s[1] * s[1]);
}

/* All four parameters, as the command has them; two are looked at. */
fl_status fl_live_respond(const fl_live *live, fl_live_losses *losses, size_t case_index,
                          fl_error *error)
{
    fl_scatter scatter = {.count = losses->count, .frequencies = losses->frequencies};
    double(*s)[2] = fl_memory_take(4 * losses->count, sizeof *s);
    if (s == NULL)
        return fl_fail_memory(error);
    scatter.s11 = s;
    scatter.s21 = s + losses->count;
    scatter.s12 = s + 2 * losses->count;
    scatter.s22 = s + 3 * losses->count;
    const fl_status status =
        fl_scatter_fill(&scatter, live->study.groundwork, case_index, live->quantities, error);
    const double(*reflected)[2] =
        (const double(*)[2])(fl_live_port(live) == FL_PORT_DIE ? scatter.s11 : scatter.s22);
    for (size_t i = 0; status == FL_OK && i < losses->count; i++) {
        losses->return_loss_db[i] = loss_of(reflected[i]);
        losses->insertion_loss_db[i] = loss_of(scatter.s21[i]);
    }
    fl_memory_free(s);
    return status;
}

fl_status fl_live_walk(const fl_live *live, fl_walk *walk, fl_arena *arena, size_t case_index,
                       fl_error *error)
{
    walk->reference = fl_walk_reference(live->study.design);
    return fl_walk_fill(walk, arena, live->study.groundwork, case_index, live->quantities, error);
}

/* The search between the points that every report is made of. */
fl_status fl_live_peaks(const fl_live *live, fl_peaks *peaks, fl_error *error)
{
    return fl_peaks_find(peaks, &live->study, live->quantities, error);
}

fl_status fl_live_produce(fl_live *live, fl_quick *quick, uint64_t samples, fl_error *error)
{
    fl_study study = live->study;
    study.samples = samples;
    quick->case_passed = live->case_passed;
    return fl_quick_run(quick, &study, live->quantities, error);
}

fl_status fl_live_save(const fl_live *live, char **text, size_t *length, fl_error *error)
{
    return fl_start_list_fill(text, length, live->study.design, &live->starts, live->quantities,
                              error);
}
