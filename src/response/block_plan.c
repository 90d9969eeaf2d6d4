/* Structure of the block evaluation of one sweep: constant elements folded, steps laid out. */
#include <math.h>

#include "response/block.h"

/* Whether any spread moves a parameter of the section. */
static bool moves(const fl_section *section, const fl_design *design)
{
    for (size_t i = 0; i < section->kind->parameter_count; i++) {
        const size_t quantity = section->terms[i].quantity;
        if (quantity != FL_NONE && design->quantities[quantity].spread_count > 0)
            return true;
    }
    return false;
}

/** A sweep in the making, with its two-ports at the nominal values. */
typedef struct making {
    fl_block_sweep *own;
    const fl_scratch *nominal;
    int driven;
} making;

/* Places of the march count from the terminated port. */
static bool is_steady(const making *m, size_t place)
{
    const size_t element = fl_march_element(m->own->sweep, m->driven, place);
    return m->own->steady[m->own->sweep->path->elements[element].section];
}

/* Product of the elements at places begin to end - 1 of the march. */
static fl_chain fold(const making *m, size_t begin, size_t end, size_t node)
{
    fl_chain all = {{1.0, 0.0}, {0.0, 0.0}, {0.0, 0.0}, {1.0, 0.0}};
    for (size_t place = begin; place < end; place++) {
        const size_t element = fl_march_element(m->own->sweep, m->driven, place);
        const fl_action action = fl_form_action(m->own->sweep->path->elements[element].form);
        all = fl_chain_after(all,
                             fl_chain_of(action, &m->nominal->twoports[element], m->driven, node));
    }
    return all;
}

static void put(double *pair, fl_complex value)
{
    pair[0] = value.re;
    pair[1] = value.im;
}

/* One ampere through the terminating impedance, then the constant elements next to it. */
static bool lay_start(const making *m, size_t end)
{
    fl_block_sweep *own = m->own;
    fl_track *track = &own->tracks[m->driven];
    const int terminated = m->driven == FL_PORT_BOARD ? FL_PORT_DIE : FL_PORT_BOARD;
    track->start = fl_arena_take(&own->arena, own->nodes.count * 4, sizeof(double));
    if (track->start == NULL)
        return false;
    for (size_t n = 0; n < own->nodes.count; n++) {
        const fl_chain before = fold(m, 0, end, n);
        const fl_complex v = fl_lane(&own->sweep->ports[terminated], n);
        double *start = track->start + n * 4;
        put(start, fl_add(fl_multiply(before.a, v), before.b));
        put(start + 2, fl_add(fl_multiply(before.c, v), before.d));
    }
    return true;
}

/* V + Z I behind a matrix, as f (V + x I) before it; returns |f|^2. */
static double lay_sum(double x[2], fl_chain m, fl_complex z)
{
    const fl_complex f = fl_add(m.a, fl_multiply(z, m.c));
    put(x, fl_divide(fl_add(m.b, fl_multiply(z, m.d)), f));
    return fl_squared(f);
}

/* [Kurokawa1965]: p = V - Z* I and q = V + Z I behind the constant elements from begin on. Returns
 * false when the voltage has no part in one of them, so that there is no f. */
static bool lay_end(const making *m, size_t begin)
{
    fl_block_sweep *own = m->own;
    double *end = own->tracks[m->driven].end;
    for (size_t n = 0; n < own->nodes.count; n++, end += FL_END) {
        const fl_chain after = fold(m, begin, own->sweep->path->element_count, n);
        const fl_complex z = fl_lane(&own->sweep->ports[m->driven], n);
        end[4] = lay_sum(end, after, (fl_complex){-z.re, z.im});
        end[5] = lay_sum(end + 2, after, z);
        for (size_t i = 0; i < FL_END; i++)
            if (!isfinite(end[i]))
                return false;
    }
    return true;
}

/* A lone impedance or admittance takes a quarter of the work of a matrix. */
static fl_step_kind kind_of(const making *m, size_t begin, size_t end)
{
    const size_t element = fl_march_element(m->own->sweep, m->driven, begin);
    const fl_action action = fl_form_action(m->own->sweep->path->elements[element].form);
    if (end - begin > 1 || action == FL_ACT_LINE || action == FL_ACT_DATA)
        return FL_STEP_CHAIN;
    return action == FL_ACT_SERIES ? FL_STEP_SERIES : FL_STEP_SHUNT;
}

/* The same in all lanes, so that one number a node serves them all. */
static bool lay_fixed(const making *m, fl_step *step, size_t begin, size_t end)
{
    const size_t count = m->own->nodes.count;
    step->kind = kind_of(m, begin, end);
    const size_t width = step->kind == FL_STEP_CHAIN ? 8 : 2;
    double *fixed = fl_arena_take(&m->own->arena, count * width, sizeof *fixed);
    if (fixed == NULL)
        return false;
    for (size_t n = 0; n < count; n++) {
        const fl_chain all = fold(m, begin, end, n);
        double *at = fixed + n * width;
        put(at, step->kind == FL_STEP_CHAIN ? all.a : step->kind == FL_STEP_SERIES ? all.b : all.c);
        if (step->kind != FL_STEP_CHAIN)
            continue;
        put(at + 2, all.b);
        put(at + 4, all.c);
        put(at + 6, all.d);
    }
    step->fixed = fixed;
    return true;
}

/* First place from begin on whose element moves. */
static size_t end_of_steady(const making *m, size_t begin)
{
    while (begin < m->own->sweep->path->element_count && is_steady(m, begin))
        begin++;
    return begin;
}

/* Whether two sections are the same in every sample. */
static bool same_section(const fl_section *a, const fl_section *b)
{
    if (a->kind != b->kind)
        return false;
    for (size_t i = 0; i < a->kind->parameter_count; i++) {
        const fl_term *s = &a->terms[i], *t = &b->terms[i];
        if (s->quantity != t->quantity || s->given != t->given || s->plus != t->plus ||
            (s->quantity != FL_NONE && s->times != t->times))
            return false;
    }
    return true;
}

/* Whether the element of a step is a line, and that at the place another one alike. */
static bool continues(const making *m, const fl_step *step, size_t place)
{
    const fl_path *path = m->own->sweep->path;
    if (step->kind != FL_STEP_FORM || path->elements[step->element].form != FL_FORM_LINE)
        return false;
    const fl_element *a = &path->elements[step->element];
    const fl_element *b = &path->elements[fl_march_element(m->own->sweep, m->driven, place)];
    return b->form == FL_FORM_LINE && a->section != b->section &&
           fl_section_physics(&path->sections[a->section])->form_count == 1 &&
           same_section(&path->sections[a->section], &path->sections[b->section]);
}

/* Constant elements in a row become one step, those at the beginning none at all, and lines alike
 * in a row a longer one. Returns where the constant elements at the end begin. */
static bool lay_steps(const making *m, size_t place, size_t *last)
{
    fl_track *track = &m->own->tracks[m->driven];
    const size_t count = m->own->sweep->path->element_count;
    *last = count;
    while (place < count) {
        fl_step *step = &track->steps[track->step_count];
        const size_t end = end_of_steady(m, place);
        if (end > place) {
            *last = end == count ? place : count;
            if (!lay_fixed(m, step, place, end))
                return false;
            track->step_count++;
            place = end;
        } else if (track->step_count > 0 && continues(m, step - 1, place)) {
            step[-1].times++;
            place++;
        } else {
            *step = (fl_step){.kind = FL_STEP_FORM,
                              .element = fl_march_element(m->own->sweep, m->driven, place),
                              .times = 1};
            track->step_count++;
            place++;
        }
    }
    return true;
}

/* What one farad of capacitor adds to the current at the nominal lag. */
static bool lay_farad(const making *m, fl_step *step)
{
    const fl_nodes *nodes = &m->own->nodes;
    const double lag = m->nominal->values[step->element][1];
    double *fixed = fl_arena_take(&m->own->arena, nodes->count * 2, sizeof *fixed);
    if (fixed == NULL)
        return false;
    for (size_t n = 0; n < nodes->count; n++) {
        const double turned = nodes->omega[n] * lag;
        const double share = nodes->omega[n] / (1.0 + turned * turned);
        fixed[2 * n] = share * turned;
        fixed[2 * n + 1] = share;
    }
    step->usual.delay = lag;
    step->fixed = fixed;
    return true;
}

/* What so many lines do at the nominal values, from which samples are not far. */
static fl_usual usual_of(const double *values, double times, const fl_nodes *nodes)
{
    const double growth = exp(2.0 * times * values[1] * nodes->root_centre);
    const double angle = 2.0 * times * values[2] * nodes->centre;
    return (fl_usual){values[1], values[2], {growth * cos(angle), growth * sin(angle)}};
}

static bool lay_usual(const making *m)
{
    fl_track *track = &m->own->tracks[m->driven];
    for (fl_step *step = track->steps; step < track->steps + track->step_count; step++) {
        const fl_form form = m->own->sweep->path->elements[step->element].form;
        if (step->kind != FL_STEP_FORM)
            continue;
        if (form == FL_FORM_LINE || form == FL_FORM_OPEN_STUB || form == FL_FORM_SHORTED_STUB)
            step->usual =
                usual_of(m->nominal->values[step->element], (double)step->times, &m->own->nodes);
        if (form == FL_FORM_SHUNT_CAPACITOR && !lay_farad(m, step))
            return false;
    }
    return true;
}

/* The last step is folded into the port where it can be. */
static bool lay_track(const making *m)
{
    fl_block_sweep *own = m->own;
    fl_track *track = &own->tracks[m->driven];
    const size_t count = own->sweep->path->element_count, place = end_of_steady(m, 0);
    size_t last = count;
    track->steps = fl_arena_take(&own->arena, count, sizeof *track->steps);
    track->end = fl_arena_take(&own->arena, own->nodes.count * FL_END, sizeof *track->end);
    if (track->steps == NULL || track->end == NULL || !lay_start(m, place) ||
        !lay_steps(m, place, &last))
        return false;
    if (last < count && lay_end(m, last))
        track->step_count--;
    else
        (void)lay_end(m, count);
    return lay_usual(m);
}

/* 4 R_die R_board, over |A D - B C|^2 if driven at the board: see fl_march_transmitted. */
static bool lay_scale(const making *m, const fl_sweep *grid)
{
    fl_block_sweep *own = m->own;
    double *scale = fl_arena_take(&own->arena, own->points, sizeof *scale);
    if (scale == NULL)
        return false;
    for (size_t i = 0; i < own->points; i++) {
        scale[i] = 4.0 * grid->ports[FL_PORT_DIE].re[i] * grid->ports[FL_PORT_BOARD].re[i];
        if (m->driven == FL_PORT_BOARD)
            scale[i] /= fl_squared(fl_lane(&grid->det, i));
    }
    own->scale[m->driven] = scale;
    return true;
}

/* Sections of which no march takes a value: constant ones, and lines that are part of one before
 * them. */
static void find_idle(fl_block_sweep *own)
{
    for (size_t i = 0; i < own->sweep->path->stretch.count; i++)
        own->idle[i] = true;
    for (int port = 0; port < FL_PORTS; port++)
        for (size_t k = 0; k < own->tracks[port].step_count; k++) {
            const fl_step *step = &own->tracks[port].steps[k];
            if (step->kind == FL_STEP_FORM)
                own->idle[own->sweep->path->elements[step->element].section] = false;
        }
}

static fl_status lay(fl_block_sweep *own, const fl_margins *margins, size_t index,
                     const fl_scratch *nominal, fl_error *error)
{
    for (int port = 0; port < FL_PORTS; port++) {
        const making m = {own, nominal, port};
        if (margins->driven[index * FL_PORTS + (size_t)port] &&
            (!lay_track(&m) || !lay_scale(&m, margins->sweeps[index])))
            return fl_fail_memory(error);
        for (size_t run = 0; run < margins->run_count; run++)
            if (margins->sources[run].sweep == index && margins->sources[run].port == port &&
                !margins->sources[run].reflected)
                own->tracks[port].sized = true;
    }
    find_idle(own);
    return FL_OK;
}

/* Data elements are steady too: their ports are fixed numbers. */
static fl_status take_nodes(fl_block_sweep *own, const fl_margins *margins, size_t index,
                            fl_error *error)
{
    const fl_path *path = own->sweep->path;
    const fl_lanes *lanes = &own->sweep->lanes;
    own->nodes = (fl_nodes){.count = lanes->count,
                            .omega = lanes->omega,
                            .root = lanes->root,
                            .weights = lanes->weights,
                            .points = FL_NODES};
    own->points = margins->sweeps[index]->lanes.count;
    own->steady = fl_arena_take(&own->arena, path->stretch.count, sizeof *own->steady);
    own->idle = fl_arena_take(&own->arena, path->stretch.count, sizeof *own->idle);
    own->rows = fl_arena_take(&own->arena, path->element_count, sizeof *own->rows);
    double *series = fl_arena_take(&own->arena, lanes->count / 2 * FL_PAIR_ROOM, sizeof *series);
    if (own->steady == NULL || own->idle == NULL || own->rows == NULL || series == NULL)
        return fl_fail_memory(error);
    fl_nodes_centre(&own->nodes, series);
    for (size_t k = 0; k < path->element_count; k++)
        own->rows[k] = k;
    for (size_t i = 0; i < path->stretch.count; i++)
        own->steady[i] = !moves(&path->sections[i], margins->design);
    return FL_OK;
}

/* The scalar scratch memory is needed only here: it holds the two-ports of constant elements. */
fl_status fl_block_sweep_new(fl_block_sweep **own, const fl_margins *margins, size_t index,
                             const fl_grid *nodes, const double *nominal, fl_error *error)
{
    const fl_path *path = margins->sweeps[index]->path;
    fl_scratch scratch = {.values = NULL};
    bool physical = false;
    fl_block_sweep *made = fl_memory_take(1, sizeof *made);
    if (made == NULL)
        return fl_fail_memory(error);
    fl_arena_init(&made->arena);
    fl_status status = fl_sweep_new(&made->sweep, path->groundwork, &path->stretch, nodes, error);
    if (status == FL_OK)
        status = take_nodes(made, margins, index, error);
    if (status == FL_OK)
        status = fl_scratch_init(&scratch, made->sweep, error);
    if (status == FL_OK) {
        physical = fl_sweep_fill(made->sweep, &scratch, nominal, false);
        status = lay(made, margins, index, &scratch, error);
    }
    fl_scratch_release(&scratch);
    if (status != FL_OK || !physical) {
        fl_block_sweep_free(made);
        made = NULL;
    }
    if (status == FL_OK)
        *own = made;
    return status;
}

void fl_block_sweep_free(fl_block_sweep *own)
{
    if (own == NULL)
        return;
    fl_sweep_free(own->sweep);
    fl_arena_release(&own->arena);
    fl_memory_free(own);
}
