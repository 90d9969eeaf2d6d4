/* Elements of a cross-section: rows on the faces of conductors, on boundaries of dielectrics,
 * graded towards edges. */
#include <assert.h>
#include <math.h>

#include "models/cross_mesh.h"

/* Elements of a half side, and those of the other rows by it. */
static const size_t usual_fineness = 10;
static const size_t most_fineness = 64;

/* Distance from an edge goes as this power of the element's number. Charge at the edge of a sheet
 * goes as r^(-1/2), at a right angle as r^(-1/3); above 3/2 divided by 1/2 or 2/3 the order of
 * constant elements is that of smooth charge. */
static const double grading = 3.0;

/** The same from an edge towards the far end, where elements must not grow too fast either. */
static const double grading_beyond = 2.5;

/** Edges on a line, sorted, as disjoint intervals. */
typedef struct intervals {
    size_t count;
    double left[FL_CROSS_CONDUCTORS + 1], right[FL_CROSS_CONDUCTORS + 1];
} intervals;

/** What all chains of a line have in common. */
typedef struct line {
    bool upright;
    double at;
    size_t conductor, below, above;
    bool coarse; /* half as many elements */
} line;

/** Number of elements between two finite ends; even, so that a node is at the middle. */
static size_t side_count(const fl_mesh *mesh)
{
    const size_t fineness = mesh->plan->cross->fineness;
    if (fineness == 0)
        return 2 * usual_fineness;
    return 2 * (fineness < most_fineness ? fineness : most_fineness);
}

/** Elements from an edge to where what is endless is cut off. */
static size_t count_beyond(const fl_mesh *mesh)
{
    return side_count(mesh) * 3 / 2;
}

/** t = 0...1 to 0...infinity, crowded towards 0. */
static double stretch(double t, double power)
{
    return pow(t / (1.0 - t), power);
}

/** Node k of count between two ends, crowded towards both. */
static double node_between(double from, double to, size_t k, size_t count)
{
    if (2 * k > count)
        return to - (node_between(from, to, count - k, count) - from);
    const double share = stretch((double)k / (double)count, grading);
    return from + (to - from) * share / (1.0 + share);
}

/** Distance of a node from an edge towards the far end, at a part of all nodes. */
static double distance_beyond(const fl_cross_plan *plan, double part)
{
    const double ratio = pow(plan->reach / plan->scale, 1.0 / grading_beyond);
    return plan->scale * stretch(part * ratio / (1.0 + ratio), grading_beyond);
}

/** Whether a row that ends at to is kept: of a symmetric section its right half is. */
static bool kept(const fl_mesh *mesh, double to)
{
    return !mesh->plan->symmetric || to > mesh->plan->tolerance;
}

static double node_of(const fl_mesh *mesh, double from, double to, size_t k, size_t count)
{
    if (isinf(from))
        return to - distance_beyond(mesh->plan, (double)(count - k) / (double)count);
    if (isinf(to))
        return from + distance_beyond(mesh->plan, (double)k / (double)count);
    return node_between(from, to, k, count);
}

/** Adds the elements of a chain whose nodes are there. */
static void add_elements(fl_mesh *mesh, const fl_chain *chain)
{
    for (size_t k = 0; k < chain->count; ++k) {
        const double *nodes = &mesh->nodes[chain->node + k];
        const double middle = 0.5 * (nodes[0] + nodes[1]);
        const size_t i = chain->first + k;
        mesh->x[i] = chain->upright ? chain->at : middle;
        mesh->y[i] = chain->upright ? middle : chain->at;
        mesh->length[i] = nodes[1] - nodes[0];
    }
    mesh->element_count += chain->count;
}

/** Adds the row from one end to the other, of which one may be infinite. */
static void add_chain(fl_mesh *mesh, const line *l, double from, double to)
{
    const bool ends = isfinite(from) && isfinite(to);
    const size_t count = (ends ? side_count(mesh) : count_beyond(mesh)) / (l->coarse ? 2 : 1);
    if (!(to - from > mesh->plan->tolerance) || (!l->upright && !kept(mesh, to)))
        return;
    /* A row across the plane of symmetry is symmetric; its second half is kept. */
    const bool halved = mesh->plan->symmetric && !l->upright && from < -mesh->plan->tolerance;
    const size_t skipped = halved ? count / 2 : 0;
    assert(mesh->chain_count < mesh->chain_room);
    assert(mesh->node_count + count + 1 <= mesh->node_room);
    fl_chain *chain = &mesh->chains[mesh->chain_count++];
    *chain = (fl_chain){.upright = l->upright,
                        .at = l->at,
                        .node = mesh->node_count,
                        .first = mesh->element_count,
                        .count = count - skipped,
                        .conductor = l->conductor,
                        .below = l->below,
                        .above = l->above};
    for (size_t k = skipped; k <= count; ++k)
        mesh->nodes[mesh->node_count++] = node_of(mesh, from, to, k, count);
    if (halved)
        mesh->nodes[chain->node] = 0.0;
    add_elements(mesh, chain);
}

/** The lowest boundary of media above a height, at most top. */
static double next_boundary(const fl_cross_plan *plan, double from, double top)
{
    double next = top;
    for (size_t i = plan->layer_count; i > 0; --i)
        if (plan->tops[i - 1] > from + plan->tolerance &&
            plan->tops[i - 1] < next - plan->tolerance)
            next = plan->tops[i - 1];
    if (!plan->cross->ground && from < -plan->tolerance && next > plan->tolerance)
        next = 0.0;
    return next;
}

/** An upright side of a conductor, in pieces from one medium to the next. */
static void add_upright(fl_mesh *mesh, size_t conductor, double x)
{
    const fl_cross_plan *plan = mesh->plan;
    const fl_cross_conductor *c = &plan->conductors[conductor];
    const double top = c->bottom + c->thickness;
    if (isinf(x) || (plan->symmetric && x < -plan->tolerance))
        return;
    const size_t inside = FL_CROSS_INSIDE;
    double from = c->bottom;
    while (from < top) {
        const double to = next_boundary(plan, from, top);
        const size_t medium = fl_plan_medium(plan, from, true);
        const bool left = x == c->left;
        const line l = {true, x, conductor, left ? medium : inside, left ? inside : medium, true};
        add_chain(mesh, &l, from, to);
        from = to;
    }
}

/** A conductor's faces, or the one of a sheet. */
static void add_conductor(fl_mesh *mesh, size_t conductor)
{
    const fl_cross_plan *plan = mesh->plan;
    const fl_cross_conductor *c = &plan->conductors[conductor];
    const double top = c->bottom + c->thickness;
    const size_t below = fl_plan_medium(plan, c->bottom, false);
    const size_t above = fl_plan_medium(plan, top, true);
    if (fl_plan_same(plan, c->bottom, top)) {
        const line sheet = {false, c->bottom, conductor, below, above, false};
        add_chain(mesh, &sheet, c->left, c->right);
        return;
    }
    const line floor = {false, c->bottom, conductor, below, FL_CROSS_INSIDE, false};
    const line roof = {false, top, conductor, FL_CROSS_INSIDE, above, false};
    add_chain(mesh, &floor, c->left, c->right);
    add_chain(mesh, &roof, c->left, c->right);
    add_upright(mesh, conductor, c->left);
    add_upright(mesh, conductor, c->right);
}

/** Puts a conductor's span among the others, sorted. */
static void insert(intervals *list, const fl_cross_conductor *c)
{
    size_t k = list->count++;
    for (; k > 0 && list->left[k - 1] > c->left; --k) {
        list->left[k] = list->left[k - 1];
        list->right[k] = list->right[k - 1];
    }
    list->left[k] = c->left;
    list->right[k] = c->right;
}

/** Conductors, without the lid. */
static size_t solid_count(const fl_cross_plan *plan)
{
    return plan->conductor_count - (plan->lid ? 1 : 0);
}

static double top_of(const fl_cross_conductor *c)
{
    return c->bottom + c->thickness;
}

/** Conductors that a level line touches or cuts. */
static void find_cut(intervals *list, const fl_cross_plan *plan, double y)
{
    list->count = 0;
    for (size_t i = 0; i < solid_count(plan); ++i) {
        const fl_cross_conductor *c = &plan->conductors[i];
        if (c->bottom <= y + plan->tolerance && top_of(c) >= y - plan->tolerance)
            insert(list, c);
    }
}

/** The conductor nearest below (or above) a level line, or NULL. */
static const fl_cross_conductor *nearest(const fl_cross_plan *plan, double y, bool above)
{
    const fl_cross_conductor *best = NULL;
    for (size_t i = 0; i < solid_count(plan); ++i) {
        const fl_cross_conductor *c = &plan->conductors[i];
        if (above ? c->bottom < y : top_of(c) > y)
            continue;
        if (best == NULL || (above ? c->bottom < best->bottom : top_of(c) > top_of(best)))
            best = c;
    }
    return best;
}

/** The row of conductors nearest to a level line: below it, or above if there are none. Elements
 * that face each other then have the same ends, without which close faces are badly solved. */
static void find_row(intervals *list, const fl_cross_plan *plan, double y)
{
    const fl_cross_conductor *best = nearest(plan, y, false);
    if (best == NULL)
        best = nearest(plan, y, true);
    list->count = 0;
    for (size_t i = 0; best != NULL && i < solid_count(plan); ++i) {
        const fl_cross_conductor *c = &plan->conductors[i];
        /* Such conductors lie side by side, as none overlap. */
        if (c->bottom <= top_of(best) && top_of(c) >= best->bottom)
            insert(list, c);
    }
}

/** A level line across the section, but for the conductors it meets. */
static void add_level(fl_mesh *mesh, line l)
{
    intervals list;
    find_cut(&list, mesh->plan, l.at);
    const bool cut = list.count > 0;
    l.coarse = !cut;
    if (!cut)
        find_row(&list, mesh->plan, l.at);
    double from = -HUGE_VAL;
    for (size_t k = 0; k < list.count; ++k) {
        add_chain(mesh, &l, from, list.left[k]);
        if (!cut)
            add_chain(mesh, &l, list.left[k], list.right[k]);
        from = list.right[k];
    }
    if (isfinite(from) || list.count == 0)
        add_chain(mesh, &l, from, HUGE_VAL);
}

/** The boundary between two media. */
static void add_boundary(fl_mesh *mesh, double y, size_t below, size_t above)
{
    const fl_cross_plan *plan = mesh->plan;
    const bool hidden = plan->lid && y >= plan->cross->lid - plan->tolerance;
    const bool none = plan->permittivity[below] == plan->permittivity[above] &&
                      plan->loss[below] == plan->loss[above];
    if (!hidden && !none)
        add_level(mesh, (line){false, y, FL_CROSS_NONE, below, above, false});
}

static void add_all(fl_mesh *mesh)
{
    const fl_cross_plan *plan = mesh->plan;
    const size_t lid = solid_count(plan);
    for (size_t i = 0; i < lid; ++i)
        add_conductor(mesh, i);
    if (plan->lid) {
        const double y = plan->conductors[lid].bottom; /* which recedes, for its resistance */
        const size_t medium = fl_plan_medium(plan, y, false);
        add_level(mesh, (line){false, y, lid, medium, medium, false});
    }
    mesh->conductor_chains = mesh->chain_count;
    mesh->conductor_elements = mesh->element_count;
    if (!plan->cross->ground && plan->layer_count > 0)
        add_boundary(mesh, 0.0, plan->layer_count, 0);
    for (size_t i = 0; i < plan->layer_count; ++i)
        add_boundary(mesh, plan->tops[i], i, i + 1);
}

bool fl_mesh_make(fl_mesh *mesh, const fl_cross_plan *plan, fl_arena *arena)
{
    *mesh = (fl_mesh){.plan = plan};
    /* Room: each conductor has two faces and two sides cut by layers; each level line is cut into
     * at most two pieces a conductor and one more. */
    const size_t levels = plan->layer_count + 2;
    const size_t faces = plan->conductor_count * (2 + 2 * (plan->layer_count + 2));
    mesh->chain_room = faces + levels * (2 * plan->conductor_count + 1);
    mesh->element_room = mesh->chain_room * count_beyond(mesh);
    mesh->node_room = mesh->element_room + mesh->chain_room;
    mesh->chains = fl_arena_take(arena, mesh->chain_room, sizeof *mesh->chains);
    mesh->nodes = fl_arena_take(arena, mesh->node_room, sizeof *mesh->nodes);
    mesh->x = fl_arena_take(arena, mesh->element_room, sizeof *mesh->x);
    mesh->y = fl_arena_take(arena, mesh->element_room, sizeof *mesh->y);
    mesh->length = fl_arena_take(arena, mesh->element_room, sizeof *mesh->length);
    if (mesh->chains == NULL || mesh->nodes == NULL || mesh->x == NULL || mesh->y == NULL ||
        mesh->length == NULL)
        return false;
    add_all(mesh);
    return true;
}
