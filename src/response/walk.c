/* The impedance towards the die, followed through the path at one frequency. */
#include "response/sweep.h"

/* Points within a section, shared among its elements: enough for an arc to look round. */
enum { POINTS = 8 };

double fl_walk_reference(const fl_design *design)
{
    const fl_port *port = &design->ports[FL_PORT_BOARD];
    return port->form == FL_PORT_FILE ? 50.0 : port->resistance;
}

/* Voltage and current at a place, the current flowing to the die. */
typedef struct place {
    fl_complex v, i;
} place;

/* (V - R I) / (V + R I): no impedance, which may be infinite, comes in between. */
static void mark(double reflection[2], const place *at, double reference)
{
    const fl_complex turned = fl_scale(at->i, reference);
    const fl_complex g = fl_divide(fl_subtract(at->v, turned), fl_add(at->v, turned));
    reflection[0] = g.re;
    reflection[1] = g.im;
}

/* A part of a line: attenuation and delay are in proportion to the length, the impedance is not. */
static void shorten(double part[FL_VALUES], const double *values, fl_form form, double share)
{
    const size_t impedances = form == FL_FORM_WAVE ? FL_NODES : 1;
    for (size_t v = 0; v < fl_form_values(form); v++)
        part[v] = v < impedances ? values[v] : share * values[v];
}

/* The place a part of the way into a line. */
static place into_line(const place *from, const fl_sweep *sweep, const fl_scratch *scratch,
                       size_t element, double share)
{
    double part[FL_VALUES], lanes[6];
    const fl_form form = sweep->path->elements[element].form;
    fl_twoport line = {
        .x = {&lanes[0], &lanes[1]}, .y = {&lanes[2], &lanes[3]}, .z = {&lanes[4], &lanes[5]}};
    shorten(part, scratch->values[element], form, share);
    fl_twoport_fill(&line, form, part, &sweep->lanes);
    const fl_complex c = fl_lane(&line.x, 0), s = fl_lane(&line.y, 0);
    return (place){
        fl_add(fl_multiply(c, from->v), fl_scale(fl_multiply(s, from->i), line.z.re[0])),
        fl_add(fl_multiply(c, from->i), fl_scale(fl_multiply(s, from->v), line.z.im[0]))};
}

/* The place a part of the way into any element but data. A part of a stub is the same share of its
 * admittance, as of a capacitor: what is seen of a stub is its admittance alone. */
static place into(const place *from, const fl_sweep *sweep, const fl_scratch *scratch,
                  size_t element, double share)
{
    const fl_action action = fl_form_action(sweep->path->elements[element].form);
    if (action == FL_ACT_LINE)
        return into_line(from, sweep, scratch, element, share);
    const fl_complex x = fl_scale(fl_lane(&scratch->twoports[element].x, 0), share);
    if (action == FL_ACT_SERIES)
        return (place){fl_add(from->v, fl_multiply(x, from->i)), from->i};
    return (place){from->v, fl_add(from->i, fl_multiply(x, from->v))};
}

/* The state that the march has kept before an element. */
static place kept(const fl_scratch *scratch, size_t element)
{
    const fl_state *state = &scratch->states[element];
    return (place){fl_lane(&state->v, 0), fl_lane(&state->i, 0)};
}

/* Pieces that an element is passed in. */
static size_t pieces(const fl_path *path, size_t element)
{
    const fl_element *own = &path->elements[element];
    const size_t fellows = fl_section_physics(&path->sections[own->section])->form_count;
    if (own->form == FL_FORM_DATA)
        return 1;
    return (POINTS + fellows - 1) / fellows;
}

/* One element: its pieces, the last of which ends where the march does. */
static void pass(fl_walk *walk, const fl_sweep *sweep, const fl_scratch *scratch, size_t element)
{
    fl_walk_step *step = &walk->steps[sweep->path->elements[element].section + 1];
    const place from = kept(scratch, element), to = kept(scratch, element + 1);
    const size_t count = pieces(sweep->path, element);
    for (size_t k = 1; k < count; k++) {
        const place at = into(&from, sweep, scratch, element, (double)k / (double)count);
        mark(step->reflection[step->count++], &at, walk->reference);
    }
    mark(step->reflection[step->count++], &to, walk->reference);
}

/* A step for the die port and one for each section, with room for its points. */
static fl_status take_steps(fl_walk *walk, fl_arena *arena, const fl_path *path, fl_error *error)
{
    walk->step_count = path->stretch.count + 1;
    walk->steps = fl_arena_take(arena, walk->step_count, sizeof *walk->steps);
    if (walk->steps == NULL)
        return fl_fail_memory(error);
    walk->steps[0].count = 1;
    for (size_t k = 0; k < path->element_count; k++)
        walk->steps[path->elements[k].section + 1].count += pieces(path, k);
    for (size_t i = 0; i < walk->step_count; i++) {
        fl_walk_step *step = &walk->steps[i];
        step->reflection = fl_arena_take(arena, step->count, sizeof *step->reflection);
        if (step->reflection == NULL)
            return fl_fail_memory(error);
        step->count = 0; /* counted again as they are filled */
    }
    return FL_OK;
}

/* The march to the board begins with the die port's own impedance. */
static void follow(fl_walk *walk, const fl_sweep *sweep, fl_scratch *scratch)
{
    fl_march(sweep, scratch, FL_PORT_BOARD, true);
    const place start = kept(scratch, 0);
    mark(walk->steps[0].reflection[walk->steps[0].count++], &start, walk->reference);
    for (size_t k = 0; k < sweep->path->element_count; k++)
        pass(walk, sweep, scratch, k);
}

/* Values that are not physical have no impedance to follow. */
static fl_status follow_at(fl_walk *walk, const fl_sweep *sweep, const double *quantities,
                           fl_error *error)
{
    fl_scratch scratch;
    fl_status status = fl_scratch_init(&scratch, sweep, error);
    if (status != FL_OK)
        return status;
    if (fl_sweep_fill(sweep, &scratch, quantities, false))
        follow(walk, sweep, &scratch);
    else
        status =
            fl_fail(error, FL_BAD_INPUT, "", "expected physical values, found some that are not");
    fl_scratch_release(&scratch);
    return status;
}

/* A walk is given back whole, or as it was. */
fl_status fl_walk_fill(fl_walk *walk, fl_arena *arena, const fl_groundwork *groundwork,
                       size_t case_index, const double *quantities, fl_error *error)
{
    fl_sweep *sweep = NULL;
    fl_walk made = {.frequency = walk->frequency, .reference = walk->reference};
    const fl_grid grid = {&walk->frequency, 1};
    const fl_stretch stretch = fl_case_stretch(groundwork, case_index);
    fl_status status = fl_sweep_new(&sweep, groundwork, &stretch, &grid, error);
    if (status != FL_OK)
        return status;
    status = take_steps(&made, arena, sweep->path, error);
    if (status == FL_OK)
        status = follow_at(&made, sweep, quantities, error);
    if (status == FL_OK)
        *walk = made;
    fl_sweep_free(sweep);
    return status;
}
