/* The block evaluation: many samples of a study at once, one a lane. */
#include "response/block.h"

#include <math.h>

/* One work serves all sweeps in turn, so it has the room of the largest. */
void fl_block_room_add(fl_block_room *room, const fl_block_sweep *own)
{
    const size_t elements = own->sweep->path->element_count;
    const size_t scratch = fl_path_room(own->sweep->path);
    room->elements = elements > room->elements ? elements : room->elements;
    room->scratch = scratch > room->scratch ? scratch : room->scratch;
    room->nodes = own->nodes.count > room->nodes ? own->nodes.count : room->nodes;
}

fl_status fl_block_work_take(fl_block_work **work, const fl_block_room *room, fl_error *error)
{
    fl_block_work *made = fl_memory_take(1, sizeof *made);
    if (made == NULL)
        return fl_fail_memory(error);
    fl_arena_init(&made->arena);
    fl_arena *arena = &made->arena;
    made->values = fl_arena_take(arena, room->elements * FL_VALUES, sizeof *made->values);
    made->scratch = fl_arena_take(arena, room->scratch, sizeof *made->scratch);
    made->state = fl_arena_take(arena, room->nodes * FL_WAVE, sizeof *made->state);
    made->reflected = fl_arena_take(arena, room->nodes * FL_LANES, sizeof *made->reflected);
    made->arrived = fl_arena_take(arena, room->nodes * FL_LANES, sizeof *made->arrived);
    made->worst.power = fl_arena_take(arena, room->runs, sizeof *made->worst.power);
    made->worst.point = fl_arena_take(arena, room->runs, sizeof *made->worst.point);
    if (made->values == NULL || made->scratch == NULL || made->state == NULL ||
        made->reflected == NULL || made->arrived == NULL || made->worst.power == NULL ||
        made->worst.point == NULL) {
        fl_block_work_free(made);
        return fl_fail_memory(error);
    }
    *work = made;
    return FL_OK;
}

fl_status fl_block_work_new(fl_block_work **work, const fl_block *block, fl_error *error)
{
    fl_block_room room = {.runs = block->margins->run_count};
    for (size_t i = 0; i < block->margins->sweep_count; i++)
        if (block->sweeps[i] != NULL)
            fl_block_room_add(&room, block->sweeps[i]);
    return fl_block_work_take(work, &room, error);
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
    if (made->sweeps == NULL || (!whole && reference == NULL))
        status = fl_fail_memory(error);
    if (status == FL_OK && !whole)
        status = refer(reference, fit, margins, trials, error);
    if (status == FL_OK) {
        const fl_choice choice = {margins, vector, trials, reference, fit};
        status = choose(&made, &choice, error);
    } else {
        fl_block_free(made);
    }
    fl_memory_free(reference);
    if (status == FL_OK)
        *block = made;
    return status;
}

void fl_block_free(fl_block *block)
{
    if (block == NULL)
        return;
    for (size_t i = 0; block->sweeps != NULL && i < block->margins->sweep_count; i++)
        fl_block_sweep_free(block->sweeps[i]);
    fl_memory_free(block->sweeps);
    fl_memory_free(block);
}

size_t fl_block_node_count(const fl_block *block, size_t run)
{
    return block->sweeps[block->margins->sources[run].sweep]->nodes.count;
}

void fl_block_values(const fl_block_sweep *own, const fl_vector *vector, fl_block_work *work,
                     const double (*quantities)[FL_LANES])
{
    const fl_path_block asked = {.vector = vector,
                                 .steady = own->steady,
                                 .quantities = quantities,
                                 .values = work->values,
                                 .scratch = work->scratch,
                                 .refused = work->worst.doubtful};
    fl_path_lanes(own->sweep->path, &asked);
}

/* All lanes begin with the same wave. */
static void begin(const fl_block_sweep *own, int port, double *state)
{
    for (size_t row = 0; row < own->nodes.count * FL_WAVE_ROWS; row++)
        for (size_t i = 0; i < FL_LANES; i++)
            state[row * FL_LANES + i] = own->tracks[port].start[row];
}

/* An element with values of its own in each lane. */
static void step_form(const fl_block_sweep *own, const fl_vector *vector, fl_block_work *work,
                      size_t element)
{
    const double *values = work->values[element * FL_VALUES];
    switch (own->sweep->path->elements[element].form) {
    case FL_FORM_SERIES:
        vector->series(work->state, values, &own->nodes);
        break;
    case FL_FORM_SHUNT_BRANCH:
        vector->branch(work->state, values, &own->nodes);
        break;
    case FL_FORM_SHUNT_CAPACITOR:
        vector->capacitor(work->state, values, &own->nodes);
        break;
    case FL_FORM_LINE:
        vector->line(work->state, values, &own->nodes);
        break;
    case FL_FORM_OPEN_STUB:
        vector->open_stub(work->state, values, &own->nodes);
        break;
    case FL_FORM_SHORTED_STUB:
        vector->shorted_stub(work->state, values, &own->nodes);
        break;
    case FL_FORM_WAVE:
        vector->wave(work->state, values, &own->nodes);
        break;
    case FL_FORM_WAVE_OPEN_STUB:
        vector->wave_stub(work->state, values, &own->nodes);
        break;
    case FL_FORM_DATA: /* is always folded */
        break;
    }
}

void fl_block_march(const fl_block_sweep *own, const fl_vector *vector, fl_block_work *work,
                    int port)
{
    const fl_track *track = &own->tracks[port];
    const size_t count = own->nodes.count;
    begin(own, port, work->state);
    for (size_t k = 0; k < track->step_count; k++) {
        const fl_step *step = &track->steps[k];
        switch (step->kind) {
        case FL_STEP_FORM:
            step_form(own, vector, work, step->element);
            break;
        case FL_STEP_CHAIN:
            vector->chain(work->state, step->fixed, count);
            break;
        case FL_STEP_SERIES:
            vector->fixed_series(work->state, step->fixed, count);
            break;
        case FL_STEP_SHUNT:
            vector->fixed_shunt(work->state, step->fixed, count);
            break;
        }
    }
    vector->squares(work->reflected, work->arrived, work->state, track->ports, count);
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
                              .scale = own->scale[source->port],
                              .greatest = requirement->at_least};
    double *power = work->worst.power[run], *point = work->worst.point[run];
    if (source->reflected)
        block->vector->worst_reflected(power, point, work->reflected, work->arrived, &lookup);
    else
        block->vector->worst_transmitted(power, point, work->arrived, &lookup);
    for (size_t i = 0; i < FL_LANES; i++)
        work->worst.doubtful[i] = work->worst.doubtful[i] || !isfinite(power[i]);
}

/* A sample whose waves are less smooth than those of any trial is beyond what was tried. */
static void doubt_rough(const fl_block_sweep *own, fl_block_work *work, int port)
{
    double rough[FL_LANES];
    if (own->matrix == NULL)
        return;
    fl_block_roughness(rough, own, work);
    for (size_t i = 0; i < FL_LANES; i++)
        work->worst.doubtful[i] = work->worst.doubtful[i] || !(rough[i] <= own->roughest[port]);
}

/* Every run that asks for this port takes its worst before the next march writes over the waves. */
static void march_port(const fl_block *block, size_t index, fl_block_work *work, int port)
{
    const fl_block_sweep *own = block->sweeps[index];
    const fl_margins *margins = block->margins;
    const size_t first = index / margins->design->band_count * margins->design->requirement_count;
    fl_block_march(own, block->vector, work, port);
    doubt_rough(own, work, port);
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
