/* The block evaluation: many samples of a study at once, one a lane. */
#include "response/block.h"

#include <math.h>

/* One work serves all sweeps in turn, so it has the room of the largest; but values stay, as later
 * sweeps may have some in common with it. */
void fl_block_room_add(fl_block_room *room, const fl_block_sweep *own)
{
    const size_t elements = own->sweep->path->element_count;
    const size_t scratch = fl_path_room(own->sweep->path);
    room->rows += elements;
    room->elements = elements > room->elements ? elements : room->elements;
    room->scratch = scratch > room->scratch ? scratch : room->scratch;
    room->nodes = own->nodes.count > room->nodes ? own->nodes.count : room->nodes;
}

/* Rows of lanes are aligned as the widest vectors want them. */
fl_status fl_block_work_take(fl_block_work **work, const fl_block_room *room, fl_error *error)
{
    fl_block_work *made = fl_memory_take(1, sizeof *made);
    if (made == NULL)
        return fl_fail_memory(error);
    fl_arena_init(&made->arena);
    fl_arena *arena = &made->arena;
    made->values = fl_arena_take(arena, room->rows * FL_VALUES, sizeof *made->values);
    made->scratch = fl_arena_take(arena, room->scratch, sizeof *made->scratch);
    made->legs = fl_arena_take(arena, room->rows * FL_PORTS, sizeof *made->legs);
    made->turns =
        fl_arena_take(arena, room->elements * fl_leg_room(room->nodes), sizeof *made->turns);
    made->left_out = fl_arena_take(arena, room->nodes * FL_PACK_ROOM, sizeof *made->left_out);
    made->reflected = fl_arena_take(arena, room->nodes * FL_LANES, sizeof *made->reflected);
    made->arrived = fl_arena_take(arena, room->nodes * FL_LANES, sizeof *made->arrived);
    made->worst.power = fl_arena_take(arena, room->runs, sizeof *made->worst.power);
    made->worst.point = fl_arena_take(arena, room->runs, sizeof *made->worst.point);
    if (made->values == NULL || made->scratch == NULL || made->legs == NULL ||
        made->turns == NULL || made->left_out == NULL || made->reflected == NULL ||
        made->arrived == NULL || made->worst.power == NULL || made->worst.point == NULL) {
        fl_block_work_free(made);
        return fl_fail_memory(error);
    }
    *work = made;
    return FL_OK;
}

/* Leg of an element with values of its own in each lane; data are always folded. */
static fl_leg_kind leg_of(fl_form form)
{
    static const fl_leg_kind kinds[] = {[FL_FORM_SERIES] = FL_LEG_SERIES,
                                        [FL_FORM_SHUNT_BRANCH] = FL_LEG_BRANCH,
                                        [FL_FORM_SHUNT_CAPACITOR] = FL_LEG_CAPACITOR,
                                        [FL_FORM_LINE] = FL_LEG_LINE,
                                        [FL_FORM_OPEN_STUB] = FL_LEG_OPEN_STUB,
                                        [FL_FORM_SHORTED_STUB] = FL_LEG_SHORTED_STUB,
                                        [FL_FORM_WAVE] = FL_LEG_WAVE,
                                        [FL_FORM_WAVE_OPEN_STUB] = FL_LEG_WAVE_STUB};
    return kinds[form];
}

static fl_leg leg_at(const fl_block_sweep *own, const fl_block_work *work, const fl_step *step)
{
    static const fl_leg_kind fixed[] = {[FL_STEP_CHAIN] = FL_LEG_CHAIN,
                                        [FL_STEP_SERIES] = FL_LEG_FIXED_SERIES,
                                        [FL_STEP_SHUNT] = FL_LEG_FIXED_SHUNT};
    if (step->kind != FL_STEP_FORM)
        return (fl_leg){.kind = fixed[step->kind], .fixed = step->fixed};
    return (fl_leg){.kind = leg_of(own->sweep->path->elements[step->element].form),
                    .values = work->values[own->rows[step->element] * FL_VALUES],
                    .fixed = step->fixed,
                    .times = (double)step->times,
                    .usual = step->usual};
}

/* Of a march to a port; legs stay, so that a lot need not lay them again. */
static fl_leg *legs_to(const fl_block_sweep *own, const fl_block_work *work, int port)
{
    const size_t elements = own->sweep->path->element_count;
    return work->legs + own->first * FL_PORTS + (size_t)port * elements;
}

void fl_block_lay(const fl_block_sweep *own, fl_block_work *work)
{
    for (int port = 0; port < FL_PORTS; port++) {
        const fl_track *track = &own->tracks[port];
        for (size_t k = 0; k < track->step_count; k++)
            legs_to(own, work, port)[k] = leg_at(own, work, &track->steps[k]);
    }
}

/* Sweeps that no requirement asks for are not there. */
fl_status fl_block_work_new(fl_block_work **work, const fl_block *block, fl_error *error)
{
    fl_block_room room = {.runs = block->margins->run_count};
    for (size_t i = 0; i < block->margins->sweep_count; i++)
        if (block->sweeps[i] != NULL)
            fl_block_room_add(&room, block->sweeps[i]);
    const fl_status status = fl_block_work_take(work, &room, error);
    for (size_t i = 0; i < block->margins->sweep_count && status == FL_OK; i++)
        if (block->sweeps[i] != NULL)
            fl_block_lay(block->sweeps[i], *work);
    return status;
}

void fl_block_work_free(fl_block_work *work)
{
    if (work == NULL)
        return;
    fl_arena_release(&work->arena);
    fl_memory_free(work);
}

/* Powers of the trials on the whole grid, by the scalar route. */
static fl_status refer(double *reference, bool *fit, const fl_margins *margins,
                       const fl_trials *trials, fl_error *error)
{
    fl_work *work = NULL;
    const size_t quantities = margins->design->quantity_count;
    double *values = fl_memory_take(quantities, sizeof *values);
    if (values == NULL)
        return fl_fail_memory(error);
    const fl_status status = fl_work_new(&work, margins, error);
    for (size_t lane = 0; status == FL_OK && lane < trials->count; lane++) {
        for (size_t i = 0; i < quantities; i++)
            values[i] = trials->quantities[i][lane];
        fit[lane] =
            fl_margins_power(margins, work, values, reference + lane * margins->entry_count);
    }
    fl_work_free(work);
    fl_memory_free(values);
    return status;
}

/* Chooses the nodes of every sweep; the block is freed when there is none to be had. */
static fl_status choose(fl_block **block, const fl_choice *choice, fl_error *error)
{
    fl_block *own = *block;
    fl_status status = FL_OK;
    bool physical = true;
    for (size_t i = 0; i < own->margins->sweep_count && status == FL_OK && physical; i++) {
        if (own->margins->sweeps[i] == NULL)
            continue;
        status = fl_block_sweep_choose(&own->sweeps[i], choice, i, error);
        physical = status == FL_OK && own->sweeps[i] != NULL;
    }
    if (!physical) {
        fl_block_free(own);
        *block = NULL;
    }
    return status;
}

/* First element of a section. */
static size_t first_element(const fl_path *path, size_t section)
{
    size_t k = 0;
    while (path->elements[k].section != section)
        k++;
    return k;
}

/* Takes the values of a section from an earlier sweep that works them out. */
static bool borrow(fl_block_sweep *own, size_t section, const fl_block_sweep *earlier)
{
    const fl_path *path = own->sweep->path, *other = earlier->sweep->path;
    for (size_t its = 0; its < other->stretch.count; its++) {
        if (earlier->idle[its] || !fl_path_alike(path, section, other, its))
            continue;
        const size_t from = first_element(other, its), to = first_element(path, section);
        for (size_t k = 0; k < fl_section_physics(&path->sections[section])->form_count; k++)
            own->rows[to + k] = earlier->rows[from + k];
        return true;
    }
    return false;
}

/* Cases have most sections in common. */
static void share_values(fl_block *block)
{
    size_t first = 0;
    for (size_t i = 0; i < block->margins->sweep_count; i++) {
        fl_block_sweep *own = block->sweeps[i];
        if (own == NULL)
            continue;
        own->first = first;
        for (size_t k = 0; k < own->sweep->path->element_count; k++)
            own->rows[k] = first++;
        for (size_t k = 0; k < own->sweep->path->stretch.count; k++)
            for (size_t before = 0; before < i && !own->idle[k]; before++)
                own->idle[k] =
                    block->sweeps[before] != NULL && borrow(own, k, block->sweeps[before]);
    }
}

fl_status fl_block_new(fl_block **block, const fl_margins *margins, const fl_vector *vector,
                       const fl_trials *trials, bool whole, fl_error *error)
{
    double *reference = NULL;
    bool fit[FL_LANES] = {false};
    fl_status status = FL_OK;
    fl_block *made = fl_memory_take(1, sizeof *made);
    if (made == NULL)
        return fl_fail_memory(error);
    *made = (fl_block){margins, vector, NULL};
    made->sweeps = fl_memory_take(margins->sweep_count, sizeof *made->sweeps);
    if (!whole)
        reference = fl_memory_take(trials->count * margins->entry_count, sizeof *reference);
    if (made->sweeps == NULL || (!whole && reference == NULL)) {
        (void)fl_fail_memory(error);
        status = FL_NO_MEMORY;
    }
    if (status == FL_OK && !whole)
        status = refer(reference, fit, margins, trials, error);
    if (status == FL_OK) {
        const fl_choice choice = {margins, vector, trials, reference, fit};
        status = choose(&made, &choice, error);
    } else {
        fl_block_free(made);
    }
    fl_memory_free(reference);
    if (status == FL_OK && made != NULL)
        share_values(made);
    if (status == FL_OK)
        *block = made;
    return status;
}

/* Also of one that is not whole. */
void fl_block_free(fl_block *block)
{
    if (block == NULL)
        return;
    for (size_t i = 0; block->sweeps != NULL && i < block->margins->sweep_count; i++)
        fl_block_sweep_free(block->sweeps[i]);
    fl_memory_free(block->sweeps);
    fl_memory_free(block);
}

/* A run has the nodes of the sweep it is taken from. */
size_t fl_block_node_count(const fl_block *block, size_t run)
{
    return block->sweeps[block->margins->sources[run].sweep]->nodes.count;
}

void fl_block_values(const fl_block_sweep *own, const fl_vector *vector, fl_block_work *work,
                     const double (*quantities)[FL_LANES])
{
    const fl_path_block asked = {.vector = vector,
                                 .steady = own->idle,
                                 .quantities = quantities,
                                 .values = work->values + own->first * FL_VALUES,
                                 .scratch = work->scratch,
                                 .refused = work->worst.doubtful};
    fl_path_lanes(own->sweep->path, &asked);
}

void fl_block_march(const fl_block_sweep *own, const fl_vector *vector, fl_block_work *work,
                    int port)
{
    const fl_track *track = &own->tracks[port];
    const fl_route route = {.legs = legs_to(own, work, port),
                            .leg_count = track->step_count,
                            .start = track->start,
                            .end = track->end,
                            .sized = track->sized,
                            .reflected = work->reflected,
                            .arrived = work->arrived,
                            .scratch = work->turns,
                            .left_out = work->left_out};
    vector->march(&route, &own->nodes);
}

/* Requirements that differ in their limits alone are rare enough to look twice. */
static void take_run(const fl_block *block, const fl_block_sweep *own, fl_block_work *work,
                     size_t run)
{
    const fl_run_source *source = &block->margins->sources[run];
    const fl_requirement *requirement =
        &block->margins->design->requirements[block->margins->runs[run].requirement];
    const fl_regrid lookup = {.nodes = own->nodes.count,
                              .points = own->points,
                              .matrix = own->matrix,
                              .bends = own->bends,
                              .highest = own->highest,
                              .roughest = own->roughest[source->port][source->reflected],
                              .scale = own->scale[source->port],
                              .greatest = requirement->at_least};
    double *power = work->worst.power[run], *point = work->worst.point[run];
    if (source->reflected)
        block->vector->worst_reflected(power, point, work->reflected, work->arrived, &lookup);
    else
        block->vector->worst_transmitted(power, point, work->arrived, &lookup);
    /* Hardly ever any. */
    uint64_t rest;
    block->vector->below(&rest, power, &(double){-HUGE_VAL}, 1);
    for (; rest != 0; rest &= rest - 1)
        work->worst.doubtful[__builtin_ctzll(rest)] = true;
}

/* Every run that asks for this port takes its worst before the next march writes over the waves. */
static void march_port(const fl_block *block, size_t index, fl_block_work *work, int port)
{
    const fl_block_sweep *own = block->sweeps[index];
    const fl_margins *margins = block->margins;
    const size_t first = index / margins->design->band_count * margins->design->requirement_count;
    fl_block_march(own, block->vector, work, port);
    for (size_t run = first; run < first + margins->design->requirement_count; run++)
        if (margins->sources[run].sweep == index && margins->sources[run].port == port)
            take_run(block, own, work, run);
}

/* Values are computed once a sweep and serve both marches. */
const fl_lane_worst *fl_block_worst(const fl_block *block, fl_block_work *work,
                                    const double (*quantities)[FL_LANES])
{
    for (size_t i = 0; i < FL_LANES; i++)
        work->worst.doubtful[i] = false;
    for (size_t i = 0; i < block->margins->sweep_count; i++) {
        if (block->sweeps[i] == NULL)
            continue;
        fl_block_values(block->sweeps[i], block->vector, work, quantities);
        for (int port = 0; port < FL_PORTS; port++)
            if (block->margins->driven[i * FL_PORTS + (size_t)port])
                march_port(block, i, work, port);
    }
    return &work->worst;
}
