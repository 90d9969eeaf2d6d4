/* Sections whose values nothing moves, worked out once: those in a row become one matrix. */
#include <string.h>

#include "response/margins.h"

/* Whether a quantity that moves moves a parameter of the section. */
static bool section_moves(const fl_section *section, const bool *moves)
{
    for (size_t i = 0; i < section->kind->parameter_count; i++) {
        const size_t quantity = section->terms[i].quantity;
        if (quantity != FL_NONE && moves[quantity])
            return true;
    }
    return false;
}

/** A sweep that is being folded. */
typedef struct folding {
    fl_sweep *sweep;
    const fl_scratch *scratch; /* with the two-ports of all that is steady */
    const bool *steady;        /* [stretch.count] */
    fl_link *links;
    size_t link_count;
} folding;

/* A lone element stays what it is: all but data are the same from both sides. */
static bool keep_one(fl_steady *made, const folding *own, const fl_link *link)
{
    const size_t count = own->sweep->lanes.count;
    const fl_twoport *from = &own->scratch->twoports[link->element];
    fl_twoport *to = &made->met[FL_PORT_DIE];
    if (!fl_twoport_take(&own->sweep->arena, to, link->action, count))
        return false;
    for (size_t n = 0; n < count; n++) {
        fl_lane_set(&to->x, n, fl_lane(&from->x, n));
        fl_lane_set(&to->y, n, fl_lane(&from->y, n));
        fl_lane_set(&to->z, n, fl_lane(&from->z, n));
    }
    made->met[FL_PORT_BOARD] = *to;
    made->reciprocal = true;
    return true;
}

/* The product of links first to end - 1 at a lane, in the order of the march to the die, and its
 * determinant: those of data multiplied, so that none is taken of the product. */
static fl_chain product(fl_complex *det, const folding *own, size_t first, size_t end, size_t n)
{
    fl_chain all = {{1.0, 0.0}, {0.0, 0.0}, {0.0, 0.0}, {1.0, 0.0}};
    *det = (fl_complex){1.0, 0.0};
    for (size_t k = end; k-- > first;) {
        const fl_link *link = &own->sweep->links[k];
        const fl_twoport *twoport = fl_link_twoport(link, own->scratch, FL_PORT_DIE);
        all = fl_chain_after(all, fl_chain_of(link->action, twoport, FL_PORT_DIE, n));
        if (link->action == FL_ACT_DATA)
            *det = fl_multiply(*det, fl_lane(&link->steady->det, n));
    }
    return all;
}

static bool multiply(fl_steady *made, const folding *own, size_t first, size_t end)
{
    fl_arena *arena = &own->sweep->arena;
    const size_t count = own->sweep->lanes.count;
    made->reciprocal = true;
    for (size_t k = first; k < end; k++)
        if (own->sweep->links[k].action == FL_ACT_DATA)
            made->reciprocal = false;
    if (!fl_twoport_take(arena, &made->met[FL_PORT_DIE], FL_ACT_DATA, count) ||
        !fl_twoport_take(arena, &made->met[FL_PORT_BOARD], FL_ACT_DATA, count) ||
        !fl_lanes_take(arena, &made->det, count))
        return false;
    for (size_t n = 0; n < count; n++) {
        fl_complex det;
        const fl_chain all = product(&det, own, first, end, n), turned = fl_chain_turned(all);
        fl_lane_set(&made->det, n, det);
        fl_chain_store(&made->met[FL_PORT_DIE], n, all);
        fl_chain_store(&made->met[FL_PORT_BOARD], n,
                       made->reciprocal ? turned : fl_chain_divided(turned, det));
    }
    return true;
}

/* First link from begin on whose section moves. */
static size_t end_of_steady(const folding *own, size_t begin)
{
    const fl_path *path = own->sweep->path;
    while (begin < own->sweep->link_count &&
           own->steady[path->elements[own->sweep->links[begin].element].section])
        begin++;
    return begin;
}

/* One link of the new ones, from the old ones at begin on; returns where the next begins, 0 without
 * memory. Data that stand alone are steady as they are. */
static size_t lay_link(folding *own, size_t begin)
{
    const size_t end = end_of_steady(own, begin);
    fl_link *link = &own->links[own->link_count++];
    *link = own->sweep->links[begin];
    if (end == begin || (end == begin + 1 && link->steady != NULL))
        return begin + 1;
    fl_steady *made = fl_arena_take(&own->sweep->arena, 1, sizeof *made);
    if (made == NULL)
        return 0;
    link->steady = made;
    if (end == begin + 1)
        return keep_one(made, own, link) ? end : 0;
    link->action = FL_ACT_DATA;
    return multiply(made, own, begin, end) ? end : 0;
}

/* The new links beside the old ones, which stay until all is there. */
static bool lay_links(folding *own)
{
    own->links = fl_arena_take(&own->sweep->arena, own->sweep->link_count, sizeof *own->links);
    if (own->links == NULL)
        return false;
    for (size_t k = 0; k < own->sweep->link_count;) {
        k = lay_link(own, k);
        if (k == 0)
            return false;
    }
    return true;
}

/* The scratch memory, which fits the links as they were, holds what is steady while it is
 * multiplied. Sections that move are passed over for that, those that do not ever after. */
fl_status fl_sweep_fold(fl_sweep *sweep, const bool *moves, const double *quantities,
                        fl_error *error)
{
    const size_t sections = sweep->path->stretch.count;
    fl_scratch scratch;
    bool *moving = fl_arena_take(&sweep->arena, sections, sizeof *moving);
    bool *steady = fl_arena_take(&sweep->arena, sections, sizeof *steady);
    if (moving == NULL || steady == NULL)
        return fl_fail_memory(error);
    for (size_t i = 0; i < sections; i++) {
        moving[i] = section_moves(&sweep->path->sections[i], moves);
        steady[i] = !moving[i];
    }
    fl_status status = fl_scratch_init(&scratch, sweep, error);
    if (status != FL_OK)
        return status;
    folding own = {.sweep = sweep, .scratch = &scratch, .steady = steady};
    sweep->path->passed = moving;
    const bool physical = fl_sweep_fill(sweep, &scratch, quantities, false);
    sweep->path->passed = NULL;
    if (physical && lay_links(&own)) {
        sweep->links = own.links;
        sweep->link_count = own.link_count;
        sweep->path->passed = steady;
    } else if (physical) {
        status = fl_fail_memory(error);
    }
    fl_scratch_release(&scratch);
    return status;
}

fl_status fl_margins_fold(fl_margins *margins, const double *quantities,
                          const fl_unknowns *unknowns, fl_error *error)
{
    fl_status status = FL_OK;
    bool *moves = fl_memory_take(margins->design->quantity_count, sizeof *moves);
    if (moves == NULL)
        return fl_fail_memory(error);
    for (size_t i = 0; i < unknowns->count; i++)
        moves[unknowns->indices[i]] = true;
    for (size_t i = 0; i < margins->sweep_count && status == FL_OK; i++)
        if (margins->sweeps[i] != NULL)
            status = fl_sweep_fold(margins->sweeps[i], moves, quantities, error);
    fl_memory_free(moves);
    return status;
}
